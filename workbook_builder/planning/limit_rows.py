"""Label limits of products and active ingredients, per pass and per season."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import Any

from workbook_builder.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.planning.adding import added
from workbook_builder.planning.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.planning.product_rows import by_crop
from workbook_builder.planning.rounding import number_text, rounded, shown
from workbook_builder.tables.product_workings import NO_GROUP


def against_limit(amount: Any, limit: Any, needed: Any) -> str:
    """Judge an amount against a label limit in the same unit.

    Parameters
    ----------
    amount, limit : float or ""
    needed : int or ""
        1 when the label must give the limit, 0 when it need not, blank for no product.

    Returns
    -------
    str
        ``OK``, ``Not allowed``, ``Not entered`` or blank.
    """
    if needed == "":
        return ""
    if limit == "":
        return NOT_ENTERED if needed == 1 else ""
    if amount == "":
        return NOT_ENTERED
    return NOT_ALLOWED if rounded(amount - limit, 6) > 0 else OK


def limit_finding(status: str, name: str, what: str, amount: Any, limit: Any, unit: str) -> str:
    """Say what is wrong with an amount, in a sentence; blank when nothing is."""
    if status == NOT_ALLOWED:
        over = number_text(shown(amount, 3))
        return f"{name}: {over} is over the {what} of {number_text(shown(limit, 3))} {unit}"
    return f"{name}: {what} not entered" if status == NOT_ENTERED else ""


def product_limits(draft: Draft) -> list[Cells]:
    """Every product of every pass against its label."""
    keys = first_rows(draft["label_facts"], "key")
    slots = draft.slots("products")
    rows = []
    for number_, line in enumerate(draft["mix_lines"]):
        out = Cells(row_no=number_ + 1, name=line["product"], field=line["field"], previous=0)
        out["pass"] = line["pass"]
        typed, volume = draft["passes"][number_ // slots], draft["pass_volumes"][number_ // slots]
        if line["product"] != "":
            _label(draft, out, line, typed, volume, keys)
            _season_key(out, line, draft["pass_times"][number_ // slots]["last_day"], volume, draft["pass_crops"][number_ // slots])
        rows.append(out)
    _season(draft, rows)
    return rows


def _label(draft: Draft, out: Cells, line: Cells, typed: Cells, volume: Cells, keys: dict[object, int]) -> None:
    out["crop"] = volume["crop"]
    out["needed"] = 0 if line["product_row"] == "" else at(draft["product_facts"], line["product_row"], "pesticide")
    row = out["label_row"] = "" if out["crop"] == "" else by_crop(keys, out["name"], out["crop"])
    if line["rate_base"] != "" and line["own_scale"] != "":
        out["own_rate"] = line["rate_base"] * line["own_scale"]
    if row == "":
        return
    fact = draft["label_facts"][int(row) - 1]
    if fact["unit_area"] != "":
        out["label_unit"] = fact["unit_area"] + fact["unit_volume"] * number(typed["carrier"])
    limits = draft["label_limits"][int(row) - 1]
    out["unit"] = limits["rate_unit"]
    for key, source in (("max_rate", "max_rate"), ("max_season", "max_rate_season"), ("max_passes", "max_passes"), ("retreat_days", "retreat_days")):
        out[key] = limits[source]
    if out["label_unit"] != "" and out["own_rate"] != "":
        out["rate"] = out["own_rate"] / out["label_unit"]
        out["field_average"] = "" if volume["share"] == "" else out["rate"] * volume["share"]


def _season_key(out: Cells, line: Cells, day: Any, volume: Cells, crop: Cells) -> None:
    """Amounts and passes add up within one crop; days between count on the ground, whatever the crop."""
    if line["product_row"] != "" and volume["field_row"] != "":
        out["ground_key"] = volume["field_row"] * 10000 + line["product_row"]
        out["season_key"] = out["ground_key"] * 10 + crop["crop_no"]
        if day != "":
            out["order"] = day + out["row_no"] / 1000000


def _season(draft: Draft, rows: list[Cells]) -> None:
    totals: dict[object, float] = defaultdict(float)
    counts: Counter[object] = Counter()
    orders: dict[object, list[float]] = defaultdict(list)
    firsts = first_rows(rows, "season_key")
    for out in rows:
        key = out["season_key"]
        if key != "":
            totals[key] += number(out["own_rate"])
            counts[key] += 1
            if out["order"] != "":
                orders[out["ground_key"]].append(out["order"])
    slots = draft.slots("products")
    for out in rows:
        first = out["season_first"] = find(firsts, out["season_key"])
        if first != "":
            if first == out["row_no"]:
                out["season_at_first"], out["passes_at_first"] = totals[out["season_key"]], counts[out["season_key"]]
            out["passes"] = counts[out["season_key"]]
            if out["label_unit"] != "":
                out["season_amount"] = totals[out["season_key"]] / out["label_unit"]
            _previous(out, orders[out["ground_key"]], draft["pass_times"][(out["row_no"] - 1) // slots]["day"])
        _statuses(out)


def _previous(out: Cells, orders: list[float], day: Any) -> None:
    if out["order"] == "":
        return
    out["previous"] = max((order for order in orders if order < out["order"]), default=0)
    if out["previous"]:
        out["days_since"] = day - int(out["previous"])


def _statuses(out: Cells) -> None:
    name, unit, needed = out["name"], out["unit"], out["needed"]
    out["rate_status"] = against_limit(out["rate"], out["max_rate"], needed)
    out["rate_finding"] = limit_finding(out["rate_status"], name, "label rate", out["rate"], out["max_rate"], unit)
    out["season_status"] = against_limit(out["season_amount"], out["max_season"], needed)
    out["season_finding"] = limit_finding(
        out["season_status"], name, "season limit", out["season_amount"], out["max_season"], unit
    )
    out["repeat_status"], out["repeat_finding"] = repeats(
        name, needed, out["passes"], out["max_passes"], out["days_since"], out["retreat_days"]
    )


def repeats(name: str, needed: Any, passes: Any, most: Any, days: Any, interval: Any) -> tuple[str, str]:
    """Judge how often and how soon a product is used again on a field.

    Parameters
    ----------
    name : str
    needed : int or ""
        1 when the label must give both figures.
    passes, most : int or ""
        Passes planned and allowed in the season.
    days, interval : float or ""
        Days since the last application and the label's retreatment interval [days].

    Returns
    -------
    (status, finding) : tuple of str
    """
    if needed == "":
        return "", ""
    if most != "" and number(passes) > most:
        return NOT_ALLOWED, f"{name}: {number_text(passes)} passes, the label allows {number_text(most)}"
    if days != "" and interval != "" and days < interval:
        return NOT_ALLOWED, f"{name}: {number_text(days)} days after the last one, the label wants {number_text(interval)}"
    if needed == 1 and (most == "" or interval == ""):
        return NOT_ENTERED, f"{name}: number of passes or retreatment interval not entered"
    return ("", "") if most == "" and interval == "" else (OK, "")


def pass_ingredients(draft: Draft) -> list[Cells]:
    """Active ingredients of every pass, summed over products, against their limits."""
    slots = draft.slots("ingredients")
    keys = first_rows(draft["ingredient_limit_facts"], "key")
    rows: list[Cells] = []
    for typed, volume, crop in zip(draft["passes"], draft["pass_volumes"], draft["pass_crops"], strict=True):
        block = [Cells(row_no=len(rows) + slot, slot=slot) for slot in range(1, slots + 1)]
        for out in block:
            if volume["mix_no"] != "":
                _held(draft, out, typed, volume, slots)
        for out in block:
            if out["name"] != "":
                _in_pass(draft, out, block, volume, keys)
                _ingredient_key(out, volume, crop)
        rows.extend(block)
    _ingredient_season(rows)
    _uses(rows)
    return rows


def _held(draft: Draft, out: Cells, typed: Cells, volume: Cells, slots: int) -> None:
    row = out["item_row"] = (volume["mix_no"] - 1) * slots + out["slot"]
    held = draft["mix_ingredients"][row - 1]
    if held["active_ingredient"] == "":
        return
    out["pass"], out["field"], out["name"] = volume["pass"], volume["field"], held["active_ingredient"]
    for key in ("group", "active_no", "counts", "opens_group", "group_note"):
        out[key] = held[key]
    note = held["group_note"]
    out["group_status"] = NOT_ENTERED if note == NO_GROUP else LOOK if note.startswith("The list") else OK
    if out["group_status"] == NOT_ENTERED:
        out["group_finding"] = f"{out['name']}: herbicide group not entered"
    elif out["group_status"] == LOOK:
        out["group_finding"] = f"{out['name']}: typed as group {number_text(out['group'])}. {out['group_note']}"
    carrier = number(typed["carrier"])
    if held["area_mass"] != "" and carrier:
        out["mass"] = held["area_mass"] + held["volume_mass"] * carrier


def _in_pass(draft: Draft, out: Cells, block: list[Cells], volume: Cells, keys: dict[object, int]) -> None:
    out["needed"] = 1
    if out["mass"] != "":
        out["amount"] = added(number(other["mass"]) for other in block if other["active_no"] == out["active_no"])
        out["field_average"] = "" if volume["share"] == "" else out["amount"] * volume["share"]
    row = out["limit_row"] = "" if volume["crop"] == "" else by_crop(keys, out["name"], volume["crop"])
    if row != "":
        fact = draft["ingredient_limit_facts"][int(row) - 1]
        out["limit_counts"] = fact["counts"]
        out["same_basis"] = int(out["counts"] == "" or fact["counts"] == "" or out["counts"] == fact["counts"])
        if out["same_basis"]:
            out["pass_limit"], out["season_limit"] = fact["pass_limit"], fact["season_limit"]
    unit = draft.form("factors")["mass_unit"]
    out["pass_status"] = against_limit(out["amount"], out["pass_limit"], 1)
    out["pass_finding"] = _ingredient_finding(out, "pass_status", "limit per pass", "amount", "pass_limit", unit)
    out["unit"] = unit


def _ingredient_key(out: Cells, volume: Cells, crop: Cells) -> None:
    if volume["field_row"] != "":
        out["season_key"] = (volume["field_row"] * 10000 + out["active_no"]) * 10 + crop["crop_no"]


def _ingredient_finding(out: Cells, status: str, what: str, amount: str, limit: str, unit: str) -> str:
    if out["same_basis"] == 0:
        return f"{out['name']}: content and limit differ in ae and ai, enter both alike"
    return limit_finding(out[status], out["name"], what, out[amount], out[limit], unit)


def _ingredient_season(rows: list[Cells]) -> None:
    totals: dict[object, float] = defaultdict(float)
    firsts = first_rows(rows, "season_key")
    for out in rows:
        if out["season_key"] != "":
            totals[out["season_key"]] += number(out["mass"])
    for out in rows:
        unit = out.pop("unit", "")
        first = out["season_first"] = find(firsts, out["season_key"])
        if first != "":
            if first == out["row_no"]:
                out["season_at_first"] = totals[out["season_key"]]
            out["season_amount"] = totals[out["season_key"]]
        if out["name"] != "":
            out["season_status"] = against_limit(out["season_amount"], out["season_limit"], 1)
            out["season_finding"] = _ingredient_finding(
                out, "season_status", "limit per season", "season_amount", "season_limit", unit
            )


def _uses(rows: list[Cells]) -> None:
    """Number the uses of each group on each field."""
    seen: Counter[object] = Counter()
    for out in rows:
        if out["group"] == "" or out["season_key"] == "":
            continue
        field_row = out["season_key"] // 100000
        out["group_key"] = field_row * 100 + out["group"]
        if out["opens_group"] == 1:
            seen[out["group_key"]] += 1
            out.update(use_key=out["group_key"], use_no=seen[out["group_key"]])
            out["use_id"] = out["use_key"] * 100 + out["use_no"]
