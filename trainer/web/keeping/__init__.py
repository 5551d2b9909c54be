"""The end of keeping: what may be destroyed, who decides it, and what is held back."""
