"""Label limits of products and active ingredients, per pass and per season."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text, rounded, shown
from workbook_builder.features.labels.columns import ON_ACID, ON_ACTIVE
from workbook_builder.features.labels.rows import Labels
from workbook_builder.features.products.workings import NO_GROUP


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


def limit_finding(status: str, name: str, what: str, amount: Any, limit: Any, unit: str, other_unit: str = "") -> str:
    """Say what is wrong with an amount, in a sentence; blank when nothing is.

    Parameters
    ----------
    status, name, what : str
    amount, limit : float or ""
        [unit]
    unit, other_unit : str
        Unit of both, and the label's unit where the product cannot be turned into it.
    """
    if status == NOT_ALLOWED:
        over = number_text(shown(amount, 3))
        return f"{name}: {over} is over the {what} of {number_text(shown(limit, 3))} {unit}"
    if status != NOT_ENTERED:
        return ""
    if limit != "":
        return f"{name}: {what} cannot be checked: a rate is not known"
    if other_unit:
        return f"{name}: {what} in {other_unit} cannot be compared: density or carrier rate not entered"
    return f"{name}: {what} not entered"


class _Trips:
    """Lines of passes counted once a trip: sums over what lands on the ground together."""

    def __init__(self, draft: Draft, rows: list[Cells], slots: int, number_key: str) -> None:
        self.rows, self.slots, self.number_key = rows, slots, number_key
        self.shared = [trip["shared"] for trip in draft["applications"]]
        self.by_trip: dict[Any, list[Cells]] = defaultdict(list)
        for out in rows:
            if out["trip_key"] != "":
                self.by_trip[out["trip_key"]].append(out)

    def together(self, index: int) -> list[Cells]:
        """Return the lines of one product (or ingredient) that land together with the line counted from 0."""
        if self.shared[index // self.slots] != 1:
            return self.by_trip[self.rows[index]["trip_key"]]
        first = index // self.slots * self.slots
        own = self.rows[index][self.number_key]
        return [out for out in self.rows[first : first + self.slots] if out[self.number_key] == own and own != ""]


def total_of(rows: list[Cells], key: str) -> Any:
    """Return the sum of a figure over some lines; blank when one of them is not known."""
    values = [row[key] for row in rows]
    return "" if "" in values else added(values)


def product_limits(draft: Draft) -> list[Cells]:
    """Every product of every pass against its label."""
    labels = Labels(draft["label_facts"])
    slots = draft.slots("products")
    rows = []
    for number_, line in enumerate(draft["mix_lines"]):
        out = Cells(row_no=number_ + 1, name=line["product"], field=line["field"], unknown=0, opens=0, previous=0, previous_active=0, in_units=0)
        out["pass"] = line["pass"]
        if line["product"] != "":
            place = number_ // slots
            _product(draft, out, line)
            _label(draft, out, labels, place)
            _own_rate(draft, out, line, draft["applied_lines"][number_]["rate_base"])
            _product_keys(draft, out, place)
        rows.append(out)
    trips = _Trips(draft, rows, slots, "product_no")
    for index, out in enumerate(rows):
        if out["trip_key"] != "":
            together = trips.together(index)
            out["landing"] = total_of(together, "own_rate")
            out["opens"] = int(together[0] is out)
        _rates(draft, out, labels, index // slots)
    _season(draft, rows)
    return rows


def _product(draft: Draft, out: Cells, line: Cells) -> None:
    row = line["product_row"]
    out["needed"] = 1 if row == "" else at(draft["product_facts"], row, "pesticide")
    out["product_no"] = at(draft["product_facts"], row, "product_no")
    out["lead"] = at(draft["products"], out["product_no"], "product")
    alone = out["product_no"] == "" or folded(out["lead"]) == folded(out["name"])
    out["said"] = out["name"] if alone else f"{out['name']} (registered as {out['lead']})"


def _label(draft: Draft, out: Cells, labels: Labels, place: int) -> None:
    crop = draft["pass_crops"][place]
    out["crop"] = crop["crop"]
    out.update(labels.match(out["product_no"], crop))
    out["forbidden"] = labels.strictest(out, "forbidden")
    out["any_row"] = at(draft["label_facts"], out["near_row"], "any_no")
    out["crop_status"] = crop_status(out)
    out["crop_finding"] = crop_finding(out, at(draft["label_limits"], out["near_row"], "crop"))
    out["unit"] = at(draft["label_limits"], out["found_row"], "rate_unit")


def crop_status(out: Cells) -> str:
    """Say whether a product is labelled for the crop of its pass.

    Parameters
    ----------
    out : Cells
        Line of a pass with the label row found for its crop: one that names it, one that nearly does, or that of any crop.
    """
    if out["needed"] == 0 and out["found_row"] == "":
        return ""
    if out["found_row"] == "":
        return NOT_ENTERED
    if out["forbidden"] == 1:
        return NOT_ALLOWED
    if out["near_row"] == "":
        return OK
    return LOOK if out["any_row"] else NOT_ENTERED


def crop_finding(out: Cells, near_crop: str) -> str:
    """Say what the label lacks for the crop of a pass."""
    if out["crop_status"] in ("", OK):
        return ""
    if out["crop"] == "":
        return f"{out['said']}: the crop of this pass is not known"
    if out["found_row"] == "":
        return f"{out['said']}: no label row names {out['crop']}"
    if out["near_row"] == "":
        return f"{out['said']}: the label row says not allowed on {out['crop']}"
    return (
        f"{out['said']}: the label row for {near_crop} may or may not mean {out['crop']}; "
        "the stricter figures count until one name stands in both"
    )


def _own_rate(draft: Draft, out: Cells, line: Cells, rate: Any) -> None:
    """Rate as sold: as logged where the log tells, or else as planned."""
    scale = at(draft["product_facts"], line["product_row"], "label_scale")
    if "" not in (rate, line["own_scale"], scale):
        out["own_rate"] = rate * line["own_scale"] * scale
    out["unknown"] = int(out["own_rate"] == "")


def _product_keys(draft: Draft, out: Cells, place: int) -> None:
    """Keys by which lines add up: in a trip, and on the ground in one crop; days between count on the ground, whatever the crop."""
    volume, trip = draft["pass_volumes"][place], draft["applications"][place]["trip"]
    product = out["product_no"]
    if product == "":
        return
    if trip != "":
        out["trip_key"] = trip * 10000 + product
    if volume["field_row"] != "":
        out["ground_key"] = volume["field_row"] * 10000 + product
        out["season_key"] = out["ground_key"] * 10 + draft["pass_crops"][place]["crop_no"]
        out["order"] = time_order(draft["pass_times"][place]["last_day"], trip)


def time_order(day: Any, trip: Any) -> Any:
    """Return when an application comes among those on its ground; blank without a day."""
    return "" if day == "" else day + number(trip) / 1000000


def _rates(draft: Draft, out: Cells, labels: Labels, place: int) -> None:
    carrier, share = draft["as_logged"][place]["carrier"], draft["pass_volumes"][place]["share"]
    if out["found_row"] != "":
        fact = draft["label_facts"][out["found_row"] - 1]
        if fact["unit_area"] != "":
            out["label_unit"] = fact["unit_area"] + fact["unit_volume"] * carrier
            out["in_units"] = int(out["label_unit"] != 0)
    out["area_limit"], out["volume_limit"] = labels.strictest(out, "rate_area"), labels.strictest(out, "rate_volume")
    if out["volume_limit"] != "" and carrier:
        out["at_carrier"] = out["volume_limit"] * carrier
    out["season_limit"], out["ounces"] = labels.strictest(out, "season_area"), labels.strictest(out, "ounces")
    for key in ("max_passes", "retreat_days"):
        out[key] = labels.strictest(out, key)
    if not out["in_units"]:
        return
    limits = [limit for limit in (out["area_limit"], out["at_carrier"]) if limit != ""]
    out["max_rate"] = rounded(min(limits) / out["label_unit"], 9) if limits else ""
    out["max_season"] = "" if out["season_limit"] == "" else rounded(out["season_limit"] / out["label_unit"], 9)
    if out["landing"] != "":
        out["rate"] = out["landing"] / out["label_unit"]
    if "" not in (out["own_rate"], share):
        out["field_average"] = out["own_rate"] / out["label_unit"] * share


def _season(draft: Draft, rows: list[Cells]) -> None:
    lines, firsts = _by_key(rows, "season_key"), first_rows(rows, "season_key")
    orders = _orders(rows)
    slots = draft.slots("products")
    for index, out in enumerate(rows):
        first = out["season_first"] = find(firsts, out["season_key"])
        if first != "":
            own = lines[out["season_key"]]
            out["season_base"], out["passes"] = total_of(own, "own_rate"), sum(line["opens"] for line in own)
            if first == out["row_no"]:
                out["season_at_first"], out["passes_at_first"] = out["season_base"], out["passes"]
            if out["season_base"] != "" and out["in_units"]:
                out["season_amount"] = out["season_base"] / out["label_unit"]
        _days_since(draft, out, orders, index // slots, index % slots + 1)
        _statuses(out, number(draft["applications"][index // slots]["shared"]) > 1, draft["applied_lines"][index]["said"])


def _by_key(rows: list[Cells], key: str) -> dict[Any, list[Cells]]:
    found: dict[Any, list[Cells]] = defaultdict(list)
    for out in rows:
        if out[key] != "":
            found[out[key]].append(out)
    return found


def _orders(rows: list[Cells]) -> dict[Any, list[float]]:
    return {key: sorted({line["order"] for line in lines if line["order"] != ""}) for key, lines in _by_key(rows, "ground_key").items()}


def before(orders: list[float], order: Any) -> float:
    """Return the latest of some applications that comes before one; 0 when none does."""
    return max((other for other in orders if order != "" and other < order), default=0)


def _days_since(draft: Draft, out: Cells, orders: dict[Any, list[float]], place: int, slot: int) -> None:
    if out["order"] != "":
        out["previous"] = before(orders[out["ground_key"]], out["order"])
        held = draft.under("pass_ingredients", place, draft.slots("ingredients"))
        out["previous_active"] = max((line["previous"] for line in held if line["item"] == slot), default=0)
    out["latest"] = max(out["previous"], out["previous_active"])
    if out["latest"]:
        out["days_since"] = draft["pass_times"][place]["day"] - int(out["latest"])


def _statuses(out: Cells, shared: bool, as_logged: str) -> None:
    if out["name"] == "":
        return
    said, unit, needed = out["said"], out["unit"], out["needed"]
    apart = "" if out["in_units"] else unit
    held = out["against_rate"] = against_limit(out["rate"], out["max_rate"], needed)
    out["rate_status"] = LOOK if held == OK and out["ounces"] == 1 else held
    in_trip = f"{unit} in one trip{as_logged}" if shared else unit + as_logged
    out["rate_finding"] = limit_finding(held, said, "label rate", out["rate"], out["max_rate"], in_trip, apart)
    if out["rate_status"] == LOOK:
        out["rate_finding"] = f"{said}: oz on its label is counted as weight, by its density; choose fl oz where that is meant"
    out["season_status"] = against_limit(out["season_amount"], out["max_season"], needed)
    out["season_finding"] = limit_finding(
        out["season_status"], said, "season limit", out["season_amount"], out["max_season"], unit + as_logged, apart
    )
    what = "an active ingredient of it was last sprayed" if out["previous_active"] > out["previous"] else "the last one"
    out["repeat_status"], out["repeat_finding"] = repeats(
        said, needed, out["passes"], out["max_passes"], out["days_since"], out["retreat_days"], what
    )


def repeats(name: str, needed: Any, passes: Any, most: Any, days: Any, interval: Any, what: str = "the last one") -> tuple[str, str]:
    """Judge how often and how soon a product is used again on a field.

    Parameters
    ----------
    name : str
    needed : int or ""
        1 when the label must give both figures.
    passes, most : int or ""
        Applications planned and allowed in the season.
    days, interval : float or ""
        Days since the last application and the label's retreatment interval [days].
    what : str
        What was applied last.

    Returns
    -------
    (status, finding) : tuple of str
    """
    if needed == "":
        return "", ""
    if most != "" and number(passes) > most:
        return NOT_ALLOWED, f"{name}: {number_text(passes)} {'pass' if passes == 1 else 'passes'}, the label allows {number_text(most)}"
    if days != "" and interval != "" and days < interval:
        return NOT_ALLOWED, f"{name}: {number_text(days)} {'day' if days == 1 else 'days'} after {what}, the label wants {number_text(interval)}"
    if needed == 1 and (most == "" or interval == ""):
        return NOT_ENTERED, f"{name}: number of passes or retreatment interval not entered"
    return ("", "") if most == "" and interval == "" else (OK, "")


def pass_ingredients(draft: Draft) -> list[Cells]:
    """Active ingredients of every pass, summed over products and their salts and esters, against their limits."""
    slots, limits = draft.slots("ingredients"), Labels(draft["ingredient_limit_facts"])
    rows: list[Cells] = []
    for place, volume in enumerate(draft["pass_volumes"]):
        for slot in range(1, slots + 1):
            out = Cells(row_no=len(rows) + 1, slot=slot, lacks_acid=0, lacks_active=0, shown_ratio=1, on=2, previous=0)
            if volume["mix_no"] != "":
                _held(draft, out, place, volume, slots)
            rows.append(out)
    trips = _Trips(draft, rows, slots, "active_no")
    for index, out in enumerate(rows):
        if out["trip_key"] != "":
            together = trips.together(index)
            out["trip_acid"], out["trip_active"] = total_of(together, "acid"), total_of(together, "active")
        _basis(draft, out, limits, index // slots)
    _ingredient_season(rows)
    _in_pass(draft, rows, slots, limits)
    _uses(rows)
    return rows


def _held(draft: Draft, out: Cells, place: int, volume: Cells, slots: int) -> None:
    row = out["item_row"] = (volume["mix_no"] - 1) * slots + out["slot"]
    held = draft["mix_ingredients"][row - 1]
    if held["active_ingredient"] == "":
        return
    out["pass"], out["field"], out["name"] = volume["pass"], volume["field"], held["active_ingredient"]
    for key in ("item", "group", "active_no", "opens_group", "group_note", "name_note", "to_acid", "to_active"):
        out[key] = held[key]
    item = draft["mix_items"][(volume["mix_no"] - 1) * draft.slots("products") + held["item"] - 1]
    out["product"], out["product_row"] = item["product"], item["product_row"]
    out["needed"] = 1 if item["product_row"] == "" else at(draft["product_facts"], item["product_row"], "pesticide")
    _group_status(out)
    applied = draft.under("applied_lines", place, draft.slots("products"))[held["item"] - 1]
    out["as_logged"] = applied["said"]
    if "" not in (held["mass"], applied["rate_base"]):
        out["mass"] = held["mass"] * applied["rate_base"]
        for key, factor in (("acid", "to_acid"), ("active", "to_active")):
            out[key] = "" if out[factor] == "" else out["mass"] * out[factor]
    out["lacks_acid"], out["lacks_active"] = int(out["acid"] == ""), int(out["active"] == "")
    trip = draft["applications"][place]["trip"]
    if trip != "":
        out["trip_key"] = trip * 10000 + out["active_no"]
    if volume["field_row"] != "":
        out["ground_key"] = volume["field_row"] * 10000 + out["active_no"]
        out["season_key"] = out["ground_key"] * 10 + draft["pass_crops"][place]["crop_no"]
        out["order"] = time_order(draft["pass_times"][place]["last_day"], trip)


def _group_status(out: Cells) -> None:
    note, name_note = out["group_note"], out["name_note"]
    out["group_status"] = NOT_ENTERED if note == NO_GROUP else LOOK if note.startswith("The list") or name_note else OK
    if out["group_status"] == NOT_ENTERED:
        out["group_finding"] = f"{out['name']}: herbicide group not entered"
    elif out["group_status"] == LOOK:
        typed = f"typed as group {number_text(out['group']) if out['group'] != '' else ''}. {note}"
        out["group_finding"] = f"{out['name']}: {name_note or typed}"


def _basis(draft: Draft, out: Cells, limits: Labels, place: int) -> None:
    """What the limit of an ingredient is compared on: acid equivalent, or active ingredient where the acid is not known."""
    out.update(limits.match(out["active_no"], draft["pass_crops"][place]))
    for key in ("least_basis", "most_basis"):
        out[key] = limits.strictest(out, key)
    out["basis"] = out["least_basis"] if out["least_basis"] == out["most_basis"] else ""
    out["on"] = out["basis"] if out["basis"] != "" else ON_ACID if out["trip_acid"] != "" else ON_ACTIVE
    fact = draft["ingredient_limit_facts"][out["found_row"] - 1] if out["found_row"] != "" else Cells()
    if out["basis"] == ON_ACID and fact["to_basis"] != "":
        out["shown_ratio"] = fact["to_basis"]
    if out["name"] != "":
        out["counts"] = ("ae" if out["on"] == ON_ACID else "ai") if out["found_row"] == "" else "" if out["basis"] == "" else fact["counts"]


def _shown(out: Cells, acid: Any, active: Any) -> Any:
    """Return a figure on the basis the limit is compared on, in units of the limit as typed."""
    if out["on"] == ON_ACTIVE:
        return active
    return "" if acid == "" else acid / out["shown_ratio"]


def _ingredient_season(rows: list[Cells]) -> None:
    firsts, lines = first_rows(rows, "season_key"), _by_key(rows, "season_key")
    orders = _orders(rows)
    for out in rows:
        first = out["season_first"] = find(firsts, out["season_key"])
        if out["order"] != "":
            out["previous"] = before(orders[out["ground_key"]], out["order"])
        if first != "":
            for key in ("acid", "active"):
                total = out[f"season_{key}"] = total_of(lines[out["season_key"]], key)
                if first == out["row_no"]:
                    out[f"{key}_at_first"] = total
        if out["lacks_active" if out["on"] == ON_ACTIVE else "lacks_acid"]:
            out["lacking_key"] = out["season_key"]


def _in_pass(draft: Draft, rows: list[Cells], slots: int, limits: Labels) -> None:
    lacking = first_rows(rows, "lacking_key")
    for index, out in enumerate(rows):
        out["unsure"] = 0 if out["near_row"] == "" else 1 if at(draft["ingredient_limit_facts"], out["near_row"], "any_no") else 2
        if out["name"] == "":
            continue
        out["amount"] = _shown(out, out["trip_acid"], out["trip_active"])
        out["season_amount"] = _shown(out, out["season_acid"], out["season_active"])
        for base, limit, key in (("pass_base", "pass_limit", "pass_limit"), ("season_base", "season_limit", "season_limit")):
            found = out[base] = limits.strictest(out, key)
            out[limit] = "" if "" in (found, out["basis"]) else found / out["shown_ratio"]
        _field_average(draft, out, rows[index // slots * slots :][:slots], index // slots)
        if "" in (out["amount"], out["season_amount"]):
            out["lacking"] = at(rows, find(lacking, out["season_key"]), "product")
        unit = draft.form("factors")["mass_unit"]
        unit = (unit.replace("/", f" {out['counts']}/") if out["counts"] else unit) + out["as_logged"]
        for status, what, amount, limit in (
            ("pass", "limit per pass", "amount", "pass_limit"), ("season", "limit per season", "season_amount", "season_limit"),
        ):
            held = against_limit(out[amount], out[limit], out["needed"])
            out[f"{status}_status"] = held if held != OK else (OK, LOOK, NOT_ENTERED)[out["unsure"]]
            out[f"{status}_finding"] = ingredient_finding(out, out[f"{status}_status"], what, out[amount], out[limit], unit)
            if held == OK and out["unsure"]:
                near = at(draft["ingredient_limits"], out["near_row"], "crop")
                crop = draft["pass_volumes"][index // slots]["crop"]
                said = f"{out['name']}: the limit for {near} may or may not mean {crop}"
                out[f"{status}_finding"] = f"{said}; the stricter figures count until one name stands in both"


def _field_average(draft: Draft, out: Cells, block: list[Cells], place: int) -> None:
    share = draft["pass_volumes"][place]["share"]
    if "" in (out["amount"], share):
        return
    own = [line for line in block if line["active_no"] == out["active_no"]]
    acid, active = (added(number(line[key]) for line in own) for key in ("acid", "active"))
    out["field_average"] = (active if out["on"] == ON_ACTIVE else acid / out["shown_ratio"]) * share


def ingredient_finding(out: Cells, status: str, what: str, amount: Any, limit: Any, unit: str) -> str:
    """Say what is wrong with the amount of an ingredient: over its limit, not comparable with it, or without one."""
    name = out["name"]
    if status == NOT_ENTERED and out["found_row"] != "":
        if out["basis"] == "":
            return f"{name}: the limit does not say ae or ai, or its rows differ in it"
        if limit != "" and amount == "":
            wanted = "ai" if out["on"] == ON_ACTIVE else "ae"
            return f"{name}: content of {out['lacking']} cannot be turned into {wanted}; say which salt or ester, in ae or ai"
    return limit_finding(status, name, what, amount, limit, unit)


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
