"""Rows of the suggestions: the cheapest product of the farm's own list that would fix a pass, where it is legal."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text, shown
from workbook_builder.features.labels.names import ANY
from workbook_builder.features.labels.rows import Labels
from workbook_builder.features.plant_back.definitions import earliest_planting

RESISTANT = ("r_1", "r_2", "r_3", "r_4")
LEGAL = ("applies", "adds", "unused", "season_room", "harvest_fits", "this_fits", "next_fits", "crop_safe")


def label_costs(draft: Draft) -> list[Cells]:
    """Cost of each label row at its highest rate."""
    crops = first_rows(draft["label_facts"], "crop_name")
    rows = []
    for typed, fact in zip(draft["label_limits"], draft["label_facts"], strict=True):
        out = Cells()
        if typed["product"] != "":
            out["crop_no"] = 0 if fact["crop_name"] == ANY else find(crops, fact["crop_name"])
        out["price"] = at(draft["product_facts"], fact["product_row"], "price_base")
        if typed["max_rate"] != "" and out["price"] != "" and number(fact["unit_area"]):
            out["cost"] = typed["max_rate"] * fact["unit_area"] * out["price"]
        rows.append(out)
    return rows


def label_weeds(draft: Draft) -> list[Cells]:
    """Label rows of products that work on a weed, with their rank by cost."""
    weeds = draft.slots("weed_names")
    firsts = first_rows(draft["ingredient_weeds"], "key")
    rows: list[Cells] = []
    for fact, cost in zip(draft["label_facts"], draft["label_costs"], strict=True):
        for slot in range(1, weeds + 1):
            out = Cells(row_no=len(rows) + 1, slot=slot, product_row=fact["product_row"], cost=cost["cost"])
            if fact["product_row"] != "":
                out["effective_row"] = find(firsts, fact["product_row"] * 1000 + slot)
            if out["effective_row"] != "":
                out["group"] = draft["ingredient_facts"][(out["effective_row"] - 1) // weeds]["group"]
                if out["cost"] != "":
                    out["rank"] = int(shown(out["cost"] * 100, 0)) * 1000000 + out["row_no"]
                    out["key"] = cost["crop_no"] * 1000 + slot
            rows.append(out)
    return rows


def mend_options(draft: Draft) -> list[Cells]:
    """The cheapest products that would add a group, and whether each is legal there."""
    candidates: dict[Any, list[Cells]] = defaultdict(list)
    for row in draft["label_weeds"]:
        if row["key"] != "":
            candidates[row["key"]].append(row)
    labels, backs = Labels(draft["label_facts"]), Labels(draft["plant_back_facts"])
    used = {row["ground_key"] for row in draft["product_limits"]}
    rows = []
    for pass_no, mend in enumerate(draft["mend_passes"]):
        previous: Any = 0
        for slot in range(1, draft.slots("options") + 1):
            out = Cells(slot=slot, previous=previous, own=0, any=0)
            if mend["open"] != "" and previous != "":
                _rank(out, mend, candidates)
            _candidate(draft, out)
            _legal(draft, out, pass_no, labels, used)
            _plantings(draft, out, pass_no, backs)
            _standing(draft, out, pass_no)
            out["legal"] = int(all(out[key] for key in LEGAL))
            previous = out["rank"]
            rows.append(out)
    return rows


def _rank(out: Cells, mend: Cells, candidates: dict[Any, list[Cells]]) -> None:
    barred = {mend[key] for key in ("first_group", *RESISTANT)}

    def cheapest(key: Any) -> int:
        ranks = [row["rank"] for row in candidates[key] if row["group"] not in barred and row["rank"] > out["previous"]]
        return min(ranks, default=0)

    if mend["crop_no"] != "":
        out["own"] = cheapest(mend["crop_no"] * 1000 + mend["weed_no"])
    out["any"] = cheapest(mend["weed_no"])
    out["rank"] = min((rank for rank in (out["own"], out["any"]) if rank), default="")


def _candidate(draft: Draft, out: Cells) -> None:
    if out["rank"] == "":
        return
    out["candidate"] = out["rank"] % 1000000
    row = draft["label_weeds"][out["candidate"] - 1]
    label = out["label_row"] = (out["candidate"] - 1) // draft.slots("weed_names") + 1
    out["product_no"] = draft["label_facts"][label - 1]["product_no"]
    out["product"], out["product_row"] = draft["label_limits"][label - 1]["product"], row["product_row"]
    out["group"], out["cost"] = row["group"], row["cost"]


def _legal(draft: Draft, out: Cells, pass_no: int, labels: Labels, used: set[Any]) -> None:
    for key in LEGAL:
        out[key] = 0
    matched = labels.match(out["product_no"], draft["pass_crops"][pass_no])
    out.update((f"label_{key}", row) for key, row in matched.items())
    if out["product"] == "":
        return
    volume, interval = draft["pass_volumes"][pass_no], draft["intervals"][pass_no]
    label = draft["label_limits"][out["label_row"] - 1]
    fact = draft["label_facts"][out["label_row"] - 1]
    if matched["found_row"] != "" and matched["near_row"] == "":
        holds = draft["label_facts"][matched["found_row"] - 1]["key_no"] == fact["key_no"]
        out["applies"] = int(holds and fact["own_forbidden"] != 1)
    out["adds"] = int(f";{number_text(out['group'])};" not in draft["mend_passes"][pass_no]["left"])
    if volume["field_row"] != "":
        out["unused"] = int(volume["field_row"] * 10000 + out["product_no"] not in used)
    season = label["max_rate_season"]
    out["season_room"] = int(season == "" or season >= label["max_rate"])
    out["phi"] = fact["own_phi_days"]
    day, harvest = draft["pass_times"][pass_no]["last_day"], interval["harvest_date"]
    if harvest == "" or number(interval["after_harvest"]) == 1:
        out["harvest_fits"] = 1
    elif out["phi"] != "" and day != "":
        out["harvest_fits"] = int(day + out["phi"] <= harvest)


def _standing(draft: Draft, out: Cells, pass_no: int) -> None:
    """A product goes over a planted crop only where its label row says so."""
    day, planting = draft["pass_times"][pass_no]["last_day"], draft["mend_passes"][pass_no]["planting"]
    harvest = draft["intervals"][pass_no]["harvest_date"]
    planted = "" not in (day, planting) and planting <= day
    out["stands"] = int(planted and (harvest == "" or day <= harvest))
    if out["product"] != "":
        allowed = folded(draft["label_limits"][out["label_row"] - 1]["over_crop"]) == "yes"
        out["crop_safe"] = int(allowed or not out["stands"])


def _plantings(draft: Draft, out: Cells, pass_no: int, backs: Labels) -> None:
    for prefix, crops, which in (("this", "pass_crops", "crop"), ("next", "mend_passes", "following")):
        matched = backs.match(out["product_no"], draft[crops][pass_no], which)
        out.update((f"{prefix}_{key}", row) for key, row in matched.items())
        for key in ("days", "months"):
            out[f"{prefix}_{key}"] = backs.strictest(matched, key)
        if matched["near_row"] == "":
            out[f"{prefix}_earliest"] = earliest_planting(draft["pass_times"][pass_no]["last_day"], out[f"{prefix}_days"], out[f"{prefix}_months"])
    if out["product"] == "":
        return
    mend, day = draft["mend_passes"][pass_no], draft["pass_times"][pass_no]["last_day"]
    if mend["planting"] == "" or mend["planting"] < number(day):
        out["this_fits"] = 1
    elif out["this_earliest"] != "":
        out["this_fits"] = int(out["this_earliest"] <= mend["planting"])
    if mend["next_crop"] == "":
        out["next_fits"] = 1
        return
    if "" not in (out["next_earliest"], mend["next_planting"]):
        out["next_fits"] = int(out["next_earliest"] <= mend["next_planting"])


def suggestions(draft: Draft) -> list[Cells]:
    """One change that would fix each pass, where there is one."""
    wanted = number_text(number(draft.form("farm")["wanted_modes"]))
    rows = []
    for pass_no, (volume, mend) in enumerate(zip(draft["pass_volumes"], draft["mend_passes"], strict=True)):
        out = Cells(field=volume["field"], weed=mend["weed"], have=mend["have"])
        out["pass"] = volume["pass"]
        options = draft.under("mend_options", pass_no, draft.slots("options"))
        out["pick"] = next((n for n, option in enumerate(options, 1) if option["legal"]), "")
        if out["pick"] != "":
            option = options[out["pick"] - 1]
            out["product"], out["adds_group"], out["cost_per_area"] = option["product"], option["group"], option["cost"]
            out["would_have"] = out["have"] + 1
            if volume["sprayed_area"] != "":
                out["cost"] = out["cost_per_area"] * volume["sprayed_area"]
        if out["weed"] != "":
            out["suggestion"] = suggestion(out, wanted)
        rows.append(out)
    return rows


def suggestion(out: Cells, wanted: str) -> str:
    """Say what would fix a pass, in a sentence."""
    if out["pick"] == "":
        return f"Nothing on the list, rated for {out['weed']} and legal here, adds a group"
    return (
        f"With {out['product']} (group {number_text(out['adds_group'])}): {number_text(out['would_have'])} of {wanted} on {out['weed']}; "
        "check label and crop stage"
    )
