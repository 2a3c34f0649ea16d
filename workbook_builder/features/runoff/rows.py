"""Rows of the runoff points: every field's tally, and what every pass asks of it."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text
from workbook_builder.features.reentry.definitions import first_and_more
from workbook_builder.features.runoff.definitions import points_asked, points_of_measures, spot_is_small, still_needed, verdict

_TALLY = ("relief", "measure_points", "category_points", "advice_points", "record_points", "sensor_points")


def _asked(out: Cells, typed: Cells) -> None:
    out["section"], out["checked"] = typed["label_section"], typed["bulletin_checked"]
    out["label"], out["bulletin"] = typed["label_points"], typed["bulletin_points"]
    out["points"] = points_asked(out["label"], out["bulletin"])
    section = folded(out["section"])
    out["asks"] = int(section != "no" or out["points"] != "")
    known = section == "yes" and "" not in (out["label"], out["bulletin"])
    out["missing"] = int(bool(out["asks"]) and section != "no" and not known)


def field_points(draft: Draft) -> list[Cells]:
    """Points of every field; what its passes ask is added once they are judged."""
    facts = first_rows(draft["mitigation_fields"], "field")
    measures: dict[object, list[Cells]] = defaultdict(list)
    for fact in draft["mitigation_facts"]:
        measures[fact["field_row"]].append(fact)
    rows = []
    for row_no, field in enumerate(draft["fields"], 1):
        out = Cells(field=field["field"], unpointed=0)
        if out["field"] != "":
            out["facts_row"] = find(facts, out["field"])
            _earned(draft, out, measures[row_no])
        rows.append(out)
    return rows


def _earned(draft: Draft, out: Cells, measures: list[Cells]) -> None:
    settings = draft.form("mitigation_settings")
    out["measure_points"] = points_of_measures(fact["points"] for fact in measures)
    out["unpointed"] = added(fact["unpointed"] for fact in measures)
    out["categories"] = added(fact["opens"] for fact in measures)
    out["category_points"] = settings["points_categories"] if out["categories"] >= 2 else 0
    out.update(advice_points=0, record_points=0, sensor_points=0)
    if out["facts_row"] != "":
        typed = draft["mitigation_fields"][out["facts_row"] - 1]
        extra = {key: settings[f"points_{key}"] if folded(typed[key]) == "yes" else 0 for key in ("expert", "program", "records", "sensors")}
        out["advice_points"] = max(extra["expert"], extra["program"])
        out["record_points"], out["sensor_points"] = extra["records"], extra["sensors"]
        out["runoff_class"] = typed["runoff_class"]
        out["relief"] = settings.get(f"relief_{folded(out['runoff_class']).replace(' ', '_')}", "")
        out["exemption"] = typed["exemption"]
        if out["exemption"] == "" and typed["managed_distance"] != "" and typed["managed_distance"] >= settings["managed_needed"]:
            out["exemption"] = "managed land downhill"
    out["have"] = added(number(out[key]) for key in _TALLY)


def mitigation_checks(draft: Draft) -> list[Cells]:
    """What every pass asks of its field."""
    slots, rows = draft.slots("products"), []
    for number_, volume in enumerate(draft["pass_volumes"]):
        out = Cells(field=volume["field"], asks=0, no_class=0, unpointed=0)
        out["pass"] = volume["pass"]
        lines, names = draft.under("mitigation_lines", number_, slots), draft.under("mix_lines", number_, slots)
        for key, source, pick in (("label_points", "label", max), ("bulletin_points", "bulletin", max), ("checked", "checked", min)):
            known = [line[source] for line in lines if line[source] != ""]
            out[key] = pick(known) if known else ""
        acres = _spot_acres(draft, number_, volume)
        out["spot_acres"] = acres
        out["small_spot"] = int(acres != "" and spot_is_small(acres, draft.form("mitigation_settings")["spot_exempt_acres"]))
        if out["pass"] != "" and any(line["asks"] for line in lines):
            _judge(draft, out, lines, [line["product"] for line in names], volume["field_row"])
        rows.append(out)
    _fields(draft, rows)
    return rows


def _spot_acres(draft: Draft, number_: int, volume: Cells) -> Any:
    spot = folded(draft["passes"][number_]["method"]) == "spot" and volume["sprayed_area"] != ""
    return volume["sprayed_area"] * draft.form("factors")["acres_per_area"] if spot else ""


def _judge(draft: Draft, out: Cells, lines: list[Cells], names: list[str], field_row: Any) -> None:
    out["asks"] = 1
    points = [line["points"] for line in lines]
    out["needed"] = max((each for each in points if each != ""), default="")
    if out["needed"] != "":
        out["asked_by"] = names[points.index(out["needed"])]
    out["missing"] = first_and_more([name for name, line in zip(names, lines, strict=True) if line["missing"]])
    out["have"] = at(draft["field_points"], field_row, "have")
    if out["have"] != "":
        field = draft["field_points"][field_row - 1]
        out["no_class"], out["unpointed"] = int(field["relief"] == ""), field["unpointed"]
    out["exemption"] = "small spot" if out["small_spot"] else at(draft["field_points"], field_row, "exemption")
    exempt = out["exemption"] != ""
    if out["needed"] != "" and out["have"] != "":
        out["still"] = still_needed(out["needed"], out["have"], exempt)
    tally_open = out["no_class"] + out["unpointed"] > 0
    out["status"] = verdict(out["still"], exempt, out["have"] != "", out["missing"] != "", tally_open)
    out["finding"] = _finding(out)


def _finding(out: Cells) -> str:
    if out["status"] == OK:
        return ""
    needed, have, still = (number_text(number(out[key])) for key in ("needed", "have", "still"))
    if out["status"] == NOT_ALLOWED:
        return f"{out['asked_by']} asks for {needed} points, the field has {have}: {still} still needed"
    if out["have"] == "":
        return "Field is missing"
    if out["missing"]:
        return f"Points of label or bulletin not entered: {out['missing']}"
    if out["no_class"]:
        return f"Runoff class of the county not entered: {still} points short without it"
    return f"A measure has no points: {still} points short without them"


def _fields(draft: Draft, checks: list[Cells]) -> None:
    """Add to each field what its passes ask, and how they came out."""
    asking: dict[object, list[Cells]] = defaultdict(list)
    for check, volume in zip(checks, draft["pass_volumes"], strict=True):
        if check["asks"]:
            asking[volume["field_row"]].append(check)
    for row_no, out in enumerate(draft["field_points"], 1):
        if out["field"] == "":
            continue
        own = asking[row_no]
        out["asking"] = len(own)
        if own:
            out["needed"], out["still"] = (max(number(check[key]) for check in own) for key in ("needed", "still"))
            found = {check["status"] for check in own}
            out["status"] = NOT_ALLOWED if NOT_ALLOWED in found else NOT_ENTERED if NOT_ENTERED in found else OK
