"""Spray records: what the log says, what is still missing, and until when it must be kept."""
