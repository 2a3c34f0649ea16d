"""The agronomy tables in sheet order: water, jar, nozzles and effective modes."""

from __future__ import annotations

from workbook_builder.features.cover.columns import COVER_TABLES
from workbook_builder.features.effective_modes.columns import EFFECTIVE_TABLES
from workbook_builder.features.jar.columns import JAR_TABLES
from workbook_builder.features.nozzles.columns import NOZZLE_TABLES
from workbook_builder.features.suggestions.columns import MENDING_TABLES
from workbook_builder.features.water.columns import WATER_TABLES
from workbook_builder.features.weeds.columns import WEED_WORKINGS

AGRONOMY_RESULTS = (*EFFECTIVE_TABLES, *COVER_TABLES, *MENDING_TABLES, *WATER_TABLES, *JAR_TABLES, *NOZZLE_TABLES, *WEED_WORKINGS)
