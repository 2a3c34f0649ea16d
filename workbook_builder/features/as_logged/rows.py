"""What was done, as the log says: area, carrier and rate that landed, and what in the log contradicts itself or the field."""

from __future__ import annotations

from collections import Counter, defaultdict
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text, rounded, shown
from workbook_builder.features.loads.definitions import work_rate
from workbook_builder.features.records.inputs import AMOUNT_DOUBT, AREA_DOUBT, LOADS_DOUBT, PACE_DOUBT, VOLUME_DOUBT


def log_value(draft: Draft, times: Cells, key: str) -> Any:
    """Return a cell of the pass's row in the spray log; blank when it was not sprayed yet."""
    return "" if times["log_day"] == "" else at(draft["spray_log"], times["log_row"], key)


def ground_sprayed(spot: bool, area: Any, volume: Any, carrier: Any) -> Any:
    """Return the ground that a logged amount landed on [area]; blank when it is not known.

    Parameters
    ----------
    spot : bool
        A spot nozzle gives its carrier rate wherever it sprays; a boom sprays the area treated.
    area : float or ""
        Area treated [area].
    volume : float or ""
        Volume sprayed [volume].
    carrier : float or ""
        Carrier rate planned [volume/area].
    """
    if not spot:
        return area if number(area) else ""
    return volume / carrier if number(volume) and number(carrier) else ""


def as_logged(draft: Draft) -> list[Cells]:
    """What the log holds of each pass; what contradicts itself is added by :func:`applied_lines`."""
    of_loads: dict[Any, list[Cells]] = defaultdict(list)
    for load, fact in zip(draft["load_log"], draft["load_facts"], strict=True):
        of_loads[fact["pass_row"]].append(load)
    divisor, rows = draft.form("factors")["work_rate_divisor"], []
    for row_no, (typed, volume, times) in enumerate(zip(draft["passes"], draft["pass_volumes"], draft["pass_times"], strict=True), 1):
        out, carrier, spot = Cells(), typed["carrier"], folded(typed["method"]) == "spot"
        out["area_typed"], out["volume_typed"] = log_value(draft, times, "area_treated"), log_value(draft, times, "volume_sprayed")
        for key, source in (("loads_volume", "volume_sprayed"), ("loads_area", "area_covered")):
            out[key] = added(number(load[source]) for load in of_loads[row_no])
        by_loads = out["volume_typed"] == "" and times["log_day"] != "" and out["loads_volume"]
        out["volume"] = out["loads_volume"] if by_loads else out["volume_typed"]
        if times["log_day"] != "":
            out["area"] = volume["area"] if out["area_typed"] == "" else out["area_typed"]
        if out["area"] != "" and number(carrier):
            out["by_plan"] = out["area"] * carrier
        out["carrier"] = number(carrier)
        if number(carrier) and not spot and number(out["volume"]) and number(out["area"]):
            out["carrier"] = out["volume"] / out["area"]
        out["ground"] = ground_sprayed(spot, volume["area"] if out["area"] == "" else out["area"], out["volume"], carrier)
        out["part"] = out["area_typed"] / volume["area"] if out["area_typed"] != "" and not spot and number(volume["area"]) else 1
        out["sprayed"] = volume["sprayed_area"] if "" in (times["log_day"], out["ground"]) else out["ground"]
        if times["log_end"] != "" and times["from_minute"] != "":
            out["hours"] = (times["to_minute"] - times["from_minute"]) / 60
            if times["width"] * times["speed"]:
                out["reach"] = work_rate(times["speed"], times["width"], 1, divisor) * out["hours"]
        rows.append(out)
    return rows


def applied_lines(draft: Draft) -> list[Cells]:
    """Amount and rate of each product of each pass, as logged or else as planned."""
    used, slots, rows = first_rows(draft["used_facts"], "key"), draft.slots("products"), []
    for place, line in enumerate(draft["mix_lines"]):
        out, log = Cells(doubtful=0, rate_base=line["rate_base"]), draft["as_logged"][place // slots]
        if line["product"] != "":
            out["used_row"] = find(used, f"{line['pass']}|{line['field']}|{line['product']}")
            out["measured"] = at(draft["amounts_used"], out["used_row"], "amount")
            _applied(out, line, log, draft["passes"][place // slots]["carrier"])
        rows.append(out)
    rows_of = Counter(fact["pass_row"] for fact in draft["used_facts"])
    for place, log in enumerate(draft["as_logged"]):
        lines = rows[place * slots : (place + 1) * slots]
        known = draft["pass_volumes"][place]["key"] != ""
        log["strangers"] = rows_of[place + 1] - sum(line["used_row"] != "" for line in lines) if known else 0
        log["doubts"] = "".join(f"; {said}" for said in _doubts(draft, place, log, lines))
    return rows


def _applied(out: Cells, line: Cells, log: Cells, carrier: Any) -> None:
    if log["volume"] != "" and line["rate_base"] != "":
        out["by_volume"] = line["rate_base"] * log["volume"] / carrier / line["to_base"]
    out["amount"] = out["by_volume"] if out["measured"] == "" else out["measured"]
    if "" not in (out["amount"], line["to_base"], log["ground"]):
        out["rate"] = out["rate_base"] = out["amount"] * line["to_base"] / log["ground"]
        out["said"] = ", as logged"
    if "" not in (line["unit_price"], line["to_base"]):
        planned = "" if line["cost"] == "" else line["cost"] * log["part"]
        out["cost"] = planned if out["amount"] == "" else out["amount"] * line["to_base"] * line["unit_price"]
    if out["by_volume"] != "":
        out["by_mix"] = out["by_volume"]
    elif "" not in (log["ground"], line["rate_base"]):
        out["by_mix"] = line["rate_base"] * log["ground"] / line["to_base"]
    out["doubtful"] = int("" not in (out["measured"], out["by_mix"]) and apart(out["measured"], out["by_mix"], AMOUNT_DOUBT))


def apart(value: float, other: float, tolerance: float) -> bool:
    """Return whether a value lies farther from another than a part of the other."""
    return rounded(abs(value - other) - other * tolerance, 6) > 0


def over(value: float, other: float, tolerance: float) -> bool:
    """Return whether a value is larger than another by more than a part of it."""
    return rounded(value - other * (1 + tolerance), 6) > 0


def _figure(value: float, digits: int = 1) -> str:
    return number_text(shown(value, digits))


def _doubts(draft: Draft, place: int, log: Cells, lines: list[Cells]) -> list[str]:
    """What in the log cannot all be right: with the field, the carrier rate, the loads, the clock, the mix."""
    spot, field = folded(draft["passes"][place]["method"]) == "spot", draft["pass_volumes"][place]["area"]
    units, said = draft.form("factors"), []
    acres, gallons = units["area_name"], units["liquid_name_1"]
    area, volume, planned, loads, covered = (log[key] for key in ("area", "volume", "by_plan", "loads_volume", "loads_area"))
    if area != "" and number(field) and over(area, field, AREA_DOUBT):
        said.append(f"area treated {_figure(area)} {acres}, the field has {_figure(field)}")
    if "" not in (volume, planned) and (over(volume, planned, VOLUME_DOUBT) or (not spot and apart(volume, planned, VOLUME_DOUBT))):
        said.append(f"volume sprayed {_figure(volume)} {gallons}, the carrier rate puts {_figure(planned)} on the area treated")
    if log["volume_typed"] != "" and loads and apart(loads, volume, LOADS_DOUBT):
        said.append(f"loads logged hold {_figure(loads)} {gallons}, volume sprayed is {_figure(volume)}")
    if number(field) and over(covered, field, AREA_DOUBT):
        said.append(f"loads logged cover {_figure(covered)} {acres}, the field has {_figure(field)}")
    if "" not in (area, log["reach"]) and over(area, log["reach"], PACE_DOUBT):
        said.append(f"{_figure(area)} {acres} in {_figure(log['hours'])} h, the sprayer drives over {_figure(log['reach'])}")
    slot = next((slot for slot, line in enumerate(lines) if line["doubtful"]), None)
    if slot is not None:
        name, line = draft.under("mix_lines", place, len(lines))[slot]["product"], lines[slot]
        said.append(f"amount of {name} used is {_figure(line['measured'], 2)}, the rate of the mix makes it {_figure(line['by_mix'], 2)}")
    if log["strangers"] > 0:
        said.append("amounts used name a product that is not in the mix, which no limit judges")
    if draft["pass_times"][place]["log_day"] == "" and any(line["measured"] != "" for line in lines):
        said.append("amounts used are typed, but not the date sprayed")
    return said
