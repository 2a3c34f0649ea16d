"""Herbicide groups: rotation on each field, number in each pass."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from workbook_builder.core.columns import LOOK, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.rounding import number_text


def past_facts(draft: Draft) -> list[Cells]:
    """Each past use with today's group number and how many seasons back it was."""
    fields, old = first_rows(draft["fields"], "field"), first_rows(draft["old_groups"], "old_group")
    farm = draft.form("farm")
    rows = []
    for row in draft["past_use"]:
        out = Cells(field_row=find(fields, row["field"]), old_row=find(old, row["mode_group"]), group=row["mode_group"], unknown=0)
        if out["old_row"] != "":
            new = at(draft["old_groups"], out["old_row"], "new_group")
            out["unknown"] = int(new == "")
            out["group"] = row["mode_group"] if new == "" else new
        if row["season"] != "":
            out["back"] = number(farm["season"]) - row["season"]
        if "" not in (out["field_row"], out["group"], out["back"]) and 1 <= out["back"] <= farm["look_back_seasons"]:
            out["key"] = out["field_row"] * 1000 + out["group"] * 10 + out["back"]
        rows.append(out)
    return rows


def seasons_in_a_row(planned: float, back: tuple[float, float, float]) -> int:
    """Return how many seasons running a group is used, this one first and without a gap.

    Parameters
    ----------
    planned : float
        Uses planned this season.
    back : tuple of float
        Uses one, two and three seasons back.
    """
    count = 0
    for uses in (planned, *back):
        if uses <= 0:
            break
        count += 1
    return count


def mode_rotation(draft: Draft) -> list[Cells]:
    """Uses of each group on each field, past and planned."""
    past: dict[Any, float] = defaultdict(float)
    for fact, row in zip(draft["past_facts"], draft["past_use"], strict=True):
        if fact["key"] != "":
            past[fact["key"]] += number(row["uses"])
    causes: dict[Any, list[str]] = defaultdict(list)
    for use in draft["pass_ingredients"]:
        if use["use_key"] != "":
            causes[use["use_key"]].append(use["pass"])
    rows = []
    for row_no, field in enumerate(draft["fields"], 1):
        for slot in range(1, draft.slots("groups") + 1):
            out = Cells(slot=slot, row_no=row_no, group_no=draft["farm_groups"][slot - 1]["mode_group"])
            if field["field"] != "" and out["group_no"] != "":
                _rotation(draft, out, field, past, causes)
            rows.append(out)
    return rows


def _rotation(draft: Draft, out: Cells, field: Cells, past: dict[Any, float], causes: dict[Any, list[str]]) -> None:
    group = out["mode_group"] = out["group_no"]
    out["field"] = field["field"]
    for back in (1, 2, 3):
        out[f"back_{back}"] = past[out["row_no"] * 1000 + group * 10 + back]
    key = out["key"] = out["row_no"] * 100 + group
    named = causes[key]
    out["planned"] = len(named)
    out["seasons_in_a_row"] = seasons_in_a_row(len(named), (out["back_1"], out["back_2"], out["back_3"]))
    for place, name in enumerate(named[:3], 1):
        out[f"cause_{place}"] = name
    if out["cause_1"] != "":
        out["passes"] = ", ".join(name for name in named[:3] if name) + (" and more" if len(named) > 3 else "")
    settings = draft.form("assumptions")
    often = out["planned"] > settings["group_uses"]
    long = out["seasons_in_a_row"] >= settings["group_seasons"]
    flagged = group != 0 and out["planned"] > 0 and (often or long)
    out["status"] = LOOK if flagged else OK
    if flagged:
        out["finding"] = rotation_finding(group, out["planned"] if often else 0, out["seasons_in_a_row"] if long else 0, out["passes"])


def rotation_finding(group: float, uses: float, seasons: float, passes: str) -> str:
    """Say why a group is flagged; 0 uses or seasons leaves that part out."""
    text = f"Group {number_text(group)}"
    if uses:
        text += f", {number_text(uses)} uses this season"
    if seasons:
        text += f", {number_text(seasons)} seasons in a row"
    return f"{text} ({passes})"


def rotation_of_uses(draft: Draft) -> None:
    """Fill the rotation columns of the ingredient rows, which look back on the field's rotation."""
    groups = first_rows(draft["farm_groups"], "mode_group")
    slots = draft.slots("groups")
    for out in draft["pass_ingredients"]:
        place = find(groups, out["group"]) if out["group_key"] != "" else ""
        if place != "":
            field_row = out["group_key"] // 100
            out["mode_row"] = int((field_row - 1) * slots + place)
            rotation = draft["mode_rotation"][out["mode_row"] - 1]
            out["mode_status"], out["mode_finding"] = rotation["status"], rotation["finding"]


def mode_checks(draft: Draft) -> list[Cells]:
    """Number of different groups in each pass, and overuse on its field."""
    slots = draft.slots("ingredients")
    wanted = draft.form("farm")["wanted_modes"]
    rows = []
    for number_, volume in enumerate(draft["pass_volumes"]):
        out = Cells(field=volume["field"])
        out["pass"] = volume["pass"]
        out["modes_in_pass"] = at(draft["mix_list"], volume["mix_no"], "modes")
        out["groups"] = at(draft["mix_list"], volume["mix_no"], "groups")
        if out["groups"] != "":
            _judge(draft, out, number_, slots, wanted)
        rows.append(out)
    return rows


def _judge(draft: Draft, out: Cells, number_: int, slots: int, wanted: float) -> None:
    if out["modes_in_pass"] != "":
        few = out["modes_in_pass"] < wanted
        out["count_status"] = LOOK if few else OK
        if few:
            out["count_finding"] = (
                f"{number_text(out['modes_in_pass'])} of {number_text(wanted)} wanted herbicide groups (group {out['groups']})"
            )
    flagged = [row for row in draft.under("pass_ingredients", number_, slots) if row["mode_status"] == LOOK]
    out["rotation_status"] = LOOK if flagged else OK
    out["rotation_finding"] = flagged[0]["mode_finding"] if flagged else ""
    out["status"] = LOOK if LOOK in (out["count_status"], out["rotation_status"]) else OK
    out["finding"] = out["count_finding"] if out["count_status"] == LOOK else out["rotation_finding"]
