"""Declarations of products, their ingredients, label figures, mixes and plant-back intervals."""
