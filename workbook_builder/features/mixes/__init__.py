"""Workings of mixes: which product stands in which slot, and which ingredients that brings."""
