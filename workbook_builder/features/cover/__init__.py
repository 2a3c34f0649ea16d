"""In which weeks new weeds can come up on a field because no residual holds them."""
