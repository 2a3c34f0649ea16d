"""What goes into a load, step by step: measured amounts, packages, and the level the tank stands at after each."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.draft import Cells, at, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import STEP_DIGITS, rounded
from workbook_builder.core.units import DRY, LIQUID
from workbook_builder.features.loads.measuring import LEVEL, WATER, Measured, Step, measured, packages_text, poured_text, steps_of
from workbook_builder.planning import Plan
from workbook_builder.printing.wording import BLANK_LINE, Wording


def lines_of(plan: Plan, table: str, row: int) -> list[Cells]:
    """Return the filled lines of a pass in a table that lists those of all passes one after the other."""
    return [line for line in plan.tables[table] if line["parent_no"] == row + 1 and line["pass"] != ""]


@dataclass(frozen=True)
class Line:
    """One product of a mix, in its order.

    Attributes
    ----------
    per_volume : float or ""
        Base units poured per unit of spray volume.
    liquid_part : float or ""
        Room it takes per unit of spray volume; blank where a density is missing.
    headroom : float
        How often the planned amount may go into the label's maximum, 1 where it may not be exceeded.
    package : float
        Base units poured that a package holds; 0 where that is not known.
    """

    number: int
    product: str
    rate: str
    registration: str
    restricted: bool
    phase: str
    per_volume: Any
    liquid_part: Any
    headroom: float
    package: float
    package_label: str
    pause: float

    @property
    def title(self) -> str:
        """Place and product."""
        return f"{self.number}. {self.product}"


@dataclass(frozen=True)
class Poured:
    """One product in one load: the big number, what to take from the shelf, how far it is off, and the level after it."""

    amount: str
    packages: str
    error: str
    level: str
    base: float


@dataclass(frozen=True)
class Fill:
    """One kind of load: what is in the tank before, what is added, and how each product is poured; volumes in [volume]."""

    in_tank: float
    volume: float
    water: str
    water_level: str
    poured: tuple[Poured, ...]
    mark: str
    area: str


class Pourer:
    """Says how the products of a pass are poured into loads of any volume, by the steps of the settings.

    Parameters
    ----------
    plan : Plan
    """

    def __init__(self, plan: Plan) -> None:
        self.plan, self.wording = plan, Wording.of(plan)
        rows, settings = plan.tables["measuring_steps"], plan.tables["assumptions"][0]
        self.steps: dict[str, tuple[Step, ...]] = {what: steps_of(rows, what, plan.system) for what in (LIQUID, DRY, WATER, LEVEL)}
        self._off = {key: number(settings[key]) for key in ("package_off", "step_off")}
        self._first_fill = number(settings["first_fill"])
        self._per_volume = number(plan.tables["factors"][0]["base_per_volume"])

    def lines(self, rows: Iterable[int]) -> tuple[Line, ...]:
        """Return the products of passes of one mix in mixing order; the strictest label of all the passes counts."""
        rows, slots = list(rows), self.plan.room.slots["products"]
        mix_no = self.plan.tables["pass_volumes"][rows[0]]["mix_no"]
        if mix_no == "":
            return ()
        order = [row for row in self.plan.tables["adding_order"][(mix_no - 1) * slots : mix_no * slots] if row["item"] != ""]
        return tuple(self._line(rows, row, n) for n, row in enumerate(order, 1))

    def _line(self, rows: list[int], adding: Cells, place: int) -> Line:
        tables, slots, slot = self.plan.tables, self.plan.room.slots["products"], int(adding["item"])
        line = lines_of(self.plan, "mix_lines", rows[0])[slot - 1]
        carrier, as_measured = tables["passes"][rows[0]]["carrier"], tables["poured_lines"][int(line["row_no"]) - 1]
        product = Cells({key: at(tables["products"], line["product_row"], key) for key in
                         ("registration_no", "restricted_use", "package_size", "package_unit")})
        typed = tables["mixes"][int(tables["mix_items"][(int(tables["pass_volumes"][rows[0]]["mix_no"]) - 1) * slots + slot - 1]["row"]) - 1]
        most = next((f", max {self.wording.number(limit['max_rate'], 3)}" for row in rows
                     if (limit := self._limits(row)[slot - 1])["max_rate"] != "" and limit["unit"] == typed["rate_unit"]), "")
        return Line(
            place, str(line["product"]), f"{self.wording.number(typed['rate'], 3)} {typed['rate_unit']}{most}", str(product["registration_no"]),
            folded(product["restricted_use"]) == "yes", str(line["phase"]),
            line["poured"] / carrier if line["poured"] != "" and carrier else "", line["liquid_part"],
            number(as_measured["headroom"]) or 1.0, number(as_measured["package"]),
            f"{self.wording.number(product['package_size'], 3)} {product['package_unit']}", number(adding["pause"]),
        )

    def _limits(self, row: int) -> list[Cells]:
        """Return the limits of the products of a pass, in the order of its mix."""
        lines = zip(self.plan.tables["mix_lines"], self.plan.tables["product_limits"], strict=True)
        return [limit for line, limit in lines if line["parent_no"] == row + 1 and line["product"] != ""]

    def measured(self, line: Line, volume: float) -> Measured | None:
        """Return a product as it is measured out for a volume of mixture [volume]; None where its rate is not known."""
        if line.per_volume == "" or line.phase not in (LIQUID, DRY):
            return None
        exact = rounded(line.per_volume * volume, STEP_DIGITS)
        return measured(exact, self.steps[line.phase], exact * line.headroom, line.package, **self._off) if exact else None

    def told(self, line: Line, base: float, unit: str = "") -> str:
        """Tell an amount of a product in base units."""
        return poured_text(base, line.phase, self.plan.system, unit)

    def fill(self, lines: Iterable[Line], in_tank: float, volume: float, carrier: float) -> Fill:
        """Work out one kind of load.

        Parameters
        ----------
        lines : iterable of Line
        in_tank, volume : float
            Of this mix in the tank already, and to add [volume].
        carrier : float
            [volume/area]
        """
        lines = list(lines)
        parts = [line.liquid_part for line in lines]
        liquid = added(number(part) for part in parts)
        known = "" not in parts
        water = self._stepped(volume * (1 - liquid) * self._first_fill, WATER)
        level = in_tank + water if known else math.nan
        poured = []
        for line in lines:
            found = self.measured(line, volume)
            if found is None:
                poured.append(Poured("not entered", "", "", self._level(math.nan), 0.0))
                continue
            level += number(line.liquid_part) * volume * found.amount / found.exact
            shelf = packages_text(found, line.phase, self.plan.system, line.package, line.package_label)
            poured.append(Poured(self.told(line, found.amount, found.unit), shelf, found.error_text, self._level(level), found.amount))
        measure = self.wording.measure
        mark, area = measure("volume", self._stepped(in_tank + volume, LEVEL), 1), measure("area", volume / carrier, 1) if carrier else ""
        told = measure("volume", water, 0) if known else BLANK_LINE
        return Fill(in_tank, volume, told, self._level(in_tank + water if known else math.nan), tuple(poured), mark, area)

    @property
    def water_step(self) -> float:
        """Step of the gauge while water goes in [volume]."""
        return self.steps[WATER][0].size / self._per_volume

    def _stepped(self, volume: float, what: str) -> float:
        """Round a volume to the step of a gauge, which is told in base units."""
        step = self.steps[what][0].size / self._per_volume
        return rounded(rounded(volume / step, STEP_DIGITS)) * step or rounded(volume, 1)

    def _level(self, level: float) -> str:
        return "" if math.isnan(level) else self.wording.number(self._stepped(level, LEVEL), 1)

    def amounts(self, lines: Iterable[Line], volume: float) -> list[str]:
        """Return the amounts for a volume of mixture [volume], in the order of the products."""
        found = [(line, self.measured(line, volume)) for line in lines]
        return [self.told(line, each.amount, each.unit) if each else "" for line, each in found]
