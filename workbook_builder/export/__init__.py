"""A plan for other programs: JSON and calendar files."""
