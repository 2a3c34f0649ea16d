"""Spot passes of the seasons, field by field and all together, on one page."""
