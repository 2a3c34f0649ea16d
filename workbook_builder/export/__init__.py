"""Plan tables as plain rows for JSON: own names, plain numbers in the farm's units, ISO dates."""

from __future__ import annotations

from workbook_builder.export.agronomy import VIEWS as AGRONOMY_VIEWS
from workbook_builder.export.calendar import VIEWS as CALENDAR_VIEWS
from workbook_builder.export.clean_out import VIEWS as CLEAN_OUT_VIEWS
from workbook_builder.export.mitigation import VIEWS as MITIGATION_VIEWS
from workbook_builder.export.money import VIEWS as MONEY_VIEWS
from workbook_builder.export.records import VIEWS as RECORD_VIEWS
from workbook_builder.export.season import VIEWS as SEASON_VIEWS
from workbook_builder.export.spot import VIEWS as SPOT_VIEWS
from workbook_builder.export.view import View, plain_rows

__all__ = ["VIEWS", "View", "plain_rows"]

#: View name -> how its rows are taken from a plan.
VIEWS: dict[str, View] = {
    **SEASON_VIEWS, **RECORD_VIEWS, **CALENDAR_VIEWS, **AGRONOMY_VIEWS, **CLEAN_OUT_VIEWS, **MITIGATION_VIEWS, **SPOT_VIEWS,
    **MONEY_VIEWS,
}
