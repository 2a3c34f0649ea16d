"""Finishing: cells with their values, chart caches, fixed metadata, fixed zip and one safe write.

Nothing here knows farming.  The room takes a workbook as it was laid out and the value of
every formula cell, and returns the bytes of the file people open.
"""

from __future__ import annotations

from workbook_builder.finish.chart_cache import insert_chart_points
from workbook_builder.finish.package import finish
from workbook_builder.finish.parts import NotAWorkbook, Parts, UnknownSheet, read_parts, sheet_parts
from workbook_builder.finish.stored import UnfilledFormula, UnwritableValue
from workbook_builder.finish.write import (
    PUBLISHED,
    AlreadyThere,
    CannotWrite,
    Output,
    SameFile,
    refuse_same,
    write_atomically,
    write_together,
)

__all__ = [
    "PUBLISHED", "AlreadyThere", "CannotWrite", "NotAWorkbook", "Output", "Parts", "SameFile",
    "UnfilledFormula", "UnknownSheet", "UnwritableValue",
    "finish", "insert_chart_points", "read_parts", "refuse_same", "sheet_parts", "write_atomically",
    "write_together",
]
