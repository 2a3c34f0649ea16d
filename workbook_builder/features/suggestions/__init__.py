"""What single change would fix a pass: a product of the farm's own list, legal there, that adds an effective group."""
