"""Plain Python planning: the first of the two witnesses."""
