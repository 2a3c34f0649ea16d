"""What comes after a pass: looks back, respray flags, and trials of detection settings."""
