"""Pick list, order list and other package sizes."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from workbook_builder.core.adding import added, total
from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import leftover, number_text, rounded, shown, whole_below
from workbook_builder.features.loads.definitions import amount_in, spray_volume
from workbook_builder.features.orders.definitions import order, order_by
from workbook_builder.features.records.inputs import AREA_DOUBT
from workbook_builder.features.shares.beta import share_quantile

INCOMPLETE = "Package size, unit, price or density is missing"
NO_DATE = 100000
#: What the list of orders shows of a product.
ORDERED = (
    "order_by", "drop_date", "supplier", "product", "expected", "wanted", "on_hand", "missing", "packages", "size", "unit", "cost", "first_use", "finding",
)


def order_volumes(draft: Draft) -> list[Cells]:
    """Volume of what is still to be sprayed of each pass: as expected, and spot passes at the confidence wanted."""
    rows, confidence = [], draft.form("spot_figures")["wanted_confidence"]
    tables = (draft[key] for key in ("passes", "pass_volumes", "share_estimates", "pass_times", "as_logged"))
    for typed, volume, estimate, times, log in zip(*tables, strict=True):
        out = Cells(share=volume["share"], expected_share=volume["share"], left=1)
        if estimate["remaining_area"] != "" and number(volume["area"]):
            out["left"] = estimate["remaining_area"] / volume["area"]
        out["done"] = min(1, number(estimate["logged_share"])) * (1 - out["left"])
        if estimate["a"] != "":
            out["share"] = max(number(typed["sprayed_share"]), share_quantile(confidence, estimate["a"], estimate["b"]))
            out["expected_share"] = estimate["share_mean"] if typed["sprayed_share"] == "" else typed["sprayed_share"]
        out["to_do"] = _to_do(out["left"], folded(typed["method"]) == "spot", times, estimate["loads_logged"], (log["area_typed"], volume["area"]))
        for key in ("expected_", ""):
            if out[f"{key}share"] != "" and volume["loads"] != "":
                sprayed = out[f"{key}volume"] = spray_volume(volume["area"] * out["to_do"], out[f"{key}share"], typed["carrier"])
                out[f"{key}mixed"] = sprayed + (volume["opens"] * volume["unusable"] if rounded(sprayed, 6) > 0 else 0)
        rows.append(out)
    return rows


def _to_do(left: float, spot: bool, times: Cells, loads: Any, areas: tuple[Any, Any]) -> float:
    """Return the part of a pass to buy for: none once it is logged, and what is left of one half done."""
    if times["log_day"] == "":
        return left
    if spot:
        # What a record calls treated may be the spots alone; the load log counts the ground driven over.
        return 0 if times["log_end"] != "" or not number(loads) else left
    treated, area = areas
    rest = 1 - treated / area if treated != "" and number(area) else 0
    return rest if rounded(rest - AREA_DOUBT, 6) > 0 else 0


def pick_list(draft: Draft) -> list[Cells]:
    """What to take along for each pass, slot by slot."""
    slots, rows = draft.slots("products"), []
    for number_, line in enumerate(draft["mix_lines"]):
        typed, wanted = draft["passes"][number_ // slots], draft["order_volumes"][number_ // slots]
        out = Cells(product=line["product"], product_row=line["product_row"], uncounted=0)
        if line["product"] != "":
            out["pass"], out["field"], out["date"], out["done"] = line["pass"], line["field"], draft["pass_times"][number_ // slots]["day"], "[  ]"
            _pick(draft, out, line, wanted, typed["carrier"])
            out["uncounted"] = int(out["amount"] == "" and wanted["to_do"] != 0)
        rows.append(out)
    return rows


def _pick(draft: Draft, out: Cells, line: Cells, wanted: Cells, carrier: Any) -> None:
    row = line["product_row"]
    out["package_base"] = at(draft["product_facts"], row, "package_base")
    if out["package_base"] != "":
        out["package_size"] = number(at(draft["products"], row, "package_size"))
    out["unit"] = at(draft["products"], row, "package_unit")
    if line["rate_base"] != "" and line["unit_price"] != "":
        out["area_cost"] = line["rate_base"] * line["unit_price"]
    for key, mixed in (("base", wanted["mixed"]), ("expected_base", wanted["expected_mixed"])):
        if "" not in (line["rate_base"], line["own_scale"], mixed):
            out[key] = amount_in(line["rate_base"] * line["own_scale"], mixed, carrier)
    if out["base"] != "" and number(out["package_base"]):
        held = out["base"] / out["package_base"]
        out["amount"] = held * out["package_size"]
        out["packages"] = whole_below(held)
        out["rest"] = leftover(max(0, out["amount"] - out["packages"] * out["package_size"]))


def order_list(draft: Draft) -> list[Cells]:
    """What to order of every product."""
    lines: dict[Any, list[Cells]] = defaultdict(list)
    for line in draft["pick_list"]:
        lines[line["product_row"]].append(line)
    return [_order(draft, product, row_no, lines[row_no]) for row_no, product in enumerate(draft["products"], 1)]


def _order(draft: Draft, product: Cells, row_no: int, lines: list[Cells]) -> Cells:
    out = Cells(row_no=row_no, product=product["product"], supplier=product["supplier"], drop_date=product["drop_date"])
    out.update(unit=product["package_unit"], size=number(product["package_size"]), uncounted=0)
    if out["product"] == "":
        return out
    out["base"], out["on_hand"] = total(line["base"] for line in lines), number(product["on_hand"])
    out["uncounted"] = added(line["uncounted"] for line in lines)
    held = number(at(draft["product_facts"], row_no, "package_base"))
    if held:
        out["expected"] = total(line["expected_base"] for line in lines) / held * out["size"]
        out["wanted"] = out["base"] / held * out["size"]
        found = order(out["wanted"], out["on_hand"], out["size"])
        out.update(missing=found.missing, packages=found.packages, leftover=leftover(found.leftover))
        if product["package_price"] != "":
            out["cost"] = out["packages"] * product["package_price"]
            out["leftover_value"] = out["leftover"] / out["size"] * product["package_price"]
    out["first_use"] = min((line["date"] for line in lines if line["date"] != "" and number(line["base"]) > 0), default="")
    out["delivery_days"] = draft.form("assumptions")["usual_delivery_days"] if product["delivery_days"] == "" else product["delivery_days"]
    if out["packages"] and out["first_use"] != "":
        out["order_by"] = order_by(out["first_use"], out["delivery_days"])
    return out


def package_options(draft: Draft) -> list[Cells]:
    """What the missing amount would cost in each other package size."""
    names, rows = first_rows(draft["products"], "product"), []
    for typed in draft["package_sizes"]:
        out = Cells(product_row=find(names, typed["product"]))
        wanted = at(draft["order_list"], out["product_row"], "wanted")
        out["missing"] = at(draft["order_list"], out["product_row"], "missing")
        if out["missing"] != "" and number(typed["package_size"]):
            found = order(wanted, draft["order_list"][out["product_row"] - 1]["on_hand"], typed["package_size"])
            out["packages"], out["leftover"] = found.packages, leftover(found.leftover)
            out["cost"] = "" if typed["package_price"] == "" else found.packages * typed["package_price"]
        rows.append(out)
    return rows


def order_findings(draft: Draft) -> None:
    """Fill in what the order list says about other package sizes, dates and gaps."""
    options: dict[Any, list[Cells]] = defaultdict(list)
    for option in draft["package_options"]:
        options[option["product_row"]].append(option)
    for out, product in zip(draft["order_list"], draft["products"], strict=True):
        _others(out, options[out["row_no"]])
        ordered = number(out["packages"])
        out["late"] = int(bool(ordered) and "" not in (out["drop_date"], out["first_use"]) and out["drop_date"] > out["first_use"])
        if ordered:
            out["key"] = (NO_DATE if out["order_by"] == "" else out["order_by"]) * 1000 + out["row_no"]
        if out["product"] != "":
            _finding(out, product["package_price"])


def _others(out: Cells, options: list[Cells]) -> None:
    costs = [option["cost"] for option in options if option["cost"] != ""]
    out.update(others=added(cost > 0 for cost in costs), cheaper=0, less_left=0)
    if not out["others"]:
        return
    out["other_cost"] = min(costs)
    out["other_left"] = min(option["leftover"] for option in options if option["leftover"] != "")
    if out["cost"] != "" and out["packages"]:
        out["cheaper"] = max(0, out["cost"] - out["other_cost"])
    if out["leftover"] != "" and out["packages"]:
        out["less_left"] = int(rounded(out["leftover"] - out["other_left"], 6) > 0)


def _finding(out: Cells, price: object) -> None:
    if out["wanted"] == "" or out["uncounted"] > 0 or price == "":
        out["status"], out["finding"] = NOT_ENTERED, INCOMPLETE
        return
    said = []
    if out["late"]:
        said.append("Delivered after it is first needed.")
    if shown(out["cheaper"], 2) > 0:
        said.append(f"Another package size saves {number_text(shown(out['cheaper'], 2))}.")
    if out["less_left"]:
        less = number_text(shown(out["leftover"] - out["other_left"], 1))
        said.append(f"Another package size leaves {less} {out['unit']} less.")
    out["status"], out["finding"] = LOOK if said else OK, " ".join(said)


def drop_list(draft: Draft) -> list[Cells]:
    """Only what has to be ordered, by the last day that leaves time to deliver it."""
    order_findings(draft)
    wanted = sorted((row for row in draft["order_list"] if row["key"] != ""), key=lambda row: row["key"])
    rows, so_far = [], 0.0
    for row_no in range(1, len(draft["products"]) + 1):
        out = Cells(row_no=row_no)
        if row_no <= len(wanted):
            found = wanted[row_no - 1]
            out.update(key=found["key"], row=found["row_no"])
            out.update({key: found[key] for key in ORDERED})
            so_far += number(out["cost"])
            out["so_far"] = so_far
        rows.append(out)
    return rows


