"""Every capability, a folder each, and all that they declare."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.views import View
from workbook_builder.features.names import declared

#: Parts of the workbook, in the order they stand.
SECTIONS = ("first", "input", "result", "setting", "reference", "working")


#: Every table of the workbook, in sheet order.
TABLES: tuple[Table, ...] = tuple(sorted(declared("columns", "TABLES"), key=lambda table: SECTIONS.index(table.section or table.kind)))
BY_KEY: dict[str, Table] = {table.key: table for table in TABLES}
if len(BY_KEY) != len(TABLES):
    raise ValueError("two tables are declared under one key")
#: Tables people type into, which are also what the readers read, and those of them that stand apart from results.
TYPED_TABLES: tuple[Table, ...] = tuple(table for table in TABLES if table.is_typed)
INPUT_TABLES: tuple[Table, ...] = tuple(table for table in TABLES if table.kind == "input")
#: Lists of the JSON by name.
VIEWS: dict[str, View] = {view.name: view for view in declared("views", "VIEWS")}
