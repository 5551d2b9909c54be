"""How procedures are answered, and where panels draw the line."""
