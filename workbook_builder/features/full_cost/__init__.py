"""Full cost in two layers: cash, and cash with ownership and own labor."""
