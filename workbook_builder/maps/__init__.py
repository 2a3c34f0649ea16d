"""The spray map: where a sprayer sprayed by its log, how much, and what lies there."""
