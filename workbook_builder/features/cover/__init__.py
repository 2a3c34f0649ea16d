"""Residual cover week by week: in which weeks new weeds can come up because no residual holds them."""
