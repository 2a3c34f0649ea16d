"""All declared tables, in the order their sheets stand in the workbook."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.features.calendar.columns import CALENDAR_KINDS, CALENDAR_TABLES, CALENDAR_WORKINGS
from workbook_builder.features.clean_out.columns import CLEAN_OUT_TABLES
from workbook_builder.features.clean_out.inputs import CLEAN_OUT_INPUTS
from workbook_builder.features.clock.columns import CLOCK_TABLES, TIME_ZONES
from workbook_builder.features.cost.columns import COST_TABLES
from workbook_builder.features.farm.columns import FARM_TABLES
from workbook_builder.features.farm.settings import SETTING_TABLES
from workbook_builder.features.follow_up.columns import FOLLOW_UP_TABLES
from workbook_builder.features.intervals.columns import INTERVAL_TABLES
from workbook_builder.features.limits.columns import LIMIT_TABLES
from workbook_builder.features.loads.columns import VOLUME_TABLES
from workbook_builder.features.machine.inputs import MONEY_TABLES
from workbook_builder.features.mixes.columns import ADDING_ORDER, MIX_LIST, MIX_WORKINGS
from workbook_builder.features.overview.columns import ALL_CHECKS, CHECK_LIST, MIX_SHEET_TABLES, OVERVIEW_TABLES, PASS_OPEN
from workbook_builder.features.plant_back.columns import PLANT_BACK_TABLES
from workbook_builder.features.products.columns import PRODUCT_TABLES
from workbook_builder.features.products.workings import PRODUCT_WORKINGS
from workbook_builder.features.reference.columns import REFERENCE_TABLES
from workbook_builder.features.rotation.columns import MODE_TABLES
from workbook_builder.features.runoff.columns import MITIGATION_TABLES
from workbook_builder.features.runoff.inputs import MITIGATION_INPUTS, MITIGATION_SETTING_TABLES
from workbook_builder.features.shares.columns import SHARE_TABLES, SPOT_ASSUMPTIONS, SPOT_FACTORS
from workbook_builder.features.shares.inputs import CONTACT_GROUPS, SPOT_INPUTS
from workbook_builder.features.spot_checks.columns import SPOT_CHECK_TABLES
from workbook_builder.features.spot_sheet.columns import SPOT_SHEET_TABLES
from workbook_builder.features.spot_volumes.columns import VOLUME_CHOICE_TABLES
from workbook_builder.features.tables_agronomy import AGRONOMY_RESULTS
from workbook_builder.features.tables_field_work import FIELD_WORK_INPUTS, FIELD_WORK_PRINTED, FIELD_WORK_RESULTS
from workbook_builder.features.tables_money import MONEY_RESULTS
from workbook_builder.features.to_fix.columns import CAUSE_LIST, FARM_CHECKS, TO_FIX_TABLES
from workbook_builder.features.two_tanks.columns import TWO_TANK_TABLES
from workbook_builder.features.weeds.inputs import AGRONOMY_INPUTS, AGRONOMY_SETTING_TABLES

INPUT_TABLES = FARM_TABLES + PRODUCT_TABLES + SPOT_INPUTS + FIELD_WORK_INPUTS + AGRONOMY_INPUTS + CLEAN_OUT_INPUTS + MITIGATION_INPUTS + MONEY_TABLES
_RESULTS = (
    ALL_CHECKS,
    CHECK_LIST,
    FARM_CHECKS,
    PASS_OPEN,
    *VOLUME_TABLES,
    ADDING_ORDER,
    MIX_LIST,
    *MODE_TABLES,
    *LIMIT_TABLES,
    *INTERVAL_TABLES,
    *PLANT_BACK_TABLES,
    *SPOT_SHEET_TABLES,
    *VOLUME_CHOICE_TABLES,
    *TWO_TANK_TABLES,
    *SHARE_TABLES,
    *SPOT_CHECK_TABLES,
    *FOLLOW_UP_TABLES,
    *COST_TABLES,
    *FIELD_WORK_RESULTS,
    *AGRONOMY_RESULTS,
    *CLEAN_OUT_TABLES,
    *MITIGATION_TABLES,
    *MONEY_RESULTS,
    *CALENDAR_WORKINGS,
    *CLOCK_TABLES,
)
_SHOWN = tuple(table for table in _RESULTS if table.kind in ("result", "setting"))
_WORKINGS = MIX_WORKINGS + PRODUCT_WORKINGS + (CAUSE_LIST,) + tuple(table for table in _RESULTS if table.kind == "working")

#: Every table of the workbook, in sheet order.
TABLES: tuple[Table, ...] = (
    *OVERVIEW_TABLES,
    *TO_FIX_TABLES,
    *MIX_SHEET_TABLES,
    *CALENDAR_TABLES,
    *FIELD_WORK_PRINTED,
    *INPUT_TABLES,
    *_SHOWN,
    *SETTING_TABLES,
    *AGRONOMY_SETTING_TABLES,
    *MITIGATION_SETTING_TABLES,
    SPOT_ASSUMPTIONS,
    CONTACT_GROUPS,
    *REFERENCE_TABLES,
    CALENDAR_KINDS,
    SPOT_FACTORS,
    TIME_ZONES,
    *_WORKINGS,
)
BY_KEY: dict[str, Table] = {table.key: table for table in TABLES}
if len(BY_KEY) != len(TABLES):
    raise ValueError("two tables are declared under one key")
#: Tables people type into, which are also what the readers read.
TYPED_TABLES: tuple[Table, ...] = tuple(table for table in TABLES if table.is_typed)
