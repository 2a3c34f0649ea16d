"""How much of a product and of an active ingredient a label allows per application and per season,
and what each pass adds up to.
"""
