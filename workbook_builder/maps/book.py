"""What a farm's book says that a log does not: passes, carriers, booms, loads, costs, the zone."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from workbook_builder.core.units import area_unit, factor, length_unit, volume_unit
from workbook_builder.maps.passes import Planned
from workbook_builder.planning import Plan


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
    """

    plan: Plan
    zone: str
    planned: tuple[Planned, ...]

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
    sprayers = {str(row.get("sprayer")).casefold(): row for _, row in inputs.filled("sprayers")}
    planned, fields = [], set()
    for _, row in inputs.filled("passes"):
        sprayer, rate, day = sprayers.get(str(row.get("sprayer")).casefold(), {}), row.get("carrier"), row.get("date")
        boom, behind = (None if sprayer.get(key) is None else float(sprayer[key]) * length for key in ("boom_width", "antenna_to_boom"))
        planned.append(Planned(
            str(row["pass"]), str(row["field"]), day if isinstance(day, date) else None, float(rate) * carrier if rate else None,
            boom, behind,
        ))
        fields.add(str(row["field"]))
    # Fields without a pass are known too, so that a log of them is not taken for a stranger's.
    planned += [Planned("", str(row["field"])) for _, row in inputs.filled("fields") if row.get("field") and str(row["field"]) not in fields]
    farm = inputs.form("farm")
    return Book(plan, str(farm.get("time_zone") or ""), tuple(planned))
