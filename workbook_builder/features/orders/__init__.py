"""What to take along for each pass, and what to order for the season."""
