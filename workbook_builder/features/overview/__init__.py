"""The first sheets: at a glance, all checks, and the mix sheet that prints."""
