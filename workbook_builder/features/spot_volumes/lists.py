"""Lists of spot passes alone: what is worked out beside every pass, fetched for those that are spot passes.
"""

from __future__ import annotations

from dataclasses import replace

from workbook_builder.core.columns import FIXED, WORKING, Table
from workbook_builder.core.short import listed, slot_number

#: Sheet of what is worked out beside every pass.
BEHIND = "Workings spot passes"


def with_list(table: Table) -> tuple[Table, Table]:
    """Return a table beside the passes as a working, and the list that shows its spot passes.

    On a farm that mostly sprays broadcast, nearly all rows of such a table are blank; nobody
    should have to look for the others.

    Parameters
    ----------
    table : Table
        A table of results with one row beside each pass, blank for other than spot passes.

    Returns
    -------
    (Table, Table)
    """
    shown = tuple(listed(column, table.key, "spot_passes.row")
                  for column in table.columns if column.role not in (WORKING, FIXED))
    behind = replace(table, title=f"{table.title}, beside every pass", kind="working", sheet=BEHIND)
    return (behind, replace(table, key=f"{table.key}_list", columns=(slot_number(), *shown),
                            rows="as:spot_passes", shows=table.key))
