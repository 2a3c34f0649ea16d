"""Which nozzle of the sprayer gives the flow with the droplets that the labels want, and which ones are worn?
"""
