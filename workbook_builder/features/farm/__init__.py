"""Declarations of the farm, its fields, sprayers, passes and past herbicide use."""
