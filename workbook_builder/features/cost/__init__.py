"""What does each pass cost, and each field, crop, pass name and the whole farm,
in all and per acre or hectare?
"""
