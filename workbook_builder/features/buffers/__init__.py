"""How far people must keep from the sprayer while it works, and what the label wants left unsprayed downwind.
"""
