"""What share of a field a spot pass will spray, by experience, scouting and the loads logged."""
