"""How much of each nutrient the fertilizers in the tank bring, pass by pass and over the season,
and whether leaves bear it.
"""
