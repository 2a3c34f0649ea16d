"""Conditions of the day: what the labels allow, what was read in the field, and go, wait or no."""
