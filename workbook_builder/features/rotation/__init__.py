"""Herbicide groups: rotation on each field and groups in each pass."""
