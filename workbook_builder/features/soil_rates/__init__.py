"""Rates that a label gives by soil: which row holds for each field, and whether the pass keeps to it."""
