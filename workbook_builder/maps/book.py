"""What a farm's book says that a log does not: passes, carriers, booms, loads, costs, the zone."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from typing import Any

from workbook_builder.core.columns import NOT_ENTERED
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.units import area_unit, factor, length_unit, volume_unit
from workbook_builder.features.shares.beta import share_quantile
from workbook_builder.maps.analysis import Planned
from workbook_builder.maps.rows import Expected
from workbook_builder.planning import Plan
from workbook_builder.printing.wording import Wording

#: What is called usual of a share: 9 of 10 fields.
LOW, HIGH = 0.05, 0.95


@dataclass(frozen=True)
class Book:
    """The parts of a plan that a map needs.

    Attributes
    ----------
    plan : Plan
    zone : str
        Time zone of the farm.
    planned : tuple of Planned
        Every pass on every field.
    expected : dict
        (pass, field) -> what the plan holds.
    look_days : int
    """

    plan: Plan
    zone: str
    planned: tuple[Planned, ...]
    expected: dict[tuple[str, str], Expected]
    look_days: int

    @property
    def boom(self) -> float | None:
        """Return the boom of all spot passes [m]; none where they differ."""
        spot = {row["pass"] for _, row in self.plan.inputs.filled("passes") if str(row.get("method")).casefold() == "spot"}
        widths = {each.boom for each in self.planned if each.passed in spot and each.boom}
        return widths.pop() if len(widths) == 1 else None


def book_of(plan: Plan) -> Book:
    """Return what a map needs of a plan."""
    inputs, system = plan.inputs, plan.system
    length = factor(length_unit(system), "m")
    carrier = factor(f"{volume_unit(system)}/{area_unit(system)}", "L/m2")
    booms = {str(row.get("sprayer")).casefold(): row.get("boom_width") for _, row in inputs.filled("sprayers")}
    planned, fields = [], set()
    for _, row in inputs.filled("passes"):
        width, rate, day = booms.get(str(row.get("sprayer")).casefold()), row.get("carrier"), row.get("date")
        planned.append(Planned(
            str(row["pass"]), str(row["field"]), day if isinstance(day, date) else None, float(rate) * carrier if rate else None,
            float(width) * length if width else None,
        ))
        fields.add(str(row["field"]))
    # Fields without a pass are known too, so that a log of them is not taken for a stranger's.
    planned += [Planned("", str(row["field"])) for _, row in inputs.filled("fields") if row.get("field") and str(row["field"]) not in fields]
    farm = inputs.form("farm")
    days = plan.tables["spot_assumptions"][0]["contact_look_days"]
    return Book(plan, str(farm.get("time_zone") or ""), tuple(planned), _expected(plan), int(days) if isinstance(days, (int, float)) else 3)


def _expected(plan: Plan) -> dict[tuple[str, str], Expected]:
    found = {}
    loads = _loads(plan.inputs)
    for at, row in enumerate(plan.tables["passes"]):
        if row["pass"] == "":
            continue
        key = str(row["pass"]), str(row["field"])
        share, volumes, costs = plan.tables["share_estimates"][at], plan.tables["pass_volumes"][at], plan.tables["cost_passes"][at]
        a, b = share["a"], share["b"]
        low, high = (share_quantile(chance, a, b) if _number(a) and _number(b) else None for chance in (LOW, HIGH))
        sprayed, product = volumes["sprayed_area"], costs["product_cost"]
        cost = float(product) / float(sprayed) if _number(sprayed) and _number(product) and sprayed else None
        typed: tuple[float | None, float | None] = loads.get(key, (None, None))
        planned = row["sprayed_share"] if _number(row["sprayed_share"]) else share["share_mean"]
        found[key] = Expected(float(planned) if _number(planned) else None, low, high, cost, *typed, *_back_in(plan, at))
    return found


def _back_in(plan: Plan, at: int) -> tuple[str, float | None]:
    """Return when the field of a pass opens again, in words and as a day number."""
    interval = plan.tables["intervals"][at]
    known = interval["reentry_status"] != NOT_ENTERED and _number(interval["reentry_at"])
    return Wording.of(plan).opens(interval, plan.tables["passes"][at]["pass"]), float(interval["reentry_at"]) if known else None


def _number(value: Any) -> bool:
    return isinstance(value, (int, float)) and math.isfinite(value)


def _loads(inputs: Inputs) -> dict[tuple[str, str], tuple[float, float]]:
    found: dict[tuple[str, str], tuple[float, float]] = {}
    for _, row in inputs.filled("load_log"):
        key = str(row.get("pass")), str(row.get("field"))
        area, volume = found.get(key, (0.0, 0.0))
        found[key] = area + float(row.get("area_covered") or 0), volume + float(row.get("volume_sprayed") or 0)
    return found
