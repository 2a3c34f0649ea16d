"""How much to mix now: candidates with their chance and cost, advice, and the next load."""
