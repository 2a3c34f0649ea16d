"""The list of features, and what they declare."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from importlib import import_module
from importlib.util import find_spec
from typing import Any

#: Every feature, in the order of its sheets: what comes first, what is typed, what follows from it.
NAMES = (
    "overview", "to_fix", "mix_sheet", "reference", "calendar", "farm", "products", "labels", "loads",
    "tank_order", "mixes", "rotation", "limits", "label_depth", "soil_rates", "reentry", "intervals",
    "plant_back", "spot_sheet", "spot_volumes", "two_tanks", "shares", "spot_checks", "follow_up", "cost",
    "weather", "records", "as_logged", "weeds",
    "effective_modes", "thresholds", "nutrients", "cover", "suggestions", "water", "jar", "nozzles",
    "buffers", "pollinators", "clean_out", "runoff", "work_rate", "full_cost", "spot_money", "spot_seasons",
    "machine", "orders",
    "clock", "spray_map",
)


def declared(module: str, what: str, names: Iterable[str] = NAMES) -> Iterator[Any]:
    """Yield what features declare under one name in one of their modules."""
    for name in names:
        place = f"workbook_builder.features.{name}.{module}"
        if find_spec(place):
            yield from getattr(import_module(place), what, ())
