"""A built workbook kept open in an engine, so that many edits cost one load."""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import Any

from workbook_builder.build import Built
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs, Row
from workbook_builder.engines import Difference, Edit
from workbook_builder.engines.compare import same_value
from workbook_builder.engines.ironcalc_engine import apply_edit, error_or_text, load_model, row_and_column
from workbook_builder.features import BY_KEY, TYPED_TABLES
from workbook_builder.planning import Plan, make_plan, resting
from workbook_builder.verify import (
    FARM_LINE,
    declared_tolerance,
    edit_in_sheet,
    edited,
    farm_lines,
    formula_columns,
    plan_cells,
)


class LiveBook:
    """A workbook open in IronCalc beside the inputs that Python plans from.

    Parameters
    ----------
    built : Built
    """

    def __init__(self, built: Built) -> None:
        self.built = built
        self.inputs: Inputs = built.plan.inputs
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder, "book.xlsx")
            path.write_bytes(built.data)
            self.model = load_model("IronCalc", path)
        self.allowed = declared_tolerance(built.placement)
        self.titles = [str(sheet["name"]) for sheet in self.model.get_worksheets_properties()]

    @cached_property
    def formula_cells(self) -> int:
        """How many formula cells the workbook has, whatever is typed."""
        return sum(map(len, plan_cells(self.built.plan, self.built.placement).values()))

    def write(self, edits: Sequence[Edit]) -> None:
        """Change cells of the open workbook."""
        for edit in edits:
            apply_edit(self.model, self.titles.index(edit.sheet), edit)

    def change(self, table: str, index: int, key: str, value: Any) -> None:
        """Change one input cell, in the workbook and in Python."""
        self.inputs = edited(self.inputs, table, index, key, value)
        self.write([edit_in_sheet(self.built.placement, table, index, key, value)])

    def refill(self, inputs: Inputs) -> bool:
        """Type a whole other farm over this one.

        Return whether it fits the room and the units of the workbook.
        """
        if inputs.system != self.inputs.system:
            return False
        room, farm = self.built.plan.room.rows, dict(inputs.form("farm"))
        farm["currency"] = self.built.plan.inputs.form("farm").get("currency")
        inputs = replace(inputs, tables={**inputs.tables, "farm": [farm]})
        if (any(len(inputs.rows(t.key)) > room[t.key] for t in TYPED_TABLES if not t.is_form)
            or not self.built.plan.room.resting <= resting(inputs)):
            return False
        # Lists that are too short would be blank in workbook and plan alike, and tell nothing.
        if any(count > self.built.plan.room.slots[kind]
               for kind, count in make_plan(inputs).room.slots.items()):
            return False
        for table in (table for table in TYPED_TABLES if table.key not in self.built.plan.room.resting):
            for index in range(1 if table.is_form else room[table.key]):
                self._retype(table, index, inputs)
        self.inputs = inputs
        return True

    def _retype(self, table: Table, index: int, inputs: Inputs) -> None:
        before, after = _row(self.inputs, table, index), _row(inputs, table, index)
        changed = [column.key for column in table.columns if before.get(column.key) != after.get(column.key)]
        self.write([edit_in_sheet(self.built.placement, table.key, index, key, after.get(key))
                    for key in changed])

    def restore(self, inputs: Inputs, cells: Sequence[tuple[str, int, str]]) -> None:
        """Put cells back to what other inputs say."""
        for table, index, key in cells:
            value = _row(inputs, BY_KEY[table], index).get(key)
            self.write([edit_in_sheet(self.built.placement, table, index, key, value)])
        self.inputs = inputs

    def plan(self) -> Plan:
        """Return Python's plan of the inputs as they are now, in the room of the workbook."""
        return make_plan(self.inputs, self.built.plan.room)

    @cached_property
    def _columns(self) -> list[tuple[str, str, str, list[str], list[tuple[int, int, int]]]]:
        """Calculated columns with their cells, as references and as places of the engine."""
        return [
            (*column, [(self.titles.index(column[0]), *row_and_column(reference))
                       for reference in column[3]])
            for column in formula_columns(self.built.placement)
        ]

    def differences(self) -> list[Difference]:
        """Recalculate and return every formula cell that differs from Python's plan."""
        self.model.evaluate()
        plan, value_of, found = self.plan(), self.model.get_cell_value, []
        for sheet, table, key, references, places in self._columns:
            cells = plan.column(table, key)
            for index, place in enumerate(places):
                value, other = cells[index], value_of(*place)
                kind = type(value)
                if (value == other and (kind is type(other) or (kind is int and type(other) is float))
                    and not (kind is str and value.startswith("#"))):
                    continue  # nearly every cell
                if isinstance(other, str) and other.startswith("#"):
                    other = error_or_text(self.model, place, other)
                if not same_value(value, other, self.allowed(sheet, references[index])):
                    found.append(Difference(sheet, references[index], value, other))
        return found + self._wrong_farm_lines(plan)

    def _wrong_farm_lines(self, plan: Plan) -> list[Difference]:
        banner = plan.tables["glance"][0]["banner"]
        shown = {title: self.model.get_cell_value(self.titles.index(title), *row_and_column(FARM_LINE))
                 for title in farm_lines(self.built.placement)}
        return [Difference(title, FARM_LINE, banner, value) for title, value in shown.items()
                if value != banner]


def _row(inputs: Inputs, table: Table, index: int) -> Row:
    """Return a row as it stands in the sheet: forms show their defaults, other rows only what is typed."""
    rows = inputs.rows(table.key)
    row = rows[index] if index < len(rows) else {}
    if not table.is_form:
        return row
    return {c.key: c.default_in(inputs.system) if row.get(c.key) is None else row[c.key]
            for c in table.columns}


def where(built: Built, difference: Difference) -> str:
    """Return table, column and row of a differing cell, which reads better than a reference."""
    for key, spot in built.placement.spots.items():
        if spot.sheet != difference.sheet:
            continue
        for column in spot.table.columns:
            for index in range(1 if spot.table.is_form else spot.rows):
                if spot.cell(column.key, index) == difference.reference:
                    return (f"{key}.{column.key}[{index}]: expected {difference.expected!r}, found "
                            f"{difference.actual!r}")
    return str(difference)
