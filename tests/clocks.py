"""Clocks of listed time zones, put together from their figures for tests."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from workbook_builder.core.draft import Cells
from workbook_builder.features.clock.definitions import Clock, clock_of


def zone_figures(zone: Mapping[str, Any]) -> Cells:
    """Return the figures of a listed time zone, 0 for those it has none of."""
    names = {"standard": "standard_offset", "shift": "summer_shift"}
    keys = ("standard", "shift", "start_month", "start_week", "start_hour", "end_month",
            "end_week", "end_hour")
    out = Cells({key: zone[names.get(key, key)] or 0 for key in keys})
    out["south"] = int(out["start_month"] > out["end_month"]) if out["shift"] else 0
    return out


def clock_in(zone: Cells, years: Sequence[Cells]) -> Clock:
    """Return the clock of a time zone in some years."""
    keys = ("on_wall", "off_wall", "on_utc", "off_utc")
    return clock_of(zone["standard"], zone["shift"], zone["south"],
                    *([year[key] for year in years] for key in keys))
