"""Sprayer check: flow, pressure and droplets of each pass, sizes that do it, and the catch test."""
