"""The result tables of the money side, in sheet order."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.features.full_cost.columns import FULL_COST_TABLES
from workbook_builder.features.machine.columns import MACHINE_TABLES
from workbook_builder.features.orders.columns import ORDER_TABLES
from workbook_builder.features.spot_money.columns import SPOT_MONEY_TABLES, SPOT_WHAT_IF_TABLES
from workbook_builder.features.work_rate.columns import WORK_COST_TABLES

MONEY_RESULTS: tuple[Table, ...] = (
    *WORK_COST_TABLES,
    *FULL_COST_TABLES,
    *SPOT_MONEY_TABLES,
    *SPOT_WHAT_IF_TABLES,
    *MACHINE_TABLES,
    *ORDER_TABLES,
)
