"""What is set for each covered task."""
