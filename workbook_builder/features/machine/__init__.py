"""Does the dearer machine pay, after how many years and at what rate of return,
and what would turn the answer?
"""
