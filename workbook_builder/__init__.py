"""Build a live spray decision workbook from a farm's fields, products, mixes and passes."""

__version__ = "0.1.0"
