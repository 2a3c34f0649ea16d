"""Whether spot spraying pays against broadcasting, pass by pass and over the season."""
