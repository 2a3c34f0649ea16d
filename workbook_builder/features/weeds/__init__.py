"""Which ingredients and mixes work on which weed of the farm."""
