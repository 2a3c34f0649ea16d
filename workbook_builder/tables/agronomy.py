"""The agronomy tables in sheet order: water, jar, nozzles and effective modes."""

from __future__ import annotations

from workbook_builder.tables.cover_weeks import COVER_TABLES
from workbook_builder.tables.effective_modes import EFFECTIVE_TABLES
from workbook_builder.tables.jar import JAR_TABLES
from workbook_builder.tables.mending import MENDING_TABLES
from workbook_builder.tables.nozzle_checks import NOZZLE_TABLES
from workbook_builder.tables.water_quality import WATER_TABLES
from workbook_builder.tables.weed_workings import WEED_WORKINGS

AGRONOMY_RESULTS = (*EFFECTIVE_TABLES, *COVER_TABLES, *MENDING_TABLES, *WATER_TABLES, *JAR_TABLES, *NOZZLE_TABLES, *WEED_WORKINGS)
