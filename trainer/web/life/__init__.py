"""The life of a qualification after its signature, and who was qualified on a day."""
