"""Volumes, loads, shared tanks, timing and the product in every load."""
