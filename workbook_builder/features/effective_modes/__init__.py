"""How many herbicide groups of each pass still work on each driver weed, how long the ground stays covered,
and how much a field leans on one group.
"""
