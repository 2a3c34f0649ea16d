"""How much spray does each pass take, in how many loads, how much of each product and water goes into each,
and when does the pass end?
"""
