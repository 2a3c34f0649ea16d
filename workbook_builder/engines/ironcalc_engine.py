"""IronCalc: an engine that lives in a Python package."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from workbook_builder.engines.base import CellError, Cells, Edit, EngineFailed, EngineMissing
from workbook_builder.finish.package import pack
from workbook_builder.finish.parts import UnknownSheet, read_parts, sheet_parts

if TYPE_CHECKING:
    import ironcalc

_PLACE = re.compile(r"([A-Z]{1,3})([1-9][0-9]*)")


class IronCalcEngine:
    """Calculate in the same process; fast for small workbooks."""

    name = "IronCalc"

    def available(self) -> str | None:
        """Return None when the package is installed, or else how to get it."""
        return None if find_spec("ironcalc") else "the Python package ironcalc is not installed"

    def recalculate(self, path: Path, edits: Sequence[Edit] = ()) -> Cells:
        """Return every non-blank cell after `edits` and a full calculation."""
        reason = self.available()
        if reason is not None:
            raise EngineMissing(self.name, reason)
        model = load_model(self.name, path)
        titles = [str(sheet["name"]) for sheet in model.get_worksheets_properties()]
        for edit in edits:
            if edit.sheet not in titles:
                raise UnknownSheet(edit.sheet)
            apply_edit(model, titles.index(edit.sheet), edit)
        model.evaluate()
        return all_cells(model, titles)


def load_model(name: str, path: Path) -> ironcalc.Model:
    """Load a workbook, from a cleaned copy where the engine would take blank cells for 0."""
    import ironcalc

    parts = read_parts(path)
    # The parts with no blank cell marked as a number.
    cleaned = dict(parts)
    for part in sheet_parts(cleaned).values():
        cleaned[part] = _BLANK_NUMBER.sub(r"<c\1\2/>", cleaned[part].decode("utf-8")).encode("utf-8")
    with tempfile.TemporaryDirectory(prefix="workbook_") as folder:
        source = path
        if cleaned != parts:
            source = Path(folder, "book.xlsx")
            source.write_bytes(pack(cleaned, level=1))
        try:
            return ironcalc.load_from_xlsx(str(source), "en", "UTC", "en")
        except ironcalc.WorkbookError as problem:
            raise EngineFailed(name, path, str(problem)) from problem


def apply_edit(model: ironcalc.Model, sheet: int, edit: Edit) -> None:
    """Change one cell without letting the engine interpret what is typed."""
    row, column = row_and_column(edit.reference)
    if edit.value is None:
        model.clear_cell_contents(sheet, row, column)
    elif isinstance(edit.value, bool):
        model.update_cell_with_bool(sheet, row, column, edit.value)
    elif isinstance(edit.value, str):
        model.update_cell_with_text(sheet, row, column, edit.value)
    else:
        model.update_cell_with_number(sheet, row, column, float(edit.value))


def all_cells(model: ironcalc.Model, titles: Sequence[str]) -> Cells:
    """Return the values at full precision; the formatted ones are rounded for display."""
    import ironcalc

    found: Cells = {title: {} for title in titles}
    letters: dict[int, str] = {}
    for sheet, row, column in model.get_all_cells():
        value = model.get_cell_value(sheet, row, column)
        if value is None:
            continue
        if column not in letters:
            letters[column] = ironcalc.column_name_from_number(column)
        if isinstance(value, str) and value.startswith("#"):
            value = error_or_text(model, (sheet, row, column), value)
        found[titles[sheet]][f"{letters[column]}{row}"] = value
    return found


def error_or_text(model: ironcalc.Model, place: tuple[int, int, int], text: str) -> CellError | str:
    """Tell an error value from a text that looks like one."""
    import ironcalc

    return CellError(text) if model.get_cell_type(*place) == ironcalc.CellType.ErrorValue else text


def row_and_column(reference: str) -> tuple[int, int]:
    """Return the row and column numbers of a cell, both counted from 1."""
    import ironcalc

    match = _PLACE.fullmatch(reference)
    if match is None:
        raise ValueError(f"{reference!r} is not a cell reference such as B7")
    return int(match[2]), ironcalc.column_number_from_name(match[1])


_BLANK_NUMBER = re.compile(r'<c((?:\s[a-z]+="[^"]*")*?)\st="n"((?:\s[a-z]+="[^"]*")*)\s*(?:/>|></c>)')
