"""Every capability, a folder each, and all that they declare."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.views import View
from workbook_builder.features.names import declared
from workbook_builder.features.tabs import PLACE_OF

#: Every table of the workbook, feature by feature.
TABLES: tuple[Table, ...] = tuple(declared("columns", "TABLES"))
BY_KEY: dict[str, Table] = {table.key: table for table in TABLES}
if len(BY_KEY) != len(TABLES):
    raise ValueError("two tables are declared under one key")
#: Tables people type into, which are also what the readers read, in the order of the tabs; and those of them
#: that a new farm fills in.
TYPED_TABLES: tuple[Table, ...] = tuple(sorted((table for table in TABLES if table.is_typed),
                                               key=lambda table: PLACE_OF[table.key]))
INPUT_TABLES: tuple[Table, ...] = tuple(table for table in TYPED_TABLES if table.kind == "input")
#: Lists of the JSON by name.
VIEWS: dict[str, View] = {view.name: view for view in declared("views", "VIEWS")}
