"""The map of a spot pass: what its log says of every field, drawn square by square, and where to look again.
"""
