"""When a pest is worth spraying: injury level and threshold of each pest on each field,
beside what was counted and what is planned.
"""
