"""The season calendar: everything that has a day, in the order of the days."""
