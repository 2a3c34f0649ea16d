"""Limits of a spot sprayer: crops covered, speed, rows and daylight."""
