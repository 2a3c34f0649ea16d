"""How hard is the water, how much ammonium sulfate does it ask for, and how much does each mix carry?"""
