"""Until when each field stays closed by all its re-entry intervals together,
and what work falls into that time.
"""
