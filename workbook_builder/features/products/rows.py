"""Products, ingredients and label figures worked out once each."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping
from typing import Any

from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text
from workbook_builder.features.labels.name_lists import active_cells
from workbook_builder.features.products.columns import HERBICIDE, OTHER_PESTICIDES, PESTICIDES
from workbook_builder.features.products.names import number_without_words, plain_spelling, registration_key
from workbook_builder.features.products.workings import NO_GROUP


def price_per_base(price: object, size: object, base_units: object) -> float | str:
    """Return the price of one base unit [money/base unit] of a package.

    Parameters
    ----------
    price : float or ""
        Price of a package [money].
    size : float or ""
        Package size [package unit].
    base_units : float or ""
        Base units in one package unit.
    """
    if price == "" or size == "" or base_units == "":
        return ""
    return float(price / (size * base_units))  # type: ignore[operator]


def product_facts(draft: Draft) -> list[Cells]:
    """Phase, form, prices and mixing order of every product."""
    units = first_rows(draft["unit_list"], "unit")
    steps = first_rows(draft["adding_step_facts"], "key")
    names = first_rows(draft["products"], "product")
    held: Counter[object] = Counter(find(names, row["product"]) for row in draft["ingredients"])
    actives = [_active(draft, find(names, row["product"]), row) for row in draft["ingredients"]]
    proofs = {find(names, row["product"]) for row, active in zip(draft["ingredients"], actives, strict=True) if proves(row, active)} - {""}
    facts = [_product(draft, row, number_, units, steps, held) for number_, row in enumerate(draft["products"], 1)]
    registrations = first_rows(facts, "registration")
    for row, fact in zip(draft["products"], facts, strict=True):
        named = row["product"] != ""
        fact["product_no"] = "" if not named else registrations.get(folded(fact["registration"]), fact["row_no"])
        for key in ("signs", "spoken", "restricted"):
            fact[key] = 0
        if named:
            lead = facts[fact["product_no"] - 1]["phase"]
            fact["label_scale"] = 1 if lead == fact["phase"] else "" if fact["dry_per_liquid"] == "" else (
                fact["dry_per_liquid"] if fact["phase"] == "liquid" else 1 / fact["dry_per_liquid"])
        fact["pesticide"] = int(named and is_pesticide(row, fact["registration"], fact["row_no"] in proofs))
    _of_all_names(draft, facts)
    return facts


def _of_all_names(draft: Draft, facts: list[Cells]) -> None:
    """The strictest of what protects people, and of what the label says of ammonium sulfate, over all names of a product."""
    names: dict[Any, list[Cells]] = defaultdict(list)
    for row, fact in zip(draft["products"], facts, strict=True):
        names[fact["product_no"]].append(row)
    for fact in facts:
        if fact["product_no"] == "":
            continue
        own = names[fact["product_no"]]
        for key, typed, pick in (("rei", "rei_hours", max), ("rain", "rainfast_hours", max), ("ams_low", "ams_low", max), ("ams_high", "ams_high", min)):
            fact[key] = pick((row[typed] for row in own if row[typed] != ""), default="")
        posting = {folded(row["posting"]) for row in own}
        fact["signs"], fact["spoken"] = int(not posting.isdisjoint(("signs", "both"))), int(not posting.isdisjoint(("word of mouth", "both")))
        fact["restricted"] = int(any(folded(row["restricted_use"]) == "yes" for row in own))


def _active(draft: Draft, product_row: object, row: Cells) -> dict[str, Any]:
    """Return what an ingredient counts as; pesticides other than herbicides have names the list does not know."""
    other = folded(at(draft["products"], product_row, "kind")) in OTHER_PESTICIDES
    return active_cells(draft, row["active_ingredient"], lambda plain: other)


def proves(row: Cells, active: Mapping[str, Any]) -> bool:
    """Return whether a row of the ingredients shows that its product is a pesticide: by its group, or by the list."""
    return bool(row["mode_group"] != "" or active["active_found"] != "")


def is_pesticide(product: Cells, registration: str, has_active: bool) -> bool:
    """Return whether a product is a pesticide, whatever kind was typed.

    Parameters
    ----------
    product : Cells
        Row of the products.
    registration : str
        Its registration number, blank for none.
    has_active : bool
        Whether an active ingredient of it is known.
    """
    return folded(product["kind"]) in PESTICIDES or number(product["rei_hours"]) > 0 or registration != "" or has_active


def _product(
    draft: Draft, row: Cells, row_no: int, units: dict[object, int], steps: dict[object, int], held: Counter[object]
) -> Cells:
    fact = Cells(row_no=row_no)
    fact["unit_row"] = find(units, row["package_unit"])
    fact["phase"] = at(draft["unit_list"], fact["unit_row"], "phase")
    base = at(draft["unit_list"], fact["unit_row"], "to_base")
    if base != "" and row["package_size"] != "":
        fact["package_base"] = row["package_size"] * base
    fact["price_base"] = price_per_base(row["package_price"], row["package_size"], base)
    if row["density"] != "":
        fact["dry_per_liquid"] = row["density"] * draft.form("factors")["dry_base_per_density"]
    _prices(fact)
    _registration(row, fact)
    _form(draft, row, fact)
    fact["ingredient_count"] = held[row_no] if row["product"] != "" else ""
    _adding_step(draft, row, fact, steps)
    return fact


def _registration(row: Cells, fact: Cells) -> None:
    fact["number_plain"] = plain_spelling(row["registration_no"])
    bare = fact["number_bare"] = number_without_words(fact["number_plain"])
    fact["number_word"] = bare.replace("-", "")
    first = bare.find("-")
    fact["number_end"] = bare.find("-", first + 1) + 1 if first >= 0 else 0
    if row["product"] != "":
        fact["registration"] = registration_key(row["registration_no"])


def _form(draft: Draft, row: Cells, fact: Cells) -> None:
    """Whether the product is liquid or dry, and whether its formulation is one to ask about before it meets water."""
    table = draft["formulation_codes"]
    fact["form_row"] = find(first_rows(table, "code"), row["formulation"])
    fact["form_listed"] = at(table, fact["form_row"], "phase")
    if row["product"] == "":
        return
    fact["form"] = fact["form_listed"] or fact["phase"]
    goes = "ask" if fact["form_row"] == "" else at(table, fact["form_row"], "tank_mix")
    questioned = goes == "ask" or (goes == "oil" and folded(row["kind"]) != "adjuvant")
    fact["asks"] = int(questioned and row["adding_step"] == "")


def _prices(fact: Cells) -> None:
    price, dense, phase = fact["price_base"], fact["dry_per_liquid"], fact["phase"]
    if price == "":
        return
    # The formulas read any phase but "liquid" as not liquid, and any but "dry" as not dry.
    fact["price_liquid"] = price if phase == "liquid" else "" if dense == "" else price * dense
    fact["price_dry"] = price if phase == "dry" else "" if dense == "" else price / dense


def _adding_step(draft: Draft, row: Cells, fact: Cells, steps: dict[object, int]) -> None:
    table = draft["adding_steps"]
    fact["step_kind"] = HERBICIDE if folded(row["kind"]) in OTHER_PESTICIDES else row["kind"]
    if row["kind"] != "":
        own, shared = row["kind"], fact["step_kind"]
        keys = (f"{own}|{row['formulation']}", f"any|{row['formulation']}", f"{own}|", f"{shared}|{row['formulation']}", f"{shared}|")
        found = [find(steps, key) for key in keys]
        fact["own_step"] = next((step for step in found[:3] if step != ""), "")
        fact["step_row"] = next((step for step in found if step != ""), "")
    step_row = fact["step_row"]
    own = row["adding_step"] != ""
    fact["step"] = row["adding_step"] if own else number(at(table, step_row, "step")) if step_row != "" else ""
    fact["reason"] = "Step set for this product" if own else at(table, step_row, "reason")
    if step_row != "":
        pause = {"yes": "dry_pause", "bag": "bag_pause"}.get(folded(at(table, step_row, "dry")), "")
        fact["pause"] = draft.form("assumptions")[pause] if pause else 0


def group_today(typed: object, listed: object, old: dict[object, object]) -> float | str:
    """Return the herbicide group as numbered today.

    Parameters
    ----------
    typed : int or ""
        Group as typed, possibly an old number.
    listed : int or ""
        Group of the ingredient in the reference list.
    old : dict
        Old number -> today's number, blank where it depends on the ingredient.

    Notes
    -----
    HRAC 2020 revision: 7 is counted as 5, 8 and 16 as 15, 20 and 21 as 29; 11 and 26
    depend on the ingredient, and so does 8 for bensulide, which is 0.  An ingredient in the
    list counts by the list; one that is not, under 11 or 26, has no group anybody knows.
    """
    if typed == "" or typed not in old:
        return typed  # type: ignore[return-value]
    return old[typed] if listed == "" else listed  # type: ignore[return-value]


def ingredient_facts(draft: Draft) -> list[Cells]:
    """Product, group today and mass per base unit of every ingredient row."""
    names = first_rows(draft["products"], "product")
    old_rows = first_rows(draft["old_groups"], "old_group")
    contents = first_rows(draft["content_units"], "content_unit")
    seen: Counter[object] = Counter()
    facts = []
    for row_no, row in enumerate(draft["ingredients"], 1):
        fact = Cells(row_no=row_no, product_row=find(names, row["product"]))
        if fact["product_row"] != "":
            seen[fact["product_row"]] += 1
            fact["nth"] = seen[fact["product_row"]]
            fact["key"] = fact["product_row"] * 100 + fact["nth"]
        fact.update(_active(draft, fact["product_row"], row))
        if fact["active_row"] == "" and fact["active_found"] != "":
            fact["name_note"] = f"not in the list by this name: counted with {fact['active_parent']}"
        fact["list_group"] = at(draft["active_names"], fact["active_found"], "mode_group")
        fact["old_row"] = find(old_rows, row["mode_group"])
        fact["proof_row"] = fact["product_row"] if proves(row, fact) else ""
        _group(draft, row, fact)
        _content(draft, row, fact, contents)
        facts.append(fact)
    parents = first_rows(facts, "active_parent")
    for fact in facts:
        fact["active_no"] = find(parents, fact["active_parent"])
    return facts


def acid_and_active(counts: str, ratio: Any, known: bool) -> tuple[Any, Any]:
    """Return the acid equivalent and the active ingredient in one unit of an ingredient as its content states it.

    Parameters
    ----------
    counts : str
        What the content counts: ``ae``, ``ai`` or blank.
    ratio : float or ""
        Acid equivalent of one unit of the ingredient; 1 where acid and ingredient are one.
    known : bool
        Whether the list knows the ingredient.

    Returns
    -------
    (to_acid, to_active) : tuple of float or ""
        Blank where nobody says which salt was weighed, or whether the salt or its acid was.

    Notes
    -----
    Acid equivalent over active ingredient is the molecular weight of the acid over that of the form.
    """
    if counts == "ae":
        return 1, "" if ratio == "" else 1 / ratio
    if counts == "ai":
        return ratio, 1
    return (1, 1) if ratio == 1 else ("", "" if known else 1)


def _group(draft: Draft, row: Cells, fact: Cells) -> None:
    kind = fact["kind"] = at(draft["products"], fact["product_row"], "kind")
    old = {item["old_group"]: item["new_group"] for item in draft["old_groups"]}
    typed = row["mode_group"]
    fact["group"] = group_today(typed, fact["list_group"], old)
    if fact["old_row"] != "":
        fact["counted_as"] = fact["group"]
    if folded(kind) in OTHER_PESTICIDES:
        fact["group"] = ""
        return
    if fact["group"] == "":
        fact["group_note"] = NO_GROUP if folded(kind) == HERBICIDE and row["active_ingredient"] != "" else ""
    elif fact["group"] != typed:
        fact["group_note"] = f"Old number {number_text(typed)} counted as {number_text(fact['group'])}"
    elif fact["list_group"] not in ("", fact["group"]):
        fact["group_note"] = f"The list says group {number_text(fact['list_group'])}"


def _content(draft: Draft, row: Cells, fact: Cells, contents: dict[object, int]) -> None:
    table = draft["content_units"]
    unit_row = fact["content_row"] = find(contents, row["content_unit"])
    dense = fact["dry_per_liquid"] = at(draft["product_facts"], fact["product_row"], "dry_per_liquid")
    if unit_row == "":
        return
    fact["counts"] = at(table, unit_row, "counts")
    fact["to_acid"], fact["to_active"] = acid_and_active(fact["counts"], fact["active_ratio"], fact["active_found"] != "")
    fact["stated_for"] = "liquid" if at(table, unit_row, "phase") == "liquid" else "dry"
    if row["content"] == "":
        return
    mass = fact["mass"] = row["content"] * at(table, unit_row, "factor")
    liquid = fact["stated_for"] == "liquid"
    fact["per_liquid"] = mass if liquid else "" if dense == "" else mass * dense
    fact["per_dry"] = mass if not liquid else "" if dense == "" else mass / dense
