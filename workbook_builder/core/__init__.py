"""What every feature stands on: declared formulas worked out in Python."""
