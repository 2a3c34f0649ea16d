"""Workings of label figures: one row beside each typed row, and the strictest figures of rows that may mean one crop."""
