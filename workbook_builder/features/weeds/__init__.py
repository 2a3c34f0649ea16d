"""Workings of driver weeds: which rating answers which ingredient, and which mix works on which weed."""
