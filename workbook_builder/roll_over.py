"""Rolling a season over: what was used becomes past use, and the next season's plan starts from this one.

The result is ordinary inputs: build a workbook from them, or write them as CSV files.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from workbook_builder.core.draft import EPOCH, serial
from workbook_builder.core.inputs import Inputs, Row
from workbook_builder.core.room import folded
from workbook_builder.features import TYPED_TABLES
from workbook_builder.features.intervals.definitions import add_months
from workbook_builder.features.plant_back.definitions import earliest_planting
from workbook_builder.features.products.inputs import HERBICIDE
from workbook_builder.planning import Plan, make_plan

#: Tables that name passes tell of one season's work, and stages of one crop; they start empty in the next.
OF_ONE_SEASON = (*(table.key for table in TYPED_TABLES if "pass" in table.by_key
                   and table.key not in ("passes", "spot_history")), "crop_stages")
#: A next crop planted after this day of the coming season belongs to the season after it (winter cereals).
LAST_PLANTING_NORTH = (7, 31)
LAST_PLANTING_SOUTH = (12, 31)
FALLOW = "fallow"
#: Calendar months that a spray without any plant-back interval is remembered.
UNKNOWN_RUNS = 48
#: What is known of one season only and is typed anew: when weeds came up (blank counts from planting to
#: harvest), and bulletins, which hold for a month.
CLEARED = {"weeds": ("emerges_from", "emerges_to"),
           "mitigation_labels": ("bulletin_points", "bulletin_checked"), "bloom": ("from", "to")}


def roll_over(inputs: Inputs, logged_only: bool = False) -> Inputs:
    """Return the inputs of the next season.

    Parameters
    ----------
    inputs : Inputs
        A season's inputs, as read and checked; its spray log may be filled.
    logged_only : bool
        Count only passes with a date in the spray log; otherwise every planned pass counts,
        which is the careful side for resistance.

    Returns
    -------
    Inputs
        One season later: past use added, sprays whose plant-back interval still runs kept with it,
        crops moved on,
        the passes of each crop carried to the fields that grow it next (a year later,
        times and shares kept), and the
        log, the dates of weed emergence and bloom and the points of bulletins cleared.
    """
    season = inputs.form("farm").get("season")
    if not isinstance(season, int):
        raise ValueError("the farm has no season to roll over from")
    fields = [next_field(inputs, row, season) for row in inputs.rows("fields")]
    tables = {key: rows for key, rows in inputs.tables.items() if key not in OF_ONE_SEASON}
    tables["farm"] = [{**inputs.form("farm"), "season": season + 1}]
    tables["fields"] = fields
    # Next season's draft passes: those this season gave to a field of the same crop, a year later.
    crops = {folded(row.get("field")): folded(row.get("crop")) for _, row in inputs.filled("fields")}
    by_field: dict[str, list[Row]] = {}
    for _, row in inputs.filled("passes"):
        by_field.setdefault(folded(row.get("field")), []).append(row)
    drafted = []
    for field in fields:
        name, crop = folded(field.get("field")), folded(field.get("crop"))
        grew = [name, *crops]
        model = next((other for other in grew if crops.get(other) == crop and other in by_field), None)
        drafted += [a_year_later({**row, "field": field["field"]}) for row in by_field.get(model or "", [])]
    tables["passes"] = drafted or [a_year_later(row) for rows in by_field.values() for row in rows]
    plan = make_plan(inputs)
    counted = make_plan(only_logged(inputs)) if logged_only else plan
    tables["past_use"] = past_use(counted, season)
    tables["spot_history"] = spot_history(plan, season)
    tables["earlier_sprays"] = earlier_sprays(counted, season, fields)
    for key, columns in CLEARED.items():
        if key in tables:
            tables[key] = [{**row, **dict.fromkeys(columns)} if row else row for row in tables[key]]
    gone = {*OF_ONE_SEASON, "passes"}
    extras = {key: value for key, value in inputs.extras.items() if key not in gone}
    return Inputs(tables, extras, inputs.origin)


def past_use(plan: Plan, season: int) -> list[Row]:
    """Return the rows of past use with this season's uses, as planned, added: one row per field and group.

    Where past use has a row of this season already, the larger count stands.
    """
    used: dict[tuple[str, object, object], Row] = {}
    for row in plan.tables["mode_rotation"]:
        if row["mode_group"] != "" and row["planned"]:
            entry = {"field": row["field"], "season": season, "mode_group": row["mode_group"],
                     "uses": row["planned"]}
            if row["scheme"] != HERBICIDE:
                entry["scheme"] = row["scheme"]
            used[folded(row["field"]), row["scheme"], row["mode_group"]] = entry
    kept = []
    for _, typed in plan.inputs.filled("past_use"):
        match = (used.get((folded(typed.get("field")), typed.get("scheme") or HERBICIDE,
                           typed.get("mode_group"))) if typed.get("season") == season else None)
        if match is None:
            kept.append(dict(typed))
        else:
            match["uses"] = max(match["uses"], typed.get("uses") or 0)
    return kept + list(used.values())


def spot_history(plan: Plan, season: int) -> list[Row]:
    """Return the history of spot passes with those of this season added that a load log or spray record tells
    of.
    """
    kept = [dict(row) for _, row in plan.inputs.filled("spot_history") if row.get("season") != season]
    for row in plan.tables["spot_actual"]:
        if row["share"] != "":
            kept.append({
                "season": season, "field": row["field"], "pass": row["pass"], "share": min(1, row["share"]),
                "volume": row["volume"], "area_driven": row["area_driven"],
                "area_sprayed": row["area_sprayed"],
                "product_cost": row["product_cost"] if row["product_cost"] != "" else None,
                "saved": row["saved"] if row["saved"] != "" else None,
                "pressure_class": row["pressure_class"] or None, "rating": row["rating"]
                if row["rating"] != "" else None,
            })
    return kept


def earlier_sprays(plan: Plan, season: int, fields: list[Row]) -> list[Row]:
    """Return the sprays whose longest plant-back interval still runs next season,
    one row per field and product.

    Parameters
    ----------
    plan : Plan
        Of the passes that count.
    season : int
        The season that ends.
    fields : list of dict
        Fields as they stand next season.

    Notes
    -----
    Running means past the planting of the new crop, or past 1 January, whichever comes first.
     A spray without
    any interval is kept four years: the longest in the published table is 48 months (chlorsulfuron on wheat,
    Kansas State Univ. Agronomy eUpdate, c. 2020).
    """
    starts = {folded(row.get("field")): _starts(row, season + 1) for row in fields}
    kept: dict[tuple[str, Any], Row] = {}
    for field, product, product_no, day, typed in _sprays(plan):
        interval, unit = _longest(plan, product_no, day, typed)
        ends = earliest_planting(day, *((interval, "") if unit == "days" else ("", interval)))
        key, start = (folded(field), product_no or folded(product)), starts.get(folded(field))
        if start is None or (ends if interval != "" else add_months(day, UNKNOWN_RUNS)) <= start:
            continue
        row = {"field": field, "product": product, "date": EPOCH + dt.timedelta(days=day)}
        if key not in kept or kept[key]["date"] < row["date"]:
            kept[key] = {**row, "interval": interval, "interval_unit": unit} if interval != "" else row
    return list(kept.values())


def _starts(field: Row, season: int) -> int:
    """Day number from which an interval on a field still matters in a season."""
    planted, first = field.get("planting_date"), dt.date(season, 1, 1)
    day = serial(min(planted, first) if isinstance(planted, dt.date) else first)
    return int(day)  # type: ignore[call-overload,no-any-return]


def _sprays(plan: Plan) -> Iterator[tuple[str, str, Any, int, tuple[Any, Any]]]:
    """Yield field, product, its number, last day and typed interval of every spray of a pesticide,
    this season's and earlier ones.
    """
    tables = plan.tables
    for typed, fact in zip(tables["earlier_sprays"], tables["earlier_facts"], strict=True):
        if "" not in (typed["field"], typed["product"], typed["date"]):
            yield (typed["field"], typed["product"], fact["product_no"], typed["date"],
                   (typed["interval"], typed["interval_unit"]))
    for line, row in zip(tables["mix_lines"], tables["product_limits"], strict=True):
        day = tables["pass_times"][line["parent_no"] - 1]["last_day"]
        if row["needed"] == 1 and row["field"] != "" and day != "":
            yield row["field"], row["name"], row["product_no"], int(day), ("", "")


def _longest(plan: Plan, product_no: Any, day: int, typed: tuple[Any, Any]) -> tuple[Any, str]:
    """Return the longest interval of a product's label and its unit, or the one typed with the spray."""
    rows = [fact for fact in (*plan.tables["plant_back_facts"], *plan.tables["rain_plant_back_facts"])
            if product_no != "" and fact["product_no"] == product_no]
    found = [(earliest_planting(day, fact["days"], fact["months"]), fact) for fact in rows
             if fact["days"] != "" or fact["months"] != ""]
    if not found:
        return typed[0], str(typed[1])
    _, longest = max(found, key=lambda each: each[0])
    return (longest["days"], "days") if longest["months"] == "" else (longest["months"], "months")


def only_logged(inputs: Inputs) -> Inputs:
    """Return the inputs without the passes that have no date in the spray log."""
    sprayed = {_place(row) for _, row in inputs.filled("spray_log") if row.get("date") is not None}
    passes = [row for row in inputs.rows("passes") if _place(row) in sprayed]
    return replace(inputs, tables={**inputs.tables, "passes": passes})


def _place(row: Row) -> tuple[str, str]:
    return folded(row.get("pass")), folded(row.get("field"))


def next_field(inputs: Inputs, row: Row, season: int) -> Row:
    """Return a field as it stands next season: its next crop,
    or fallow while that crop is still to be planted.
    """
    crop, planted = row.get("next_crop"), row.get("next_planting_date")
    if crop is None:
        return {**row, "planting_date": None, "harvest_date": None}
    latitude = inputs.form("farm").get("latitude") or 0
    month, day = LAST_PLANTING_SOUTH if latitude < 0 else LAST_PLANTING_NORTH
    if isinstance(planted, dt.date) and planted > dt.date(season + 1, month, day):
        return {**row, "crop": FALLOW, "planting_date": None, "harvest_date": None}
    return {**row, "crop": crop, "planting_date": planted, "harvest_date": None, "next_crop": None,
            "next_planting_date": None}


def a_year_later(row: Row) -> Row:
    """Return a pass twelve calendar months later; 29 February becomes 28."""
    day = row.get("date")
    if not isinstance(day, dt.date):
        return dict(row)
    months_later = add_months(int(serial(day)), 12)  # type: ignore[call-overload]
    return {**row, "date": EPOCH + dt.timedelta(days=months_later)}
