"""Label limits by product and by active ingredient, per application and per season."""
