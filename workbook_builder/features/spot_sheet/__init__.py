"""What one spot pass needs in its tank now, on one page with two charts."""
