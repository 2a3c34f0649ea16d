"""Planners of the day in the field and of what is kept of it, in the order they build on each other."""

from __future__ import annotations

from collections.abc import Callable

from workbook_builder.core.draft import Cells, Draft
from workbook_builder.features.records import rows as record_rows
from workbook_builder.features.records import sheet_rows as record_sheet_rows

FIELD_WORK_PLANNERS: tuple[tuple[str, Callable[[Draft], list[Cells]]], ...] = (
    ("records", record_rows.records),
)
#: Sheets made for printing, planned after everything they show.
PRINT_PLANNERS: tuple[tuple[str, Callable[[Draft], list[Cells]]], ...] = (
    ("record_sheet_lines", record_sheet_rows.record_sheet_lines),
)
