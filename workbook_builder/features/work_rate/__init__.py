"""How fast does each pass go with refills counted, and what does each sprayer cost per hour,
per year and against hiring?
"""
