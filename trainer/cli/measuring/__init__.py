"""What the figures are measured with: timing in turn, a bare site as a floor, servers, and invented people and answers."""
