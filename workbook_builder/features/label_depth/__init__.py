"""What a label says besides its maxima: least rate, carrier, size of weeds and crop, stage, dates,
and sprays of one group.
"""
