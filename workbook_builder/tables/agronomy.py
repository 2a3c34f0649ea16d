"""The agronomy tables in sheet order: water, jar, nozzles and effective modes."""

from __future__ import annotations

from workbook_builder.tables.jar import JAR_TABLES
from workbook_builder.tables.water_quality import WATER_TABLES

AGRONOMY_RESULTS = (*WATER_TABLES, *JAR_TABLES)
