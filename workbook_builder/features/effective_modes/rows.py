"""Rows of the effective-mode sheets: each pass on each weed, each weed over the season, each field over the seasons."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, find, first_rows, number
from workbook_builder.core.rounding import number_text, shown
from workbook_builder.features.effective_modes.definitions import effective_groups, uncovered_spans

RESISTANT = ("r_1", "r_2", "r_3", "r_4")


def effective_modes(draft: Draft) -> list[Cells]:
    """Each pass on each driver weed of its field."""
    keys = first_rows(draft["weed_facts"], "key")
    residuals = _residuals(draft)
    rated = draft.form("weed_totals")["ratings"] > 0
    rows = []
    for pass_no, (times, volume) in enumerate(zip(draft["pass_times"], draft["pass_volumes"], strict=True), 1):
        for slot in range(1, draft.slots("weeds") + 1):
            out = Cells(slot=slot, next=0)
            if volume["pass"] != "" and volume["field_row"] != "":
                out["weed_row"] = find(keys, volume["field_row"] * 100 + slot)
            if out["weed_row"] != "":
                _on_weed(draft, out, volume, residuals)
                _judge(out, rated)
                if out["residual_days"] != "" and out["residual_days"] > 0 and times["day"] != "":
                    out["covered_from"], out["covered_to"] = times["day"], times["day"] + out["residual_days"]
                    out["order"] = times["day"] * 1000000 + pass_no * 20 + slot
            rows.append(out)
    _gaps(rows)
    return rows


def _residuals(draft: Draft) -> dict[Any, list[tuple[Any, float]]]:
    """Group and residual of the effective ingredients by mix and weed."""
    found: dict[Any, list[tuple[Any, float]]] = defaultdict(list)
    for line in draft["mix_weed_ingredients"]:
        if line["key"] != "":
            found[line["key"]].append((line["group"], line["residual"]))
    return found


def _on_weed(draft: Draft, out: Cells, volume: Cells, residuals: dict[Any, list[tuple[Any, float]]]) -> None:
    typed, fact = draft["weeds"][out["weed_row"] - 1], draft["weed_facts"][out["weed_row"] - 1]
    out["pass"], out["field"] = volume["pass"], volume["field"]
    out["weed"], out["density_class"], out["resistant"] = typed["weed"], typed["density_class"], typed["resistant_groups"]
    for key in ("weed_no", "readable", *RESISTANT):
        out[key] = fact[key]
    out["window_from"], out["window_to"] = fact["emerges_from"], fact["emerges_to"]
    out["wanted"] = draft.form("farm")["wanted_modes"]
    slots = draft.slots("weed_names")
    if volume["mix_no"] == "" or out["weed_no"] > slots:
        return
    out["mix_weed_row"] = (volume["mix_no"] - 1) * slots + out["weed_no"]
    mixed = draft["mix_weeds"][out["mix_weed_row"] - 1]
    out["unrated"], out["rated"] = mixed["unrated"], mixed["rated"]
    if not out["readable"] or out["rated"] == "":
        return
    resisted = [out[key] for key in RESISTANT if out[key] != ""]
    works = effective_groups((int(part) for part in out["rated"].strip(";").split(";") if part), resisted)
    out["left"] = ";" + "".join(f"{group};" for group in works)
    out["effective_groups"], out["groups"] = len(works), ", ".join(map(str, works))
    left = residuals[volume["mix_no"] * 1000 + out["weed_no"]]
    out["residual_days"] = max((days for group, days in left if group not in resisted), default=0)


def _judge(out: Cells, rated: bool) -> None:
    if not rated:
        return
    have, weed = out["effective_groups"], out["weed"]
    if not out["readable"]:
        out["status"], out["finding"] = NOT_ENTERED, f"Resistant groups of {weed} cannot be read: write up to four numbers such as 2;9"
    elif have == "":
        out["status"], out["finding"] = NOT_ENTERED, "No such mix, or more weeds than there is room for: build the workbook again"
    elif have >= number(out["wanted"]):
        out["status"] = OK
    elif out["unrated"] > 0:
        out["status"], out["finding"] = NOT_ENTERED, f"{number_text(out['unrated'])} ingredients of the mix have no rating on {weed}"
    else:
        which = f" (group {out['groups']})" if out["groups"] else ""
        resisted = f"; resistant to {out['resistant']}" if out["resistant"] != "" else ""
        wanted = number_text(number(out["wanted"]))
        out["status"] = LOOK
        out["finding"] = f"{have} of {wanted} wanted effective groups on {weed}{which}{resisted}"


def _gaps(rows: list[Cells]) -> None:
    """Fill what follows each residual: how far cover reaches, the next one, the gap between."""
    by_weed: dict[Any, list[Cells]] = defaultdict(list)
    for out in rows:
        if out["order"] != "":
            by_weed[out["weed_row"]].append(out)
    for covers in by_weed.values():
        covers.sort(key=lambda row: row["order"])
        reached = 0.0
        for place, out in enumerate(covers):
            reached = max(reached, out["covered_to"])
            out["latest"] = reached
            out["next"] = covers[place + 1]["covered_from"] if place + 1 < len(covers) else 0
            if "" not in (out["window_from"], out["window_to"]):
                end = out["window_to"]
                out["gap_to"] = min(out["next"], end) if out["next"] else end
                out["gap_from"] = max(reached, out["window_from"])
                out["gap_days"] = max(0, out["gap_to"] - out["gap_from"])
    seen: Counter[Any] = Counter()
    for out in rows:
        if number(out["gap_days"]) > 0:
            seen[out["weed_row"]] += 1
            out["gap_key"] = out["weed_row"] * 1000 + seen[out["weed_row"]]


def weed_cover(draft: Draft) -> list[Cells]:
    """Each driver weed over the season."""
    on_weed: dict[Any, list[Cells]] = defaultdict(list)
    for row in draft["effective_modes"]:
        if row["weed_row"] != "":
            on_weed[row["weed_row"]].append(row)
    rows = []
    for row_no, (typed, fact) in enumerate(zip(draft["weeds"], draft["weed_facts"], strict=True), 1):
        out = Cells(row_no=row_no, field=typed["field"], first=0)
        if typed["field"] != "":
            out["weed"] = typed["weed"]
        if out["weed"] != "":
            _cover_counts(out, on_weed[row_no])
            out["emerges_from"], out["emerges_to"] = fact["emerges_from"], fact["emerges_to"]
        if "" not in (out["emerges_from"], out["emerges_to"]):
            _cover_gaps(out, on_weed[row_no])
        if out["weed"] != "" and draft.form("weed_totals")["ratings"] > 0:
            _judge_cover(out, draft.form("agronomy_settings")["uncovered_limit"])
        rows.append(out)
    return rows


def _cover_counts(out: Cells, passes: list[Cells]) -> None:
    covers = [row["covered_from"] for row in passes if row["covered_from"] != ""]
    out["passes"], out["residuals"] = len(passes), len(covers)
    out["enough"] = added(row["status"] == OK for row in passes)
    if passes:
        out["best"] = max((row["effective_groups"] for row in passes if row["effective_groups"] != ""), default=0)
    out["first"] = min(covers, default=0)


def _cover_gaps(out: Cells, passes: list[Cells]) -> None:
    start, end = out["emerges_from"], out["emerges_to"]
    covers = [(row["covered_from"], row["covered_to"]) for row in passes if row["covered_from"] != ""]
    until = min(out["first"], end) if out["first"] else end
    out["before"] = max(0, until - start)
    spans = uncovered_spans(start, end, covers)
    out["uncovered_days"] = added(last - first for first, last in spans)
    out["uncovered_weeks"] = out["uncovered_days"] / 7
    if spans:
        out["gap_from"], out["gap_to"] = spans[0]


def _judge_cover(out: Cells, limit: Any) -> None:
    weed, weeks = out["weed"], out["uncovered_weeks"]
    if weeks == "":
        out["status"] = NOT_ENTERED
        out["finding"] = f"Enter when {weed} emerges, or the field's planting and harvest dates"
        return
    parts = ["No pass has enough effective groups on it"] if out["enough"] == 0 else []
    if weeks > number(limit):
        parts.append(f"{number_text(shown(weeks, 1))} weeks of emergence without residual control")
    out["status"], out["finding"] = (LOOK, "; ".join(parts)) if parts else (OK, "")


def mode_reliance(draft: Draft) -> list[Cells]:
    """How much each field leans on one group."""
    slots, limit = draft.slots("groups"), draft.form("agronomy_settings")["reliance_share"]
    rows = []
    for field_no, field in enumerate(draft["fields"]):
        out = Cells(field=field["field"])
        if field["field"] != "":
            facts = draft.under("reliance_facts", field_no, slots)
            out["uses"] = added(number(fact["uses"]) for fact in facts)
            if out["uses"]:
                _leaning(out, facts, draft.under("mode_rotation", field_no, slots), limit)
        rows.append(out)
    return rows


def _leaning(out: Cells, facts: list[Cells], groups: list[Cells], limit: Any) -> None:
    out["most"] = out["top_uses"] = max(fact["uses"] for fact in facts if fact["uses"] != "")
    out["place"] = next(n for n, fact in enumerate(facts, 1) if fact["uses"] == out["most"])
    out["top_group"], out["top_seasons"] = groups[out["place"] - 1]["mode_group"], facts[out["place"] - 1]["seasons"]
    out["top_share"] = out["most"] / out["uses"]
    out["status"] = OK
    if out["top_share"] > number(limit):
        out["status"] = LOOK
        percent = number_text(shown(100 * out["top_share"], 0))
        out["finding"] = f"Group {number_text(out['top_group'])} carries {percent} % of the uses over {number_text(out['top_seasons'])} seasons"
