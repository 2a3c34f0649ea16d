"""Tables of the day in the field and what is kept of it, gathered in the order of their sheets."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.features.as_logged.columns import APPLIED_LINES, AS_LOGGED
from workbook_builder.features.records.columns import RECORD_PRINT_TABLES, RECORD_TABLES
from workbook_builder.features.records.inputs import RECORD_INPUTS
from workbook_builder.features.weather.columns import CONDITION_INPUTS, CONDITION_TABLES

FIELD_WORK_INPUTS: tuple[Table, ...] = (*CONDITION_INPUTS, *RECORD_INPUTS)
FIELD_WORK_RESULTS: tuple[Table, ...] = (*CONDITION_TABLES, *RECORD_TABLES, AS_LOGGED, APPLIED_LINES)
FIELD_WORK_PRINTED: tuple[Table, ...] = RECORD_PRINT_TABLES
