"""What was done, as the log says: area, carrier and rate that landed, and what in the log contradicts itself or the field."""
