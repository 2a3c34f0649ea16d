"""Rows of the weed workings: ratings of ingredients, and which groups of a mix work on which weed."""

from __future__ import annotations

from collections import Counter
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.rounding import number_text
from workbook_builder.features.effective_modes.definitions import resistant_groups


def weed_facts(draft: Draft) -> list[Cells]:
    """Number, resistant groups and emergence of each driver weed."""
    fields, firsts = first_rows(draft["fields"], "field"), first_rows(draft["weeds"], "weed")
    seen: Counter[object] = Counter()
    numbers: dict[object, int] = {}
    rows = []
    for row_no, typed in enumerate(draft["weeds"], 1):
        out = Cells(row_no=row_no, field_row=find(fields, typed["field"]), first=find(firsts, typed["weed"]))
        if out["field_row"] != "":
            seen[out["field_row"]] += 1
            out["nth"] = seen[out["field_row"]]
            if typed["weed"] != "":
                out["key"] = out["field_row"] * 100 + out["nth"]
        if out["first"] != "":
            out["weed_no"] = numbers.setdefault(out["first"], len(numbers) + 1)
        out["running"] = len(numbers)
        _resistance(out, str(typed["resistant_groups"]))
        for key, other in (("emerges_from", "planting_date"), ("emerges_to", "harvest_date")):
            out[key] = typed[key] if typed[key] != "" else at(draft["fields"], out["field_row"], other)
        rows.append(out)
    return rows


def _resistance(out: Cells, text: str) -> None:
    out["clean"] = text.replace(" ", "").replace(",", ";")
    out["listed"] = len(out["clean"].split(";")) if out["clean"] else 0
    groups = resistant_groups(text)
    out["readable"] = int(groups is not None)
    if groups is None:
        return
    # Each stands in the column of the place it was named at, as in the sheet.
    parts, seen = out["clean"].split(";"), set()
    for place, part in enumerate(parts, 1):
        if part and int(part) not in seen:
            seen.add(int(part))
            out[f"r_{place}"] = int(part)


def ingredient_weeds(draft: Draft) -> list[Cells]:
    """Rating of each ingredient on each weed."""
    keys = first_rows(draft["rating_facts"], "key")
    threshold = draft.form("agronomy_settings")["effective_rating"]
    rows = []
    for typed, fact in zip(draft["ingredients"], draft["ingredient_facts"], strict=True):
        for weed in draft["weed_list"]:
            out = Cells(slot=weed["slot"], product_row=fact["product_row"])
            if fact["product_row"] != "":
                out["weed"] = weed["weed"]
            _rating(draft, out, typed, keys)
            # A rating of a whole premix proves one group only, so it counts for the first ingredient.
            out["counts"] = int(out["own_row"] != "" or number(fact["nth"]) <= 1)
            good = out["rating"] != "" and out["rating"] >= number(threshold)
            out["effective"] = int(bool(good and number(fact["group"]) > 0 and out["counts"]))
            if out["effective"]:
                out["key"] = out["product_row"] * 1000 + out["slot"]
            rows.append(out)
    return rows


def _rating(draft: Draft, out: Cells, typed: Cells, keys: dict[object, int]) -> None:
    out["residual"] = 0
    if out["weed"] == "":
        return
    out["own_row"] = find(keys, f"{typed['active_ingredient']}|{out['weed']}")
    out["product_rating"] = find(keys, f"{typed['product']}|{out['weed']}")
    row = out["rating_row"] = out["own_row"] if out["own_row"] != "" else out["product_rating"]
    out["rating"] = at(draft["ratings"], row, "rating")
    out["residual"] = number(at(draft["ratings"], row, "residual_days"))


def mix_weed_ingredients(draft: Draft) -> list[Cells]:
    """Each ingredient of each mix on each weed."""
    weeds, slots = draft.slots("weed_names"), draft.slots("ingredients")
    rows = []
    for mix_no, mix in enumerate(draft["mix_list"], 1):
        inside = draft.under("mix_ingredients", mix_no - 1, slots)
        for weed in draft["weed_list"]:
            present = mix["row"] != "" and weed["weed"] != ""
            seen: list[Any] = []
            for slot, held in enumerate(inside, 1):
                out = Cells(slot=slot, unrated=0, counts=0, residual=0)
                if present and held["row"] != "":
                    _mix_ingredient(draft, out, held["row"], (weed["slot"], weeds, mix_no), seen)
                out["so_far"] = "".join(f"{number_text(group)};" for group in seen)
                rows.append(out)
    return rows


def _mix_ingredient(draft: Draft, out: Cells, row: int, place: tuple[int, int, int], seen: list[Any]) -> None:
    weed_no, weeds, mix_no = place
    out["ingredient_row"], out["fact_row"] = row, (row - 1) * weeds + weed_no
    fact = draft["ingredient_weeds"][out["fact_row"] - 1]
    out["unrated"] = int(fact["rating"] == "")
    if fact["effective"]:
        out["group"] = draft["ingredient_facts"][row - 1]["group"]
        out["key"], out["residual"] = mix_no * 1000 + weed_no, fact["residual"]
        if out["group"] not in seen:
            out["counts"] = 1
            seen.append(out["group"])


def mix_weeds(draft: Draft) -> list[Cells]:
    """Groups of each mix that work on each weed."""
    weeds, slots = draft.slots("weed_names"), draft.slots("ingredients")
    rows = []
    for mix_no, mix in enumerate(draft["mix_list"], 1):
        for weed in draft["weed_list"]:
            out = Cells(slot=weed["slot"])
            if mix["row"] != "":
                out["weed"] = weed["weed"]
            if out["weed"] != "":
                inside = draft.under("mix_weed_ingredients", (mix_no - 1) * weeds + weed["slot"] - 1, slots)
                out["key"] = mix_no * 1000 + weed["slot"]
                out["unrated"] = added(line["unrated"] for line in inside)
                out["rated"] = ";" + inside[-1]["so_far"]
                out["first_group"] = next((line["group"] for line in inside if line["counts"]), "")
            rows.append(out)
    return rows
