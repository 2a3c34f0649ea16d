"""Re-entry of the field: which intervals run into one another, until when it stays closed, and what falls inside."""
