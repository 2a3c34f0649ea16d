"""What was done by the log, at which rate and on which ground, and what in the log cannot all be right?"""
