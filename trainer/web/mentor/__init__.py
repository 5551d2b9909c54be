"""People who practise, what is assigned to them, where they go wrong, and their evaluation."""
