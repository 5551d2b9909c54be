"""What an inspector takes along: packets of evidence, and where the log stands."""
