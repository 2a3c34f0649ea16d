"""Which one product of the farm's own list would fix a pass on which too few groups work?"""
