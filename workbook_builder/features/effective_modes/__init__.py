"""Effective modes: which groups of a pass still work on each driver weed, and how long the ground stays covered."""
