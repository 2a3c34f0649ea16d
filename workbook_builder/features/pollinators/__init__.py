"""Whether a pass may hurt bees: what its labels say, what blooms on the field and beside it,
and the hours in which bees forage.
"""
