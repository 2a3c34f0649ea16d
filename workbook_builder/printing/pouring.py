"""What goes into a load, step by step: measured amounts, packages, the level the tank stands at after each,
and what people do and wear.
"""

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
from workbook_builder.features.loads.measuring import (
    LEVEL,
    WATER,
    Measured,
    Step,
    measured,
    packages_text,
    poured_text,
    steps_of,
    to_measure,
)
from workbook_builder.planning import Plan
from workbook_builder.printing.pages import BLANK_LINE, Wording


def lines_of(plan: Plan, table: str, row: int) -> list[Cells]:
    """Return the filled lines of a pass in a table that lists those of all passes one after the other."""
    return [line for line in plan.tables[table] if line["parent_no"] == row + 1 and line["pass"] != ""]


@dataclass(frozen=True)
class Line:
    """One product of a mix, in its order."""

    number: int
    product: str
    rate: str
    registration: str
    restricted: bool
    phase: str
    per_volume: Any  # Base units poured per unit of spray volume
    liquid_part: Any  # Room it takes per unit of spray volume; blank where a density is missing
    # How often the planned amount may go into the label's maximum, 1 where it may not be exceeded
    headroom: float
    package: float  # Base units poured that a package holds; 0 where that is not known
    package_label: str
    pause: float

    @property
    def title(self) -> str:
        """Place and product."""
        return f"{self.number}. {self.product}"


@dataclass(frozen=True)
class Poured:
    """One product in one load: the big number, what to take from the shelf, how far it is off,
    and the level after it.
    """

    amount: str
    packages: str
    error: str
    level: str
    base: float


@dataclass(frozen=True)
class Fill:
    """One kind of load: what is in the tank before, what is added, and how each product is poured.

    Volumes in [volume].
    """

    in_tank: float
    volume: float
    water: str
    water_level: str
    poured: tuple[Poured, ...]
    mark: str
    area: str


class Pourer:
    """Says how the products of a pass are poured into loads of any volume, by the steps of the settings."""

    def __init__(self, plan: Plan) -> None:
        self.plan, self.wording = plan, Wording.of(plan)
        rows, settings = plan.tables["measuring_steps"], plan.tables["assumptions"][0]
        self.steps: dict[str, tuple[Step, ...]] = {what: steps_of(rows, what, plan.system)
                                                   for what in (LIQUID, DRY, WATER, LEVEL)}
        self._off = {key: number(settings[key]) for key in ("package_off", "step_off")}
        self._first_fill = number(settings["first_fill"])
        self._per_volume = number(plan.tables["factors"][0]["base_per_volume"])

    def lines(self, rows: Iterable[int]) -> tuple[Line, ...]:
        """Return the products of passes of one mix in mixing order.

        The strictest label of all the passes counts.
        """
        rows, slots = list(rows), self.plan.room.slots["products"]
        mix_no = self.plan.tables["pass_volumes"][rows[0]]["mix_no"]
        if mix_no == "":
            return ()
        order = [row for row in self.plan.tables["adding_order"][(mix_no - 1) * slots : mix_no * slots]
                 if row["item"] != ""]
        return tuple(self._line(rows, row, n) for n, row in enumerate(order, 1))

    def _line(self, rows: list[int], adding: Cells, place: int) -> Line:
        tables, slots, slot = self.plan.tables, self.plan.room.slots["products"], int(adding["item"])
        line = lines_of(self.plan, "mix_lines", rows[0])[slot - 1]
        carrier, as_measured = (tables["passes"][rows[0]]["carrier"],
                                tables["poured_lines"][int(line["row_no"]) - 1])
        product = Cells({key: at(tables["products"], line["product_row"], key) for key in
                         ("registration_no", "restricted_use", "package_size", "package_unit")})
        typed = tables["mixes"][int(tables["mix_items"][(int(tables["pass_volumes"][rows[0]]["mix_no"]) - 1)
                                                        * slots + slot - 1]["row"]) - 1]
        most = next((f", max {self.wording.number(limit['max_rate'], 3)}" for row in rows
                     if (limit := self._limits(row)[slot - 1])["max_rate"] != ""
                     and limit["unit"] == typed["rate_unit"]), "")
        return Line(
            place, str(line["product"]),
            f"{self.wording.number(typed['rate'], 3)} {typed['rate_unit']}{most}",
            str(product["registration_no"]),
            folded(product["restricted_use"]) == "yes", str(line["phase"]),
            line["poured"] / carrier if line["poured"] != "" and carrier else "", line["liquid_part"],
            number(as_measured["headroom"]) or 1.0, number(as_measured["package"]),
            f"{self.wording.number(product['package_size'], 3)} {product['package_unit']}",
            number(adding["pause"]),
        )

    def _limits(self, row: int) -> list[Cells]:
        """Return the limits of the products of a pass, in the order of its mix."""
        lines = zip(self.plan.tables["mix_lines"], self.plan.tables["product_limits"], strict=True)
        return [limit for line, limit in lines if line["parent_no"] == row + 1 and line["product"] != ""]

    def measured(self, line: Line, volume: float) -> Measured | None:
        """Return a product as it is measured out for a volume of mixture [volume].

        None where its rate is not known.
        """
        if line.per_volume == "" or line.phase not in (LIQUID, DRY):
            return None
        exact = to_measure(line.per_volume * volume)
        return (measured(exact, self.steps[line.phase], exact * line.headroom, line.package, **self._off)
                if exact else None)

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
            poured.append(Poured(self.told(line, found.amount, found.unit), shelf, found.error_text,
                                 self._level(level), found.amount))
        measure = self.wording.measure
        mark, area = (measure("volume", self._stepped(in_tank + volume, LEVEL), 1),
                      measure("area", volume / carrier, 1) if carrier else "")
        told = measure("volume", water, 0) if known else BLANK_LINE
        return Fill(in_tank, volume, told, self._level(in_tank + water if known else math.nan),
                    tuple(poured), mark, area)

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


@dataclass(frozen=True)
class Blank:
    """One box of a work order."""

    label: str
    filled: str  # What is known of it; blank to write in
    rules: tuple[str, ...]  # Rules whose record asks for it, by the names of docs/work-order.md


@dataclass(frozen=True)
class WorkOrder:
    """The boxes of a work order, what to wear, and whom to call."""

    boxes: tuple[Blank, ...]
    wear: str
    calls: tuple[tuple[str, str], ...]


STATES = ("Texas", "Minnesota", "Wisconsin", "California")
#: Columns of the line of each day and field, and what asks for them besides the boxes.
DAY_COLUMNS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Date", ("federal", "Texas", "Minnesota", "Wisconsin", "California", "posting")),
    ("Field", ("federal", "California", "posting")), ("Loads", ()),
    ("Start", ("Texas", "Wisconsin", "California", "posting")),
    ("End", ("Minnesota", "Wisconsin", "California", "posting")),
    ("Wind, from", ("Texas", "Minnesota")), ("Temperature", ("Texas", "Minnesota")), ("Humidity", ()),
    ("Area", ("federal", "Texas", "Minnesota", "California")), ("Field opens", ("posting",)), ("Signed", ()),
)
#: What stands elsewhere on a card.
ELSEWHERE: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Product, registration number", ("federal", "commercial", "Texas", "Minnesota", "Wisconsin",
                                      "California", "posting")),
    ("Rate", ("Texas", "Minnesota")), ("Total amount", ("federal", "commercial", "Wisconsin", "California")),
    ("Volume of mixture", ("Texas",)),
    ("Lot number", ()), ("Location of the field",
                         ("federal", "commercial", "Texas", "Wisconsin", "California", "posting")),
    ("Crop or site", ("federal", "Texas", "Minnesota", "Wisconsin", "California", "posting")),
    ("Re-entry interval", ("posting",)),
)


def work_order(plan: Plan, rows: Iterable[int]) -> WorkOrder:
    """Return the work order of passes of one mix and one sprayer."""
    rows, tables, w = list(rows), plan.tables, Wording.of(plan)
    farm, passes = tables["farm"][0], [tables["passes"][row] for row in rows]
    fields = {folded(each["field"]) for each in passes}
    weeds = dict.fromkeys(str(each["weed"]) for each in tables["weeds"] if each["weed"]
                          and folded(each["field"]) in fields)
    nozzles = dict.fromkeys(str(each["nozzle"]) for each in tables["nozzles"] if each["nozzle"]
                            and folded(each["sprayer"]) == folded(passes[0]["sprayer"]))
    orders = dict.fromkeys(str(each["order_no"]) for each in passes if each["order_no"] != "")
    area = sum(float(tables["pass_volumes"][row]["area"] or 0) for row in rows)
    treated = sum(float(tables["pass_volumes"][row]["sprayed_area"] or 0) for row in rows)
    speed, nozzle = (at(tables["sprayers"], tables["pass_volumes"][rows[0]]["sprayer_row"], "speed"),
                     next(iter(nozzles), "") if len(nozzles) == 1 else "")
    def joined(*parts: object) -> str:
        return ", ".join(str(part) for part in parts if part)

    boxes = (
        Blank("Customer, name and address", joined(farm["farm"], farm["address"]),
              ("commercial", *STATES[:3])),
        Blank("Order no.; copy given on", ", ".join(orders), ("federal", "Minnesota", "California")),
        Blank("Firm, licence no.", joined(farm["prepared_by"], farm["firm_licence_no"]),
              ("Texas", "Minnesota")),
        Blank("Applicator, licence no.", joined(farm["applicator"], farm["licence_no"]),
              ("federal", "commercial", *STATES)),
        Blank("Helper not certified, trained by, on", "", ("commercial", "Texas")),
        Blank("Permit, operator or site ID", "", ("Texas", "California")),
        Blank("Target pests", ", ".join(weeds), ("Texas",)),
        Blank("Planted, treated area", f"{w.measure('area', area)}, {w.measure('area', treated)}",
              ("federal", "commercial", *STATES[:2], STATES[3])),
        Blank("Mixed and loaded at", str(farm["mixing_place"]), ("Wisconsin",)),
        Blank("Method, carrier", f"{passes[0]['method']}, water", ("Texas", "California")),
        Blank("Nozzle, droplets, pressure", nozzle, ()),
        Blank("Speed, boom height", w.measure("speed", speed) if speed != "" else "", ()),
    )
    return WorkOrder(boxes, _wear(plan, rows[0]), tuple((label, str(farm[key])) for label, key in
                     (("Emergency", "emergency_phone"), ("Poison help", "poison_phone"),
                      ("Spill line", "spill_phone"))))


def _wear(plan: Plan, row: int) -> str:
    """Say what each label wants worn with its products, and of which pesticides nobody typed it."""
    worn, missing = dict[str, list[str]](), []
    for line in lines_of(plan, "mix_lines", row):
        if line["product_row"] == "":
            continue
        wear = plan.tables["products"][line["product_row"] - 1]["ppe"]
        if wear != "":
            worn.setdefault(str(wear), []).append(str(line["product"]))
        elif plan.tables["product_facts"][line["product_row"] - 1]["pesticide"]:
            missing.append(str(line["product"]))
    told = [f"{wear} ({', '.join(products)})" for wear, products in worn.items()]
    return ("; ".join([*told, *([f"not entered for {', '.join(missing)}: read the label"] if missing
                                else [])]) or "what the labels require")
