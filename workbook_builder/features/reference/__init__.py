"""Declarations of the reference lists: units, formulation codes, herbicide groups, lists for drop-downs."""
