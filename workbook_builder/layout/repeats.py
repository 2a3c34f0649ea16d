"""The grid of the rotation: a cell is the darker, the longer one of its groups has come time after time."""

from __future__ import annotations

from openpyxl.formatting.rule import Rule
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.place import Placement
from workbook_builder.layout.charts import PutChart
from workbook_builder.layout.parts import marking
from workbook_builder.planning import Plan
from workbook_builder.theme import MAP_SHADES

#: Times running from which a shade is used -> number of the shade, darkest first: the first rule that holds
#: counts.
SHADES = {4: 4, 3: 3, 2: 2}
#: What the keys of those columns begin with.
COUNTED = "running_"


def repeats(sheet: Worksheet, plan: Plan, placement: Placement, at: tuple[int, int]) -> tuple[int, int]:
    """Colour the seasons and passes of the grid by how often running a group comes there,
    which columns out of sight count.
    """
    spot = placement.spots["rotation_grid"]
    counted = [column.key for column in spot.table.columns if column.key.startswith(COUNTED)]
    first, last = (spot.cell(key.removeprefix(COUNTED), row)
                   for key, row in ((counted[0], 0), (counted[-1], spot.rows - 1)))
    for times, shade in SHADES.items():
        _, fill, ink = MAP_SHADES[shade]
        # A blank cell holds text, which some programs take for more than any number.
        rule = f"SUM({spot.cell(counted[0])})>={times}"
        sheet.conditional_formatting.add(f"{first}:{last}",
                                         Rule(type="expression", formula=[rule], dxf=marking(ink, fill)))
    for key in counted:
        sheet.column_dimensions[spot.letters[key]].hidden = True
    return 0, 0


REPEATS: dict[str, PutChart] = {"repeats": repeats}
