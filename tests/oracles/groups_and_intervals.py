"""Herbicide groups, acid equivalents and intervals."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from small_farm import first, small_farm, small_plan

from oracles.registry import computes
from workbook_builder.core.draft import EPOCH
from workbook_builder.features import VIEWS
from workbook_builder.features.reentry.definitions import longest
from workbook_builder.features.reference import data as reference_data
from workbook_builder.planning import make_plan

Given = Mapping[str, Any]


@computes(r"labels-G(04|06|07|08|10|11|12|13)-(?!meaning|old).*", "reference_data.active_list")
def group_of_an_ingredient(given: Given, expected: Given) -> Given:
    """Return the group of an active ingredient as the shipped list has it."""
    (row,) = [row for row in reference_data.active_list() if row["active_ingredient"].casefold()
              == given["active_ingredient"].casefold()]
    return {"mode_group": row["mode_group"]}


@computes(r"labels-G16-(?!11|26).*", "plan: ingredient_facts")
def old_group(given: Given, expected: Given) -> Given:
    """Return the number a retired group is counted as."""
    plan = small_plan(ingredients={"mode_group": int(given["old_group"]), "active_ingredient": "unlisted"})
    return {"new_group": first(plan, "ingredient_facts")["group"]}


@computes(r"labels-G16-(11|26)", "reference_data.old_groups")
def old_group_that_depends(given: Given, expected: Given) -> Given:
    """Return that a retired group has no single successor."""
    (row,) = [row for row in reference_data.old_groups() if row["old_group"] == given["old_group"]]
    return {"new_group": "depends on the ingredient" if row["new_group"] is None else row["new_group"]}


@computes("labels-G05", "plan: mix_list")
def two_groups(given: Given, expected: Given) -> Given:
    """Return whether two ingredients of different number count as one mode."""
    return {"same_group": "yes" if _modes(int(given["mode_group_a"]), int(given["mode_group_b"]))
            == 1 else "no"}


@computes("labels-G14", "plan: mix_list")
def group_zero(given: Given, expected: Given) -> Given:
    """Return that group 0 proves neither a shared site nor distinct modes."""
    modes = _modes(0, 0)
    return {"shared_site_proven": "yes" if modes == 1 else "no", "distinct_modes_proven": "yes"
            if modes == 2 else "no"}


def _modes(one: int, other: int) -> int:
    """Return the distinct modes counted in a product of two ingredients."""
    inputs = small_farm()
    row = inputs.rows("ingredients")[0]
    both = [{**row, "mode_group": one, "active_ingredient": "first"},
            {**row, "mode_group": other, "active_ingredient": "second"}]
    return int(first(make_plan(replace(inputs, tables={**inputs.tables, "ingredients": both})),
                     "mix_list")["modes"])


def _harvest(given: Given) -> Any:
    season: dict[str, Any] = {"season": 2025}
    field = {"harvest_date": dt.date.fromisoformat(given["harvest"])} if "harvest" in given else {}
    return first(small_plan(
        farm=season, fields=field, passes={"date": dt.date.fromisoformat(given["date"])},
        label_limits={"product": "Product", "phi_days": int(given["phi_days"])},
    ), "intervals")


@computes(r"labels-P0[125]", "plan: intervals")
def preharvest(given: Given, expected: Given) -> Given:
    """Return the earliest harvest and whether the planned one may stand."""
    row = _harvest(given)
    earliest = EPOCH + dt.timedelta(days=row["earliest_harvest"])
    return {"earliest_harvest": earliest.isoformat(), "allowed": "no" if row["harvest_status"]
            == "Not allowed" else "yes"}


@computes("labels-P03", "reentry.definitions.longest")
def preharvest_of_a_mixture(given: Given, expected: Given) -> Given:
    """Return the longest preharvest interval."""
    return {"mix_phi_days": longest(list(given["phi_days"]))}


@computes("labels-P04", "plan: intervals")
def reentry_longer_than_preharvest(given: Given, expected: Given) -> Given:
    """Return the hours from the end of the application to the first harvest."""
    row = first(small_plan(
        products={"rei_hours": given["rei_hours"]},
        label_limits={"product": "Product", "phi_days": int(given["phi_hours"] / 24)},
    ), "intervals")
    return {"harvest_after_h": round((row["earliest_harvest"] - row["end"]) * 24, 6)}


@computes("labels-W01|depth-DP156", "reentry.definitions.longest")
def reentry_of_a_mixture(given: Given, expected: Given) -> Given:
    """Return the longest re-entry interval."""
    return {"mix_rei_hours": longest(list(given["rei_hours"]))}


@computes(r"depth-DP1(58|60)", "plan: field_intervals")
def opening_of_a_field(given: Given, expected: Given) -> Given:
    """Return when a field opens after passes that ended at some moments, each with its interval."""
    one = isinstance(given["ends"], str)
    ends = [dt.datetime.fromisoformat(each) for each in ([given["ends"]] if one else given["ends"])]
    names = [f"Pass {number}" for number in range(1, len(ends) + 1)]
    hours = dict(zip(names, [given["rei_hours"]] if one else given["rei_hours"], strict=True))
    farm = small_farm()
    typed = {key: farm.rows(key)[0] for key in ("products", "mixes", "passes")}
    tables = {
        "products": [{**typed["products"], "product": name, "rei_hours": hours[name]} for name in names],
        "ingredients": [],
        "mixes": [{**typed["mixes"], "mix": name, "product": name} for name in names],
        "passes": [{**typed["passes"], "pass": name, "mix": name, "date": end.date()}
                   for name, end in zip(names, ends, strict=True)],
        "spray_log": [
            {"pass": name, "field": "North", "date": end.date(), "start_time": dt.time(8),
             "end_time": end.time()} for name, end in zip(names, ends, strict=True)
        ],
    }
    return {"opens": VIEWS["field_intervals"](make_plan(replace(farm,
                                                                tables={**farm.tables,
                                                                        **tables})))[0]["back_in_from"]}


@computes(r"labels-W0[346]|depth-DP176-.*", "plan: intervals")
def posting(given: Given, expected: Given) -> Given:
    """Return how people are told to keep out of an outdoor field."""
    asked = {"posting": "both"} if given.get("label_requires_both") == "yes" else {}
    row = first(small_plan(products={"rei_hours": given["rei_hours"], **asked}), "intervals")
    return {"notice": {"Signs": "signs", "Signs or word of mouth": "signs or oral",
                       "Signs and word of mouth": "signs and oral"}[row["posting"]]}


@computes(r"labels-A(0[1-9]|1[0-9]|20).*", "plan: ingredient_facts")
def acid_equivalent_fraction(given: Given, expected: Given) -> Given:
    """Return how much acid one unit of a salt or ester is, from its name alone."""
    plan = small_plan(ingredients={"active_ingredient": f"{given['active_ingredient']} {given['form']}"})
    return {"ae_fraction": first(plan, "ingredient_facts")["active_ratio"]}
