"""Whether a spot sprayer may do a pass: crop covered, speed, rows and daylight."""
