"""Spot against broadcast: pass by pass, over the season, and at other shares and prices."""
