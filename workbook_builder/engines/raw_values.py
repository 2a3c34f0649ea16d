"""Read what a workbook file stores: values as stored, formulas as text."""

from __future__ import annotations

from pathlib import Path

from workbook_builder.engines.base import Cells
from workbook_builder.finish.parts import read_parts, sheet_parts
from workbook_builder.finish.sheet_cells import cell_formulas, cell_values, shared_strings


def read_raw_values(path: Path | bytes) -> Cells:
    """Return sheet title -> cell reference -> stored value.

    Parameters
    ----------
    path : Path or bytes
        The workbook.

    Notes
    -----
    Numbers are floats, dates among them (serial numbers); errors are `CellError`;
    empty text is ``""``; blank cells and formulas without a cached value are left out.
    """
    parts = read_parts(path)
    strings = shared_strings(parts)
    return {title: cell_values(parts[part].decode("utf-8"), strings) for title, part in sheet_parts(parts).items()}


def read_formulas(path: Path | bytes) -> dict[str, dict[str, str]]:
    """Return sheet title -> cell reference -> formula text without its equals sign."""
    parts = read_parts(path)
    return {title: cell_formulas(parts[part].decode("utf-8")) for title, part in sheet_parts(parts).items()}
