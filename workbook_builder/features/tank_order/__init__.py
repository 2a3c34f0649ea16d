"""The order in which passes fill each tank, by the clock, and the runs of fills that follow from it."""
