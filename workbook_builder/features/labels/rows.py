"""Label figures by product and crop: lookup keys, and the strictest figures of rows that may mean one crop."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from typing import Any

from workbook_builder.core.draft import Cells, Draft, at, find, first_rows
from workbook_builder.core.room import folded
from workbook_builder.features.labels.columns import ON_ACID, ON_ACTIVE
from workbook_builder.features.labels.name_lists import active_cells, crop_cells, other_crops
from workbook_builder.features.labels.names import ANY
from workbook_builder.features.products.definitions import phase_scale

LEAST, MOST = min, max


def set_keys(draft: Draft, facts: Sequence[Cells], number: str) -> None:
    """Give each row the keys of its product (or ingredient) and crop, and the first rows that share them."""
    for fact in facts:
        fact.update(other_crops(draft, fact))
        if fact[number] != "":
            fact["key"], fact["family_key"] = f"{fact[number]}|{fact['crop_name']}", f"{fact[number]}|{fact['crop_family']}"
            fact["other_key"] = f"{fact[number]}:{fact['crop_other']}" if fact["crop_other"] else ""
    keys, families = first_rows(facts, "key"), first_rows(facts, "family_key")
    for fact in facts:
        fact["key_no"], fact["family_no"] = find(keys, fact["key"]), find(families, fact["family_key"])
        fact["any_no"] = keys.get(f"{fact[number]}|{ANY}", 0) if fact[number] != "" else 0


def set_strictest(facts: Sequence[Cells], key: str, values: Sequence[Any], pick: Callable[..., Any]) -> None:
    """Set the strictest figure of the rows of one crop, and of all rows that may mean the crop together with those of any.

    Parameters
    ----------
    facts : sequence of Cells
        Rows with their keys.
    key : str
        The figures are set as ``own_`` and ``near_`` before the key.
    values : sequence
        Figure of each row; blanks say nothing.
    pick : callable
        ``min`` or ``max``.
    """
    own, near = defaultdict(list), defaultdict(list)
    for fact, value in zip(facts, values, strict=True):
        if fact["key_no"] != "" and value != "":
            own[fact["key_no"]].append(value)
            near[fact["family_no"]].append(value)
    for fact in facts:
        if fact["key_no"] != "":
            fact[f"own_{key}"] = pick(own[fact["key_no"]], default="")
            fact[f"near_{key}"] = pick([*near[fact["family_no"]], *own[fact["any_no"]]], default="")


class Labels:
    """Rows of a table of label figures, found by the number of a product (or ingredient) and a crop.

    Parameters
    ----------
    facts : list of Cells
        Rows with their keys.
    """

    def __init__(self, facts: list[Cells]) -> None:
        self.facts = facts
        self.keys, self.families = (first_rows(facts, key) for key in ("key", "family_key"))
        self.others: dict[object, int] = {}
        for row, fact in enumerate(facts, 1):
            number, _, crops = fact["other_key"].partition(":")
            for crop in crops.split("|"):
                self.others.setdefault(f"{number}|{crop}", row)

    def match(self, number: object, crop: Cells, prefix: str = "crop") -> dict[str, Any]:
        """Return the row that names a crop, the one that nearly names it, and the row used.

        Parameters
        ----------
        number : int or ""
        crop : Cells
            Row that holds the crop's one name, wider crop and family; a crop called any is none that grows.
        prefix : str
            Start of their keys.
        """
        out: dict[str, Any] = {"named_row": "", "near_row": "", "found_row": ""}
        name, wider, family, group = (crop[f"{prefix}_{key}"] for key in ("name", "wider", "family", "group"))
        if number == "" or name in ("", ANY):
            return out
        named = find(self.keys, f"{number}|{name}")
        if named == "" and wider != "":
            named = find(self.keys, f"{number}|{wider}")
        out["named_row"] = named
        if named == "":
            near = (find(rows, f"{number}|{crops}") for crops in (family, group) if crops for rows in (self.families, self.others))
            out["near_row"] = next((row for row in near if row != ""), "")
        used = named if named != "" else out["near_row"]
        out["found_row"] = used if used != "" else find(self.keys, f"{number}|{ANY}")
        return out

    def strictest(self, matched: Cells | dict[str, Any], key: str) -> Any:
        """Return the strictest figure for the crop a row was found for; blank where no row was or none says it."""
        if matched["found_row"] == "":
            return ""
        prefix = "own" if matched["near_row"] == "" else "near"
        return at(self.facts, matched["found_row"], f"{prefix}_{key}")


def label_facts(draft: Draft) -> list[Cells]:
    """Lookup keys of label rows, their limits in base units of the product, and the strictest for each crop."""
    names = first_rows(draft["products"], "product")
    units = first_rows(draft["rate_units"], "rate_unit")
    facts, typed = [], draft["label_limits"]
    for row in typed:
        fact = Cells(product_row=find(names, row["product"]), **crop_cells(draft, row["crop"], blank=ANY))
        fact["product_no"] = at(draft["product_facts"], fact["product_row"], "product_no")
        _units(draft, row, fact, units)
        if fact["product_no"] != "":
            fact["forbidden"] = int(folded(row["allowed"]) == "no")
        facts.append(fact)
    set_keys(draft, facts, "product_no")
    for key in ("rate_area", "rate_volume", "season_area"):
        set_strictest(facts, key, [fact[key] for fact in facts], LEAST)
    set_strictest(facts, "max_passes", [row["max_passes"] for row in typed], LEAST)
    for key in ("retreat_days", "phi_days", "grazing_days"):
        set_strictest(facts, key, [row[key] for row in typed], MOST)
    for key in ("ounces", "forbidden"):
        set_strictest(facts, key, [fact[key] for fact in facts], MOST)
    return facts


def _units(draft: Draft, row: Cells, fact: Cells, units: dict[object, int]) -> None:
    fact["rate_row"] = find(units, row["rate_unit"])
    fact["unit_phase"] = at(draft["rate_units"], fact["rate_row"], "phase")
    if fact["rate_row"] != "":
        in_ounces = at(draft["rate_units"], fact["rate_row"], "amount_unit") == "oz"
        fact["ounces"] = int(in_ounces and at(draft["product_facts"], fact["product_row"], "form") == "liquid")
    fact["own_phase"] = at(draft["product_facts"], fact["product_no"], "phase")
    fact["dry_per_liquid"] = at(draft["product_facts"], fact["product_row"], "dry_per_liquid")
    fact["scale"] = "" if "" in (fact["unit_phase"], fact["own_phase"]) else phase_scale(fact["unit_phase"], fact["own_phase"], fact["dry_per_liquid"])
    if fact["scale"] == "":
        return
    fact["unit_area"] = fact["scale"] * at(draft["rate_units"], fact["rate_row"], "per_area")
    fact["unit_volume"] = fact["scale"] * at(draft["rate_units"], fact["rate_row"], "per_volume")
    wanted = (("rate_area", "max_rate", "unit_area"), ("rate_volume", "max_rate", "unit_volume"), ("season_area", "max_rate_season", "unit_area"))
    for key, limit, unit in wanted:
        if row[limit] != "" and fact[unit] != 0:
            fact[key] = row[limit] * fact[unit]


def limit_basis(counts: str, ratio: Any, known: bool) -> tuple[Any, Any]:
    """Return what a limit of an active ingredient is compared on, and how much of it one unit of the limit is.

    Parameters
    ----------
    counts : str
        What the unit of the limit counts: ``ae``, ``ai`` or blank.
    ratio : float or ""
        Acid equivalent of one unit of the ingredient named; 1 where acid and ingredient are one.
    known : bool
        Whether the list knows the ingredient.

    Returns
    -------
    (basis, to_basis) : tuple
        1 acid equivalent, 2 active ingredient, blank where the unit does not say which.

    References
    ----------
    WSU small grains, OSU, ISU, Univ. of Illinois fact sheet "Active ingredient or acid equivalent?":
    compare and total on acid equivalent.
    """
    if counts == "ae" or ratio == 1:
        return ON_ACID, ratio if counts == "ai" else 1
    if counts == "ai":
        return (ON_ACTIVE, 1) if ratio == "" else (ON_ACID, ratio)
    return ("", "") if known else (ON_ACTIVE, 1)


def ingredient_limit_facts(draft: Draft) -> list[Cells]:
    """Lookup keys of ingredient limits, and the limits in the plan's mass per area on one basis."""
    units = first_rows(draft["limit_units"], "unit")
    actives = first_rows(draft["ingredient_facts"], "active_parent")
    facts = []
    for row in draft["ingredient_limits"]:
        active = active_cells(draft, row["active_ingredient"], lambda plain: find(actives, plain) != "")
        fact = Cells(**active, **crop_cells(draft, row["crop"], blank=ANY))
        fact["active_no"], fact["unit_row"] = find(actives, fact["active_parent"]), find(units, row["unit"])
        if fact["unit_row"] != "":
            fact["counts"] = at(draft["limit_units"], fact["unit_row"], "counts")
            if fact["active_no"] != "":
                fact["basis"], fact["to_basis"] = limit_basis(fact["counts"], fact["active_ratio"], fact["active_found"] != "")
        if fact["basis"] != "":
            factor = at(draft["limit_units"], fact["unit_row"], "factor") * fact["to_basis"]
            for key, limit in (("pass_limit", "max_pass"), ("season_limit", "max_season")):
                fact[key] = "" if row[limit] == "" else row[limit] * factor
        facts.append(fact)
    set_keys(draft, facts, "active_no")
    for key in ("pass_limit", "season_limit"):
        set_strictest(facts, key, [fact[key] for fact in facts], LEAST)
    for key, pick in (("least_basis", LEAST), ("most_basis", MOST)):
        set_strictest(facts, key, [fact["basis"] for fact in facts], pick)
    return facts


def plant_back_facts(draft: Draft) -> list[Cells]:
    """Lookup keys of plant-back rows, and the longest intervals for each crop."""
    names = first_rows(draft["products"], "product")
    facts = []
    for row in draft["plant_back"]:
        fact = Cells(product_row=find(names, row["product"]), **crop_cells(draft, row["next_crop"], blank=ANY))
        fact["product_no"] = at(draft["product_facts"], fact["product_row"], "product_no")
        if folded(row["interval_unit"]) in ("days", "months"):
            fact[folded(row["interval_unit"])] = row["interval"]
        facts.append(fact)
    set_keys(draft, facts, "product_no")
    for key in ("days", "months"):
        set_strictest(facts, key, [fact[key] for fact in facts], MOST)
    return facts
