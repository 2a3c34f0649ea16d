"""The map of a spot pass in the cells of a sheet: squares, and colours that keep their order in grey."""

from __future__ import annotations

from itertools import pairwise

from openpyxl.formatting.rule import Rule
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.place import Placement
from workbook_builder.layout.charts import PutChart
from workbook_builder.layout.parts import marking
from workbook_builder.planning import Plan
from workbook_builder.theme import MAP_SHADES

#: Width of a square [characters], and its height [points]: as wide as high in the usual type.
WIDE, HIGH = 3.8, 19.0


def map_colours(sheet: Worksheet, plan: Plan, placement: Placement, at: tuple[int, int]) -> tuple[int, int]:
    """Make the squares square and colour each by the number in it."""
    spot = placement.spots["map_drawing"]
    keys = [column.key for column in spot.table.columns if column.key.startswith("square_")]
    first, last = spot.cell(keys[0]), spot.cell(keys[-1], spot.rows - 1)
    for key in keys:
        sheet.column_dimensions[spot.letters[key]].width = WIDE
    for row in range(spot.row_of(keys[0]), spot.row_of(keys[0]) + spot.rows):
        sheet.row_dimensions[row].height = HIGH
    for (low, fill, ink), (high, _, _) in pairwise([*MAP_SHADES, (2.0, "", "")]):
        # A blank square holds text, which some programs take for more than any number.
        within = f"AND(ISNUMBER({first}),{first}>={100 * low:g},{first}<{100 * high:g})"
        sheet.conditional_formatting.add(f"{first}:{last}",
                                         Rule(type="expression", formula=[within],
                                              dxf=marking(ink, fill, None)))
    return spot.row_of(keys[0]) + spot.rows - 1, spot.numbers[keys[-1]]


MAP_PICTURES: dict[str, PutChart] = {"map_colours": map_colours}
