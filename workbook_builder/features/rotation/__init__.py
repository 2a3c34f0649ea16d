"""How often each resistance group comes back on a field, season after season,
and how many groups each pass carries.
"""
