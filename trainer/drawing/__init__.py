"""Pictures: SVG drawn from the shapes of a module, the same bytes every time."""
