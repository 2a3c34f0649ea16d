"""Spreadsheet engines: independent programs that calculate a workbook again.

All of them offer the same two methods; importing this room loads no engine.
"""

from __future__ import annotations

from workbook_builder.engines.base import (
    CellError,
    Cells,
    Edit,
    Engine,
    EngineFailed,
    EngineMissing,
    Value,
    read_formulas,
    read_raw_values,
)
from workbook_builder.engines.choice import ENGINE_NAMES, all_engines, engine_named, first_available
from workbook_builder.engines.compare import Difference, compare_cells
from workbook_builder.engines.edits import apply_edits

__all__ = [
    "ENGINE_NAMES", "CellError", "Cells", "Difference", "Edit", "Engine", "EngineFailed",
    "EngineMissing", "Value",
    "all_engines", "apply_edits", "compare_cells", "engine_named", "first_available", "read_formulas",
    "read_raw_values",
]
