"""The result tables of the money side, in sheet order."""

from __future__ import annotations

from workbook_builder.columns import Table
from workbook_builder.tables.full_costs import FULL_COST_TABLES
from workbook_builder.tables.machine import MACHINE_TABLES
from workbook_builder.tables.orders import ORDER_TABLES
from workbook_builder.tables.spot_money import SPOT_MONEY_TABLES, SPOT_WHAT_IF_TABLES
from workbook_builder.tables.work_costs import WORK_COST_TABLES

MONEY_RESULTS: tuple[Table, ...] = (
    *WORK_COST_TABLES,
    *FULL_COST_TABLES,
    *SPOT_MONEY_TABLES,
    *SPOT_WHAT_IF_TABLES,
    *MACHINE_TABLES,
    *ORDER_TABLES,
)
