"""Whether the crops planted after a spray, this season's,
the next and those after sprays of earlier seasons, stand within its plant-back interval.
"""
