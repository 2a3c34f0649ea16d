"""All checks on one list, the points to fix, the glance and the mix sheet."""

from __future__ import annotations

from collections import Counter
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK, OPEN_STATUSES
from workbook_builder.core.draft import Cells, Draft, at, number, worst
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text, shown
from workbook_builder.features.loads.definitions import pour_text
from workbook_builder.features.overview.columns import CHECK_KINDS, CheckKind
from workbook_builder.features.to_fix.rows import chosen


def _slots_of(draft: Draft, kind: CheckKind) -> int:
    return len(draft[kind.table]) // len(draft["passes"])


def _outcome(draft: Draft, kind: CheckKind, pass_no: int) -> tuple[str, str]:
    slots = _slots_of(draft, kind)
    rows = draft.under(kind.table, pass_no, slots)
    status = worst(row[kind.status] for row in rows)
    if not kind.block:
        return status, rows[0][kind.finding]
    if status in ("", OK):
        return status, ""
    return status, next(row[kind.finding] for row in rows if row[kind.status] == status)


def all_checks(draft: Draft) -> list[Cells]:
    """Every check of every pass."""
    rows: list[Cells] = []
    running: Counter[str] = Counter()
    for pass_no, volume in enumerate(draft["pass_volumes"]):
        for check_no, kind in enumerate(CHECK_KINDS, 1):
            out = Cells(row_no=len(rows) + 1, check_no=check_no, check=kind.name)
            out["status"], out["finding"] = _outcome(draft, kind, pass_no)
            if out["status"] != "":
                out["pass"], out["field"] = volume["pass"], volume["field"]
            running[out["status"]] += chosen(draft, volume)
            for place, status in enumerate(OPEN_STATUSES, 1):
                out[f"open_{place}"] = running[status]
            rows.append(out)
    return rows


def glance(draft: Draft) -> list[Cells]:
    """What is wrong and what it costs, in one form."""
    farm, cost = draft.form("farm"), draft.form("cost_farm")
    found = {status: added(row["count"] for row in draft["causes"] if row["status"] == status) for status in OPEN_STATUSES}
    out = Cells(banner=f"{farm['farm']}, season {number_text(farm['season']) if farm['season'] != '' else ''}")
    out.update(not_allowed=found[NOT_ALLOWED], not_entered=found[NOT_ENTERED], look=found[LOOK])
    out["open"] = out["not_allowed"] + out["not_entered"] + out["look"]
    out["room"] = _room_word(draft)
    out["verdict"] = verdict(out["not_allowed"], out["not_entered"], out["look"])
    dates = [row["day"] for row in draft["pass_times"] if row["day"] != ""]
    out["first_date"], out["last_date"] = min(dates, default=""), max(dates, default="")
    for key in ("passes", "total_cost", "cost_per_field_area", "holds", "assumed", "left_out", "mean_modes"):
        out[key] = cost[key]
    return [out]


def _room_word(draft: Draft) -> str:
    """Say whether a list outgrew the room it was built with."""
    counts = (("mix_rows", "distinct", "mixes"), ("group_facts", "running", "groups"), ("crop_rows", "running", "crops"),
              ("pass_rows", "running", "pass_names"), ("spot_uses", "running", "spot"))
    events = added(row["key"] != "" for table in ("pass_events", "field_events") for row in draft[table])
    full = events > draft.slots("calendar")
    full = full or any(max(row[key] for row in draft[table]) > draft.slots(slot) for table, key, slot in counts)
    return "Review: a list is full, build the workbook again" if full else OK


def verdict(not_allowed: int, not_entered: int, look: int) -> str:
    """Say the state of the plan in one line, worst first."""
    if not_allowed:
        return f"Not allowed: {not_allowed} to fix before spraying"
    if not_entered:
        return f"Not entered: {not_entered} label figures or inputs missing"
    return f"Review: {look} points to weigh" if look else "OK: nothing open"


def row_of_choice(draft: Draft, choice: Cells) -> Any:
    """Return the row of the chosen pass and field, counted from 1; blank when there is none."""
    if choice["pass"] == "":
        return ""
    wanted = folded(f"{choice['pass']}|{choice['field']}")
    return next((n for n, v in enumerate(draft["pass_volumes"], 1) if folded(v["key"]) == wanted), "")


def load_sheet(draft: Draft) -> list[Cells]:
    """The chosen load."""
    choice, out = draft.form("load_choice"), Cells()
    row = out["row"] = row_of_choice(draft, choice)
    for key in ("mix", "method", "sprayer", "date"):
        out[key] = at(draft["passes"], row, key)
    for key in ("loads", "mix_no", "full_loads"):
        out[key] = at(draft["pass_volumes"], row, key)
    out["rei_hours"] = at(draft["intervals"], row, "rei_told")
    for key in ("reentry_at", "because_of_pass", "posting"):
        out[key] = at(draft["intervals"], row, key)
    out["open"] = at(draft["pass_open"], row, "open")
    out["liquid_part"] = at(draft["pass_water"], row, "liquid_part")
    if row != "":
        out["tank_first"] = next((step["what"] for step in draft["clean_sequence"] if step["next_row"] == row), "")
    if row != "" and choice["load"] != "":
        _chosen_load(draft, out, choice["load"])
    out["status"] = _load_status(out)
    return [out]


def _chosen_load(draft: Draft, out: Cells, load: float) -> None:
    volume, typed = draft["pass_volumes"][out["row"] - 1], draft["passes"][out["row"] - 1]
    if load > number(volume["loads"]):
        return
    if load == 1:
        out["volume"] = volume["first_load_volume"]
    else:
        out["volume"] = volume["later_load_volume" if load <= volume["full_loads"] else "last_load_volume"]
    out["in_tank"] = 0 if load == 1 and volume["opens"] else volume["unusable"]
    out["full_volume"] = out["in_tank"] + out["volume"]
    out["area"] = (out["full_volume"] - volume["unusable"]) / typed["carrier"]
    if out["liquid_part"] == "":
        return
    out["water"] = out["volume"] * (1 - out["liquid_part"])
    out["first_fill"] = out["water"] * draft.form("assumptions")["first_fill"]


def _load_status(out: Cells) -> str:
    if out["row"] == "":
        return "Review: no such pass on that field"
    if out["volume"] == "":
        return f"Review: this pass has {number_text(out['loads']) if out['loads'] != '' else ''} loads"
    return OK


def load_lines(draft: Draft) -> list[Cells]:
    """Products of the chosen load in mixing order."""
    sheet, slots = draft.form("load_sheet"), draft.slots("products")
    rows = []
    for slot in range(1, slots + 1):
        out = Cells(slot=slot)
        if sheet["volume"] != "":
            mix_no = draft["pass_volumes"][sheet["row"] - 1]["mix_no"]
            if mix_no != "":
                out["order_row"] = (mix_no - 1) * slots + slot
                order = draft["adding_order"][out["order_row"] - 1]
                if order["product"] != "":
                    _load_line(draft, out, order, sheet)
        rows.append(out)
    return rows


def _load_line(draft: Draft, out: Cells, order: Cells, sheet: Cells) -> None:
    out["done"], out["product"] = "[  ]", order["product"]
    out["line_row"] = (sheet["row"] - 1) * draft.slots("products") + order["item"]
    line: Any = draft["mix_lines"][out["line_row"] - 1]
    out["poured"], out["phase"], out["unit"] = line["poured"], line["phase"], line["amount_unit"]
    out["pause"], out["why"] = order["pause"], order["why"]
    if out["poured"] != "":
        carrier = draft["passes"][sheet["row"] - 1]["carrier"]
        out["base"] = shown(out["poured"] * sheet["volume"] / carrier, 1)
        out["amount"] = out["base"] / line["pour_base"]
        out["pour"] = pour_text(out["base"], out["phase"], draft.form("factors"))
