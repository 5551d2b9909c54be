"""The views of a machine, a file each."""
