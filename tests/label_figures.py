"""Label figures as (kind, value) in one unit a kind: those that are published, and those of a demo farm.

A kind is told by its unit, so that strengths, rates and limits in US and metric units are compared in one.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from demo_csv import Farm, herbicides
from oracles.rows import Row, Value

from workbook_builder.core import units
from workbook_builder.features.reference import data as reference_data

#: Patterns of the names that published figures go by -> kind, factor into the unit of the kind.
PUBLISHED: tuple[tuple[str, str, float], ...] = (
    (r"content_lb(_a[ei])?_per_gal", "lb/gal", 1),
    (r"content_g_per_l", "lb/gal", units.factor("g/L", "lb/gal")),
    (r"content_percent", "% w/w", 1),
    (r"content_lb_ai_per_lb", "% w/w", 100),
    (r".*lb(_a[ei])?_per_ac", "lb/ac", 1),
    (r"rate_kg_(ai_)?per_ha", "lb/ac", units.factor("kg/ha", "lb/ac")),
    (r"rate_g_ai_per_ha", "lb/ac", units.factor("kg/ha", "lb/ac") / 1000),
    (r"(low_|high_)?rate_fl_oz_per_ac", "fl oz/ac", 1),
    (r"(low_|high_)?rate_pt_per_ac", "fl oz/ac", 16),
    (r"phi_days", "days to harvest", 1),
    (r"(forage|grazing|hay)_days", "days to grazing", 1),
    (r"retreat_days", "days between passes", 1),
    (r"max_passes|passes", "passes", 1),
    (r"rainfast_hours", "rain-free hours", 1),
    (r"rei_hours", "re-entry hours", 1),
    (r"label_(low|high)_mph", "mph", 1),
    (r"label_(low|high)_f", "F", 1),
    (r"label_no_rain_h", "hours without rain", 1),
    (r"(buffer|stream|lake|mixing)_ft", "ft of buffer", 1),
    (r"after_sunrise_h", "hours after sunrise", 1),
    (r"before_sunset_h", "hours before sunset", 1),
    (r"percent_vv", "% v/v", 1),
    (r"(low_|high_)?(rate_)?lb_per_100_gal", "lb/100 gal", 1),
)
#: Kinds that are compared whatever the ingredient: strengths and figures that rows state without naming one.
OF_ANY = {"lb/gal", "% w/w", "re-entry hours", "mph", "F", "hours without rain", "ft of buffer",
          "hours after sunrise", "hours before sunset", "% v/v", "lb/100 gal"}
#: Column of label_limits -> kind.
LIMITS = {"phi_days": "days to harvest", "grazing_days": "days to grazing",
          "retreat_days": "days between passes", "max_passes": "passes"}
#: Column of weather_limits -> kind.
WEATHER = {"wind_min": "mph", "wind_max": "mph", "temperature_min": "F", "temperature_max": "F",
           "no_rain_hours": "hours without rain",
           "buffer_distance": "ft of buffer", "after_sunrise_hours": "hours after sunrise",
           "before_sunset_hours": "hours before sunset"}


@dataclass(frozen=True)
class Figure:
    """A label figure: of which active ingredient (blank: of any), of which kind, how large,
    and where it stands.
    """

    active: str
    kind: str
    value: float
    where: str


def published(rows: tuple[Row, ...]) -> Iterator[Figure]:
    """Yield the label figures of published rows, once for each ingredient that a row names."""
    for row in rows:
        named = str(row.given.get("active_ingredient", "")).casefold().split(" + ")
        for kind, value in _figures({**row.given, **row.expected}):
            for active in ("",) if kind in OF_ANY else filter(None, named):
                yield Figure(active, kind, value, row.id)


def _figures(cells: dict[str, Value]) -> Iterator[tuple[str, float]]:
    for key, value in cells.items():
        for pattern, kind, factor in PUBLISHED:
            if re.fullmatch(pattern, key) and isinstance(value, float):
                yield kind, value * factor
        if key in ("interval", "low") and isinstance(value, float) and "interval_unit" in cells:
            yield f"{cells['interval_unit']} to planting", value


def same(one: Figure, other: Figure) -> bool:
    """Return whether two figures are of one kind and ingredient, and of one size to half a percent,
    as figures are printed.
    """
    related = not other.active or one.active.startswith(other.active) or other.active.startswith(one.active)
    return related and one.kind == other.kind and abs(one.value - other.value) <= 0.005 * other.value


def of_demo(farm: Farm) -> Iterator[Figure]:
    """Yield the label figures of a demo farm; a figure of zero is none, it stands for no wait."""
    for figure in (*_strengths(farm), *_rates(farm), *_ingredient_limits(farm), *_days_and_hours(farm),
                   *_weather(farm), *_adjuvants(farm)):
        if figure.value:
            yield figure


def _actives(farm: Farm, product: str) -> dict[str, tuple[float, str]]:
    """Return the ingredients of a product with their content and its unit."""
    return {line["active_ingredient"].casefold(): (float(line["content"]), line["content_unit"])
            for line in farm["ingredients"] if line["product"] == product}


def _strengths(farm: Farm) -> Iterator[Figure]:
    for line in farm["ingredients"]:
        unit = re.sub(r" a[ei]/", "/", line["content_unit"])
        value = float(line["content"])
        kind = "lb/gal" if unit in ("lb/gal", "g/L") else "% w/w"
        factor = units.factor(unit, "lb/gal") if kind == "lb/gal" else {"% w/w": 1.0, "g/kg": 0.1}[unit]
        yield Figure(line["active_ingredient"].casefold(), kind, value * factor,
                     f"ingredients {line['product']}")


def _rates(farm: Farm) -> Iterator[Figure]:
    """Yield rates and rate limits as product and as ingredient."""
    system = farm["farm"][0]["units"]
    rate_units = {row["rate_unit"]: row for row in reference_data.rate_units(system)}
    contents = {row["content_unit"]: row["factor"] for row in reference_data.content_units(system)}
    per_acre = 1.0 if system == "us" else units.factor("kg/ha", "lb/ac")
    liquid = 1.0 if system == "us" else units.factor("mL/ha", "fl oz/ac")
    for where, line, key in _rate_cells(farm):
        unit = rate_units[line["rate_unit"]]
        base = float(line[key]) * unit["per_area"]
        for active, (content, content_unit) in _actives(farm, line["product"]).items():
            yield Figure(active, "lb/ac", base * content * contents[content_unit] * per_acre, where)
            if unit["phase"] == units.LIQUID:
                yield Figure(active, "fl oz/ac", base * liquid, where)


def _rate_cells(farm: Farm) -> Iterator[tuple[str, dict[str, str], str]]:
    own = herbicides(farm)
    for line in farm["mixes"]:
        if line["product"] in own:
            yield f"mixes {line['mix']}: {line['product']}", line, "rate"
    for line in farm["label_limits"]:
        for key in ("max_rate", "max_rate_season"):
            yield f"label_limits {line['product']} {line['crop']} {key}", line, key


def _ingredient_limits(farm: Farm) -> Iterator[Figure]:
    for line in farm["ingredient_limits"]:
        factor = units.factor(re.sub(r" a[ei]/", "/", line["unit"]), "lb/ac")
        for key in ("max_pass", "max_season"):
            yield Figure(line["active_ingredient"].casefold(), "lb/ac", float(line[key]) * factor,
                         f"ingredient_limits {line['active_ingredient']} {key}")


def _days_and_hours(farm: Farm) -> Iterator[Figure]:
    cells: list[tuple[str, dict[str, str], str, str]] = [
        *(("label_limits", line, key, kind) for line in farm["label_limits"] for key, kind in LIMITS.items()),
        *(("plant_back", line, "interval", f"{line['interval_unit']} to planting")
          for line in farm["plant_back"]),
        *(("products", line, key, kind) for line in farm["products"]
          for key, kind in (("rei_hours", "re-entry hours"), ("rainfast_hours", "rain-free hours"))),
    ]
    for table, line, key, kind in cells:
        for active in _actives(farm, line["product"]) if line[key] else ():
            yield Figure(active, kind, float(line[key]),
                         f"{table} {line['product']} {line.get('crop', line.get('next_crop', ''))} {key}")


def _weather(farm: Farm) -> Iterator[Figure]:
    metric = farm["farm"][0]["units"] == "metric"
    converted: dict[str, Any] = {
        "mph": lambda value: value * units.factor("km/h", "mph"), "F": lambda value: value * 9 / 5 + 32,
        "ft of buffer": lambda value: value * units.factor("m", "ft"),
    }
    for line in farm["weather_limits"]:
        for key, kind in WEATHER.items():
            if line[key]:
                value = float(line[key])
                yield Figure("", kind, converted[kind](value) if metric and kind in converted else value,
                             f"weather_limits {line['product']} {key}")


def _adjuvants(farm: Farm) -> Iterator[Figure]:
    """Yield what is mixed in by the volume, and the ammonium sulfate that labels ask for."""
    own = herbicides(farm)
    metric = farm["farm"][0]["units"] == "metric"
    factor = units.factor("kg/L", "lb/gal") if metric else 1.0
    for line in farm["mixes"]:
        if line["product"] not in own and line["rate_unit"] == "% v/v":
            yield Figure("", "% v/v", float(line["rate"]), f"mixes {line['mix']}: {line['product']}")
        if line["rate_unit"] in ("lb/100 gal", "kg/100 L"):
            yield Figure("", "lb/100 gal", float(line["rate"]) * factor,
                         f"mixes {line['mix']}: {line['product']}")
    for line in farm["products"]:
        for key in ("ams_low", "ams_high"):
            if line[key]:
                yield Figure("", "lb/100 gal", float(line[key]) * factor, f"products {line['product']} {key}")
