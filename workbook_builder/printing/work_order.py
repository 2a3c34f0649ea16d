"""The work order: what the record rules ask for, filled in where it was typed and blank to write in where not."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from workbook_builder.core.draft import at
from workbook_builder.core.room import folded
from workbook_builder.planning import Plan
from workbook_builder.printing.pouring import lines_of
from workbook_builder.printing.wording import Wording


@dataclass(frozen=True)
class Blank:
    """One box of a work order.

    Attributes
    ----------
    label : str
    filled : str
        What is known of it; blank to write in.
    rules : tuple of str
        Rules whose record asks for it, by the names of docs/work-order.md.
    """

    label: str
    filled: str
    rules: tuple[str, ...]


@dataclass(frozen=True)
class WorkOrder:
    """The boxes of a work order, what to wear, and whom to call."""

    boxes: tuple[Blank, ...]
    wear: str
    calls: tuple[tuple[str, str], ...]


STATES = ("Texas", "Minnesota", "Wisconsin", "California")
#: Columns of the line of each day and field, and what asks for them besides the boxes.
DAY_COLUMNS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Date", ("federal", "Texas", "Minnesota", "Wisconsin", "California", "posting")), ("Field", ("federal", "California", "posting")), ("Loads", ()),
    ("Start", ("Texas", "Wisconsin", "California", "posting")), ("End", ("Minnesota", "Wisconsin", "California", "posting")),
    ("Wind, from", ("Texas", "Minnesota")), ("Temperature", ("Texas", "Minnesota")), ("Humidity", ()),
    ("Area", ("federal", "Texas", "Minnesota", "California")), ("Field opens", ("posting",)), ("Signed", ()),
)
#: What stands elsewhere on a card.
ELSEWHERE: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Product, registration number", ("federal", "commercial", "Texas", "Minnesota", "Wisconsin", "California", "posting")),
    ("Rate", ("Texas", "Minnesota")), ("Total amount", ("federal", "commercial", "Wisconsin", "California")), ("Volume of mixture", ("Texas",)),
    ("Lot number", ()), ("Location of the field", ("federal", "commercial", "Texas", "Wisconsin", "California", "posting")),
    ("Crop or site", ("federal", "Texas", "Minnesota", "Wisconsin", "California", "posting")), ("Re-entry interval", ("posting",)),
)


def work_order(plan: Plan, rows: Iterable[int]) -> WorkOrder:
    """Return the work order of passes of one mix and one sprayer."""
    rows, tables, w = list(rows), plan.tables, Wording.of(plan)
    farm, passes = tables["farm"][0], [tables["passes"][row] for row in rows]
    fields = {folded(each["field"]) for each in passes}
    weeds = dict.fromkeys(str(each["weed"]) for each in tables["weeds"] if each["weed"] and folded(each["field"]) in fields)
    nozzles = dict.fromkeys(str(each["nozzle"]) for each in tables["nozzles"] if each["nozzle"] and folded(each["sprayer"]) == folded(passes[0]["sprayer"]))
    orders = dict.fromkeys(str(each["order_no"]) for each in passes if each["order_no"] != "")
    area = sum(float(tables["pass_volumes"][row]["area"] or 0) for row in rows)
    treated = sum(float(tables["pass_volumes"][row]["sprayed_area"] or 0) for row in rows)
    speed, nozzle = at(tables["sprayers"], tables["pass_volumes"][rows[0]]["sprayer_row"], "speed"), next(iter(nozzles), "") if len(nozzles) == 1 else ""
    def joined(*parts: object) -> str:
        return ", ".join(str(part) for part in parts if part)

    boxes = (
        Blank("Customer, name and address", joined(farm["farm"], farm["address"]), ("commercial", *STATES[:3])),
        Blank("Order no.; copy given on", ", ".join(orders), ("federal", "Minnesota", "California")),
        Blank("Firm, licence no.", joined(farm["prepared_by"], farm["firm_licence_no"]), ("Texas", "Minnesota")),
        Blank("Applicator, licence no.", joined(farm["applicator"], farm["licence_no"]), ("federal", "commercial", *STATES)),
        Blank("Helper not certified, trained by, on", "", ("commercial", "Texas")),
        Blank("Permit, operator or site ID", "", ("Texas", "California")),
        Blank("Target pests", ", ".join(weeds), ("Texas",)),
        Blank("Planted, treated area", f"{w.measure('area', area)}, {w.measure('area', treated)}", ("federal", "commercial", *STATES[:2], STATES[3])),
        Blank("Mixed and loaded at", str(farm["mixing_place"]), ("Wisconsin",)),
        Blank("Method, carrier", f"{passes[0]['method']}, water", ("Texas", "California")),
        Blank("Nozzle, droplets, pressure", nozzle, ()),
        Blank("Speed, boom height", w.measure("speed", speed) if speed != "" else "", ()),
    )
    return WorkOrder(boxes, _wear(plan, rows[0]), tuple((label, str(farm[key])) for label, key in
                     (("Emergency", "emergency_phone"), ("Poison help", "poison_phone"), ("Spill line", "spill_phone"))))


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
    return "; ".join([*told, *([f"not entered for {', '.join(missing)}: read the label"] if missing else [])]) or "what the labels require"
