"""Tank clean-out: rinses of each tank, and what follows each mix in the same tank."""
