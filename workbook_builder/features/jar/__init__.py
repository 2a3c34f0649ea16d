"""Jar test: amounts that stand for a tank of spray, in mixing order."""
