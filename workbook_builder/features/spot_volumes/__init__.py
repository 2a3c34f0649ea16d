"""How much to mix for a spot pass now: candidates with their chance and cost, and the next fill."""
