"""Runoff points: what the products of a pass ask for, what the field has, and what is still needed."""
