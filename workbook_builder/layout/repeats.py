"""The grid of the rotation: a cell is the darker, the longer one of its groups has come time after time."""

from __future__ import annotations

from openpyxl.formatting.rule import Rule
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.place import Placement
from workbook_builder.layout.charts import PutChart
from workbook_builder.layout.parts import marking
from workbook_builder.planning import Plan
from workbook_builder.theme import MAP_SHADES

#: Times running from which a shade is used -> number of the shade, darkest first: the first rule that holds counts.
SHADES = {4: 4, 3: 3, 2: 2}
#: Groups of a cell that are looked at, and characters that each may take.
GROUPS, ROOM = 6, 40


def repeats(sheet: Worksheet, plan: Plan, placement: Placement, at: tuple[int, int]) -> tuple[int, int]:
    """Colour the seasons and passes of the grid by how often running a group comes there."""
    spot = placement.spots["rotation_grid"]
    keys = [column.key for column in spot.table.columns if column.key.startswith(("season_", "pass_"))]
    last = spot.cell(keys[-1], spot.rows - 1)
    for times, shade in SHADES.items():
        here, *before = (spot.cell(key) for key in reversed(keys[:times]))
        _, fill, ink = MAP_SHADES[shade]
        sheet.conditional_formatting.add(f"{here}:{last}", Rule(type="expression", formula=[running(here, before)], dxf=marking(ink, fill)))
    return 0, 0


def running(cell: str, before: list[str]) -> str:
    """Return the formula that is true where a group of a cell stands in every one of the cells before it.

    A cell reads ``9, 14 (Preharvest aid)``, or ``9, 14`` for a whole season.
    """
    group = f'TRIM(MID(SUBSTITUTE({_groups(cell)},", ",REPT(" ",{ROOM})),{ROOM}*ROW($1:${GROUPS})-{ROOM - 1},{ROOM}))'
    found = "".join(f'*ISNUMBER(FIND(","&{group}&",",","&SUBSTITUTE({_groups(each)},", ",",")&","))' for each in before)
    return f"SUMPRODUCT((LEN({group})>0){found})>0"


def _groups(cell: str) -> str:
    return f'LEFT({cell}&" (",FIND(" (",{cell}&" (")-1)'


REPEATS: dict[str, PutChart] = {"repeats": repeats}
