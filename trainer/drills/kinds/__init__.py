"""The kinds of drill, one file each."""
