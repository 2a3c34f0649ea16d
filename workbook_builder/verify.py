"""Verifying: an engine recalculates a workbook and every formula cell is compared.

Three values meet for each formula cell: the one cached in the file, the one the engine
works out from the formula, and the one Python plans from the inputs in the file.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from workbook_builder.build import Built, place, with_defaults
from workbook_builder.core.columns import Column
from workbook_builder.core.draft import serial
from workbook_builder.core.formulas import column_patterns
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.own import OwnFormula, own_columns, own_sheets
from workbook_builder.core.place import Placement, column_letter
from workbook_builder.core.quantities import quantity
from workbook_builder.core.room import Room
from workbook_builder.engines import Difference, Edit, Engine, compare_cells, read_formulas, read_raw_values
from workbook_builder.features import TABLES
from workbook_builder.marks import marked_room
from workbook_builder.planning import Plan, make_plan
from workbook_builder.steps import tell

Values = dict[str, dict[str, object]]
FARM_LINE = "B1"
USUAL_TOLERANCE = 1e-7
#: For columns that count, number or order: room for the last digits of a key with a fraction, and no more.
WHOLE_TOLERANCE = 1e-12


def formula_columns(placement: Placement) -> list[tuple[str, str, str, list[str]]]:
    """Return sheet, table, column and cells, row by row, of every calculated column."""
    found = []
    for key, spot in placement.spots.items():
        for column in spot.table.columns:
            if column.calculated and spot.table.is_form:
                found.append((spot.sheet_of(column.key), key, column.key, [spot.cell(column.key)]))
            elif column.calculated:
                letter, top = spot.letters[column.key], spot.first_row
                found.append((spot.sheet_of(column.key), key, column.key,
                              [f"{letter}{top + index}" for index in range(spot.rows)]))
    return found


def plan_cells(plan: Plan, placement: Placement) -> Values:
    """Return the planned value of every formula cell: sheet -> reference -> value."""
    cells: Values = {title: {} for title in placement.sheets}
    for sheet, table, column, references in formula_columns(placement):
        cells[sheet].update(zip(references, plan.column(table, column), strict=True))
    for title in farm_lines(placement):
        cells[title][FARM_LINE] = plan.tables["glance"][0]["banner"]
    return cells


def farm_lines(placement: Placement) -> list[str]:
    """Return the titles of the tabs that repeat the farm and the season of the first one."""
    return [title for title, planned in placement.sheets.items() if planned.tab is not None
            and not planned.tab.banner]


def edited(inputs: Inputs, table: str, index: int, key: str, value: object) -> Inputs:
    """Return the inputs with one cell changed (row counted from 0; rows are added as needed)."""
    rows = [dict(row) for row in inputs.rows(table)]
    while len(rows) <= index:
        rows.append({})
    rows[index][key] = value
    return replace(inputs, tables={**inputs.tables, table: rows})


def edit_in_sheet(placement: Placement, table: str, index: int, key: str, value: object) -> Edit:
    """Return the same change as an edit of the built workbook."""
    spot = placement.spots[table]
    typed: Any = serial(value)
    return Edit(spot.sheet_of(key), spot.cell(key, index), None if typed == "" else typed)


def declared_tolerance(placement: Placement) -> Callable[[str, str], float]:
    """Return the relative difference allowed in a cell: what its column declares,
    or the usual one of its kind.
    """
    own: dict[tuple[str, str], float] = {}
    for spot in placement.spots.values():
        for column in spot.table.columns:
            allowed = tolerance_of(column)
            if allowed != USUAL_TOLERANCE:
                own |= {(spot.sheet_of(column.key), spot.cell(column.key, at)): allowed
                        for at in range(1 if spot.table.is_form else spot.rows)}
    return lambda sheet, reference: own.get((sheet, reference), USUAL_TOLERANCE)


def tolerance_of(column: Column) -> float:
    """Return the relative difference allowed in a column: its own, or for whole numbers next to none."""
    if column.tolerance == USUAL_TOLERANCE and quantity(column.quantity).form == "whole":
        return WHOLE_TOLERANCE
    return column.tolerance


def compare_after(built: Built, engine: Engine, inputs: Inputs, edits: list[Edit]) -> list[Difference]:
    """Recalculate a built workbook after edits and compare it with the plan of the edited inputs."""
    expected = plan_cells(make_plan(inputs, built.plan.room), built.placement)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "edited.xlsx"
        path.write_bytes(built.data)
        actual = engine.recalculate(path, edits)
    return compare_cells(expected, actual, declared_tolerance(built.placement))


@dataclass(frozen=True)
class Verdict:
    """What verifying a workbook found."""

    engine: str
    cells: int  # Formula cells compared
    cached: list[Difference]  # Cached value against the engine's
    planned: list[Difference]  # Python's plan against the engine's value
    #: The formulas are not those this version writes for these inputs, so no cell could be compared with the
    #: plan
    reshaped: bool = False

    @property
    def agrees(self) -> bool:
        """Whether all three values agree in every cell."""
        return not self.cached and not self.planned and not self.reshaped


class NothingToVerify(ValueError):
    """The workbook holds no formula: it is an input workbook, or somebody's own."""


def verify_workbook(path: Path, inputs: Inputs, engine: Engine) -> Verdict:
    """Recalculate a workbook and compare every formula cell with its cache and the plan.

    Parameters
    ----------
    path : Path
        A workbook this program built.
    inputs : Inputs
        The inputs read from it.
    engine : Engine

    Raises
    ------
    NothingToVerify
        When there is no formula in it.
    """
    tell("Reading the stored values", 0)
    formulas = read_formulas(path)
    if not any(formulas.values()):
        raise NothingToVerify(path)
    stored = read_raw_values(path)
    cached = {sheet: {ref: stored.get(sheet, {}).get(ref, "") for ref in cells}
              for sheet, cells in formulas.items()}
    tell(f"{engine.name} recalculates", 0.12)
    actual = engine.recalculate(path)
    tell("Planning", 0.8)
    plan = make_plan(with_defaults(inputs), _room_of(path, inputs))
    placement = place(plan)
    tell("Comparing", 0.9)
    expected, allowed = plan_cells(plan, placement), declared_tolerance(placement)
    # The text of every declared formula where it stands, without its equals sign: sheet -> reference -> text.
    texts: dict[str, dict[str, str]] = {}
    for sheet, table, key, references in formula_columns(placement):
        declared = placement.spots[table].table
        patterns = column_patterns(declared.by_key[key], declared, placement)
        cells = texts.setdefault(sheet, {})
        cells.update((reference, patterns[index % len(patterns)].at(index)[1:])
                     for index, reference in enumerate(references))
    for title in farm_lines(placement):
        texts.setdefault(title, {})[FARM_LINE] = placement.spots["glance"].absolute("banner")
    # The formulas that are ours, sheet by sheet: those of the user's own columns and sheets are left out.
    own = {
        (piece.sheet, f"{column_letter(number)}{piece.first_row + index}")
        for planned in placement.sheets.values() for piece in planned.pieces if piece.own
        for number, values in enumerate(own_columns(inputs.extras)[piece.table.key].values(),
                                        piece.column + len(piece.columns))
        for index, value in enumerate(values) if isinstance(value, OwnFormula)
    }
    ours = {title: {place: text for place, text in cells.items() if (title, place) not in own}
            for title, cells in formulas.items()}
    same_shape = (texts == {title: cells for title, cells in ours.items() if cells
                            and title not in own_sheets(inputs.extras)})
    planned = compare_cells(expected, actual, allowed) if same_shape else []
    return Verdict(engine.name, sum(map(len, formulas.values())), compare_cells(cached, actual, allowed),
                   planned, not same_shape)


def _room_of(path: Path, inputs: Inputs) -> Room | None:
    """Return the room the workbook was given, when it says so, is of this version and holds the inputs."""
    room = marked_room(path.read_bytes())
    if room is None or any(len(inputs.rows(key)) > count for key, count in room.rows.items()):
        return None
    rows = {table.key for table in TABLES if table.rows in ("typed", "given")}
    slots = {table.slot_kind for table in TABLES} - {""}
    return room if rows <= set(room.rows) and slots <= set(room.slots) else None
