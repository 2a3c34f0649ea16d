"""Which of two tanks runs out first, how to fill both, and which field to spray last."""
