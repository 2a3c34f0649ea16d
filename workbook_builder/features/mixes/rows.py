"""Mixes resolved into slots of products and ingredients, and their order of adding."""

from __future__ import annotations

from collections import Counter
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text, shown
from workbook_builder.features.labels.rows import phase_scale

OIL_FORMULATIONS = ("ec", "so", "ol")
EMULSIONS = ("ec", "ew", "od")
UNRESOLVED = "A product, rate, unit or mixing order in this mix is missing or not in its list"


def mix_rows(draft: Draft) -> list[Cells]:
    """Mix number, place and mixing order of every typed mix row."""
    firsts = first_rows(draft["mixes"], "mix")
    products = first_rows(draft["products"], "product")
    units = first_rows(draft["rate_units"], "rate_unit")
    numbers: dict[object, int] = {}
    seen: Counter[int] = Counter()
    facts = []
    for row_no, row in enumerate(draft["mixes"], 1):
        fact = Cells(row_no=row_no, first_row=find(firsts, row["mix"]))
        if fact["first_row"] != "":
            mix_no = numbers.setdefault(fact["first_row"], len(numbers) + 1)
            seen[mix_no] += 1
            fact.update(is_first=int(fact["first_row"] == row_no), mix_no=mix_no, nth=seen[mix_no])
            fact["key"] = mix_no * 100 + seen[mix_no]
        fact["distinct"] = len(numbers)
        fact["product_row"] = find(products, row["product"])
        fact["rate_row"] = find(units, row["rate_unit"])
        labelled = row["label_order"] != ""
        product = draft["product_facts"]
        fact["step"] = row["label_order"] if labelled else at(product, fact["product_row"], "step")
        fact["reason"] = "The label says so" if labelled else at(product, fact["product_row"], "reason")
        facts.append(fact)
    return facts


def mix_items(draft: Draft) -> list[Cells]:
    """Products of each mix, slot by slot, with rates in base units."""
    slots = draft.slots("products")
    keys = first_rows(draft["mix_rows"], "key")
    found = []
    for mix in range(1, draft.slots("mixes") + 1):
        before = 0
        for slot in range(1, slots + 1):
            item = _item(draft, find(keys, mix * 100 + slot), slot)
            item["ingredients_before"] = before
            before += item["ingredient_count"]
            found.append(item)
        own = found[-slots:]
        salts = [item["step"] for item in own if item["stand"] == "salt" and item["step"] != ""]
        for item in own:
            if item["row"] != "":
                _judge_item(draft, item, min(salts, default=""))
    return found


def _item(draft: Draft, row: object, slot: int) -> Cells:
    item = Cells(slot=slot, row=row, ingredient_count=0)
    item["stand"] = ""
    if row == "":
        return item
    typed, fact = draft["mixes"][int(row) - 1], draft["mix_rows"][int(row) - 1]  # type: ignore[call-overload]
    item["product"] = typed["product"]
    for key in ("product_row", "rate_row", "step"):
        item[key] = fact[key]
    item["rate"] = typed["rate"]
    item["unresolved"] = int("" in (item["product_row"], item["rate_row"], item["rate"], item["step"]))
    if item["step"] != "":
        item["order_key"] = item["step"] * 100 + slot
    _item_product(draft, item)
    _item_rate(draft, item)
    if item["product_row"] != "":
        item["asked"] = 0 if typed["label_order"] != "" else at(draft["product_facts"], item["product_row"], "asks")
    item["labelled"] = typed["label_order"] != ""
    return item


def _item_product(draft: Draft, item: Cells) -> None:
    row = item["product_row"]
    facts = draft["product_facts"]
    if row == "":
        return
    item["kind"] = at(draft["products"], row, "kind")
    item["formulation"] = at(draft["products"], row, "formulation")
    item["stand"] = standing_in_orders(item["kind"], item["formulation"], at(facts, row, "pesticide") == 1)
    item["form"] = at(facts, row, "form")
    item["own_phase"] = at(facts, row, "phase")
    item["dry_per_liquid"] = at(facts, row, "dry_per_liquid")
    item["ingredient_count"] = number(at(facts, row, "ingredient_count"))


def _item_rate(draft: Draft, item: Cells) -> None:
    table, row = draft["rate_units"], item["rate_row"]
    if row != "":
        item["phase"], item["amount_unit"] = at(table, row, "phase"), at(table, row, "amount_unit")
        item["to_base"] = at(table, row, "to_base")
        if item["rate"] != "":
            item["area_rate"] = item["rate"] * at(table, row, "per_area")
            item["volume_rate"] = item["rate"] * at(table, row, "per_volume")
    if item["phase"] != "":
        item["pour_phase"], item["pour_scale"] = poured_as(item["phase"], item["form"], item["dry_per_liquid"])
    item["own_scale"] = phase_scale(item["phase"], item["own_phase"], item["dry_per_liquid"])
    price = "price_liquid" if item["phase"] == "liquid" else "price_dry"
    item["unit_price"] = at(draft["product_facts"], item["product_row"], price)


def poured_as(rated: str, form: str, dry_per_liquid: Any) -> tuple[str, float]:
    """Return how a product is poured or weighed, whatever unit its rate is given in.

    Parameters
    ----------
    rated : str
        Phase of the rate's unit, ``liquid`` or ``dry``.
    form : str
        What the product is: ``liquid``, ``dry``, or blank where nobody knows.
    dry_per_liquid : float or ""
        Dry base units that one liquid base unit weighs.

    Returns
    -------
    (phase, scale) : tuple
        Phase poured, and base units poured per base unit of the rate: a liquid of 10 lb/gal
        rated at 30 lb/ac is poured as 3 gal/ac.  Without a density it stays as rated.
    """
    scale = phase_scale(rated, form, dry_per_liquid)
    return (rated, 1) if scale == "" else (form, scale)  # type: ignore[return-value]


def _judge_item(draft: Draft, item: Cells, first_salt: Any) -> None:
    """Say what is open about a product of a mix, the worst first."""
    product, form = item["product"], item["form"]
    item["status"] = NOT_ENTERED
    if item["unresolved"]:
        item["finding"] = UNRESOLVED
    elif form == "":
        item["finding"] = f"{product}: formulation and package unit do not say whether it is liquid or dry"
    elif form == "liquid" and item["pour_phase"] == "dry":
        item["finding"] = f"{product}: density not entered, so the room it takes in the tank is not known"
    else:
        item["finding"] = _doubt(draft, item, first_salt)
        item["status"] = LOOK if item["finding"] else OK


def _doubt(draft: Draft, item: Cells, first_salt: Any) -> str:
    """Say what about a product that is complete may be meant otherwise; blank when nothing is."""
    product, form = item["product"], item["form"]
    if item["asked"]:
        return f"{product}: formulation {item['formulation']} is not usual in a tank mix; read the label, then type its mixing order"
    if item["stand"] == "bag" and not item["labelled"] and first_salt != "" and first_salt < item["step"]:
        return f"{product}: water-soluble bags go in before any salt or fertilizer; change its mixing order"
    if form == "liquid" and item["amount_unit"] == "oz":
        return f"{product}: oz is counted as weight, by its density; choose fl oz where that is meant"
    if form == "dry" and item["phase"] == "liquid":
        return f"{product}: dry, but its rate is a volume; choose a weight where that is meant"
    if form == "dry" and at(draft["product_facts"], item["product_row"], "form_listed") == "":
        return f"{product}: formulation does not say whether it is liquid; counted as dry, as it is sold"
    return ""


def standing_in_orders(kind: object, formulation: object, pesticide: bool) -> str:
    """Say what the published mixing orders call a product.

    Parameters
    ----------
    kind, formulation : str
    pesticide : bool

    Returns
    -------
    str
        ``bag``, ``salt``, ``oil adjuvant``, ``soluble liquid``, ``capsules``, ``emulsion``, ``other`` or blank.
    """
    kind, formulation = folded(kind), folded(formulation)
    if formulation.endswith("-sb"):
        return "bag"
    if kind in ("water conditioner", "fertilizer"):
        return "salt"
    if kind == "adjuvant":
        return "oil adjuvant" if formulation in OIL_FORMULATIONS else "other"
    if not pesticide:
        return "other" if kind else ""
    if formulation in EMULSIONS:
        return "emulsion"
    return {"sl": "soluble liquid", "cs": "capsules"}.get(formulation, "other")


def mix_ingredients(draft: Draft) -> list[Cells]:
    """Active ingredients of each mix, slot by slot."""
    slots, products = draft.slots("ingredients"), draft.slots("products")
    keys = first_rows(draft["ingredient_facts"], "key")
    found: list[Cells] = []
    for mix in range(draft.slots("mixes")):
        items = draft.under("mix_items", mix, products)
        named = any(item["row"] != "" for item in items)
        places = [(n, nth) for n, item in enumerate(items, 1) for nth in range(1, int(item["ingredient_count"]) + 1)]
        seen: list[str] = []
        for slot in range(1, slots + 1):
            filled = Cells(slot=slot, groups_before=", ".join(seen))
            if named and slot <= len(places):
                _ingredient(draft, filled, items, places[slot - 1], keys)
                _group_place(filled, seen)
            filled["groups_so_far"] = ", ".join(seen)
            found.append(filled)
    return found


def _ingredient(
    draft: Draft, filled: Cells, items: list[Cells], place: tuple[int, int], keys: dict[object, int]
) -> None:
    filled["item"], filled["nth"] = place
    item, facts = items[place[0] - 1], draft["ingredient_facts"]
    row = filled["row"] = find(keys, item["product_row"] * 100 + place[1])
    filled["active_ingredient"] = at(draft["ingredients"], row, "active_ingredient")
    for key in ("active_no", "group", "group_note", "name_note", "to_acid", "to_active"):
        filled[key] = at(facts, row, key)
    filled["mass"] = at(facts, row, "per_liquid" if item["phase"] == "liquid" else "per_dry")


def _group_place(filled: Cells, seen: list[str]) -> None:
    """Note whether an ingredient is the first of the mix with its group."""
    if filled["group"] == "":
        return
    label = number_text(filled["group"])
    filled["opens_group"] = int(label not in seen)
    filled["counts_as_mode"] = 0 if filled["group"] == 0 else filled["opens_group"]
    if filled["opens_group"]:
        seen.append(label)


def adding_order(draft: Draft) -> list[Cells]:
    """Order of adding of every mix, one row a product."""
    slots = draft.slots("products")
    found: list[Cells] = []
    for mix_no in range(draft.slots("mixes")):
        items = draft.under("mix_items", mix_no, slots)
        mix = draft["mix_list"][mix_no]
        ranked = sorted(item["order_key"] for item in items if item["order_key"] != "")
        for slot in range(1, slots + 1):
            row = Cells(slot=slot)
            if mix["row"] != "" and slot <= min(mix["count"], slots) and slot <= len(ranked):
                _order_row(draft, row, items, mix, ranked[slot - 1])
                _round_about(row, draft.form("assumptions")["first_fill"], slot == len(ranked))
            found.append(row)
    return found


def _order_row(draft: Draft, row: Cells, items: list[Cells], mix: Cells, key: float) -> None:
    position = next(n for n, item in enumerate(items, 1) if item["order_key"] == key)
    item = items[position - 1]
    row.update(mix=mix["mix"], step=row["slot"], key=key, item=position, product=item["product"], adding_step=int(key // 100))
    row["why"] = at(draft["mix_rows"], item["row"], "reason")
    row["pause"] = number(at(draft["product_facts"], item["product_row"], "pause"))
    row["stand"] = item["stand"]
    row["guides_differ"] = guides_differ(item["stand"], mix["has_sl"], mix["has_ec"])


def _round_about(row: Cells, first_fill: float, last: bool) -> None:
    """Say what comes before and after a product goes in."""
    if row["step"] == 1:
        row["before"] = f"Fill {number_text(shown(number(first_fill) * 100, 0))} % with water, start agitation"
    wait = f"Agitate {number_text(row['pause'])} min" if row["pause"] > 0 else "Agitate until even"
    wait += ", until the bags have dissolved" if row["stand"] == "bag" else ""
    row["after"] = wait + (", then top up with water" if last else "")


def guides_differ(stand: str, soluble_liquids: int, emulsions: int) -> str:
    """Say where published mixing orders disagree about a product in its mix.

    Notes
    -----
    SL before EC: Oklahoma State, Manitoba, SDSU; EC before SL: NDSU, Missouri, Utah State.
    Oils with the EC: NDSU; last with surfactants: all others.  Capsules: with flowables
    (NDSU, Oklahoma State), before EC (Utah State), after EC (SDSU).  Bags before any fertilizer:
    Manitoba, Utah State; with the dry products, soaked first: SDSU.  Salts and fertilizer last: Utah
    State, for a jar; first: all others that name them.
    """
    if stand == "bag":
        return "One guide pre-soaks bags and adds them with the dry products"
    if stand == "salt":
        return "One guide adds salts and fertilizer last"
    if stand == "emulsion" and soluble_liquids:
        return "Some guides add EC before SL"
    if stand == "soluble liquid" and emulsions:
        return "Some guides add SL after EC"
    if stand == "oil adjuvant" and emulsions:
        return "One guide adds oils with the EC"
    if stand == "capsules":
        return "Guides place capsules with SC, before EC or after EC"
    return ""
