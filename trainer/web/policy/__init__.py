"""The numbers of the programme."""
