"""A person's own sheets: what is assigned, the drill, its mark, the record."""
