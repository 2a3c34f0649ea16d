"""Reading the inputs: folders of CSV files, input workbooks and workbooks built earlier."""

from __future__ import annotations

from workbook_builder.core.own import OWN_SHEETS
from workbook_builder.read.source import read_source

__all__ = ["OWN_SHEETS", "read_source"]
