"""Two tanks in one trip, and the order of fields that lets leftover end on legal ground."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text, rounded, shown, whole_above
from workbook_builder.features.shares.rows import pass_keys

LEGAL_FIRST = 1_000_000


def two_tanks(draft: Draft) -> list[Cells]:
    """Every spot pass with its partner, its trip and its place in the order."""
    keys = pass_keys(draft)
    rows = [_pair(draft, spot, keys) for spot in draft["spot_passes"]]
    trips: dict[Any, list[Cells]] = defaultdict(list)
    runs: dict[Any, list[Cells]] = defaultdict(list)
    for out in rows:
        if out["trip"] != "":
            trips[out["trip"]].append(out)
        if out["run"] != "":
            runs[out["run"]].append(out)
    for own in trips.values():
        _trip(draft, sorted(own, key=lambda out: out["trip_key"]))
    for own in runs.values():
        _order(own)
    for out, spot in zip(rows, draft["spot_passes"], strict=True):
        _status(draft, out, spot)
    return rows


def _pair(draft: Draft, spot: Cells, keys: dict[object, int]) -> Cells:
    out = Cells(row=spot["row"], field=spot["field"], on=0, spot_unusable=number(spot["unusable"]), slot=spot["slot"])
    out["pass"] = spot["pass"]
    if out["row"] == "":
        return out
    typed, volume = draft["passes"][out["row"] - 1], draft["pass_volumes"][out["row"] - 1]
    out["partner"], out["area"], out["spot_usable"] = typed["partner_pass"], volume["area"], volume["usable"]
    out["run"], out["takes"] = draft["pass_runs"][out["row"] - 1]["run"], draft["leftover_room"][out["row"] - 1]["takes"]
    if spot["carrier"] != "" and spot["share_mean"] != "":
        out["spot_rate"] = spot["carrier"] * spot["share_mean"]
        out["spot_rate_p80"] = spot["carrier"] * draft["share_estimates"][out["row"] - 1]["share_p80"]
    if out["partner"] != "":
        out["partner_row"] = find(keys, f"{out['partner']}|{out['field']}")
        out["on"] = int(folded(at(draft["passes"], out["partner_row"], "method")) == "broadcast")
    if out["on"]:
        _partner(draft, out)
    return out


def _partner(draft: Draft, out: Cells) -> None:
    row = out["partner_row"]
    out["main_usable"], out["main_rate"] = draft["pass_volumes"][row - 1]["usable"], at(draft["passes"], row, "carrier")
    known = "" not in (out["area"], out["main_rate"], out["spot_rate"])
    if known and number(out["main_usable"]) > 0 and number(out["spot_usable"]) > 0:
        out["trip"] = draft["pass_runs"][row - 1]["run"]
        if out["trip"] != "":
            out["trip_key"] = draft["tank_steps"][row - 1]["place"] * 100000 + out["slot"]


def empty_at(usable: float, total: float, before: float, after: float, rate: float) -> float | None:
    """Return the area into a field at which the first tank runs out, None where it does not.

    Parameters
    ----------
    usable : float
        A full tank [volume].
    total, before, after : float
        Volume of the trip, before this field and after it [volume].
    rate : float
        Volume per field area [volume/area].
    """
    if rounded(total - usable, 6) <= 0 or not before < usable <= after:
        return None
    return (usable - before) / rate


def _trip(draft: Draft, own: list[Cells]) -> None:
    totals = {"area": 0.0, "main": 0.0, "spot": 0.0, "p80": 0.0}
    for out in own:
        out["main_volume"], out["spot_volume"] = out["area"] * out["main_rate"], out["area"] * out["spot_rate"]
        out["spot_volume_p80"] = out["area"] * out["spot_rate_p80"]
        for key, part in (("area", "area"), ("main", "main_volume"), ("spot", "spot_volume"), ("p80", "spot_volume_p80")):
            totals[key] += out[part]
        out["area_after"], out["main_after"], out["spot_after"] = totals["area"], totals["main"], totals["spot"]
    for out in own:
        out.update(trip_area=totals["area"], trip_main=totals["main"], trip_spot=totals["spot"], trip_spot_p80=totals["p80"])
        for tank in ("main", "spot"):
            before = out[f"{tank}_after"] - out[f"{tank}_volume"]
            here = empty_at(out[f"{tank}_usable"], totals[tank], before, out[f"{tank}_after"], out[f"{tank}_rate"])
            out[f"{tank}_out"] = "" if here is None else out["area_after"] - out["area"] + here
    for out in own:
        for tank in ("main", "spot"):
            out[f"{tank}_out_at"] = added(number(other[f"{tank}_out"]) for other in own) or ""
        _loads(out)
        _words(out)
        _fills(draft, out)


def _loads(out: Cells) -> None:
    out["main_loads"] = whole_above(out["trip_main"] / out["main_usable"])
    out["spot_loads"] = whole_above(out["trip_spot_p80"] / out["spot_usable"])


def _words(out: Cells) -> None:
    main, spot = out["main_out_at"], out["spot_out_at"]
    if main == "" or spot == "":
        out["first_out"] = "neither" if main == spot else "spot tank" if main == "" else "main tank"
    elif rounded(abs(main - spot), 6) == 0:
        out["first_out"] = "both together"
    else:
        out["first_out"] = "main tank" if main < spot else "spot tank"
    start = out["area_after"] - out["area"]
    parts = [
        f"{tank} tank after {number_text(shown(out[f'{tank}_out'] - start, 1))} of this field"
        for tank in ("main", "spot") if out[f"{tank}_out"] != ""
    ]
    out["out_here"] = "; ".join(parts)


def _fills(draft: Draft, out: Cells) -> None:
    area = out["trip_area"]
    most_spot = out["spot_usable"] * area / out["trip_spot_p80"] if out["trip_spot_p80"] else area
    out["stop_area"] = min(out["main_usable"] * area / out["trip_main"], most_spot)
    out["stops"] = whole_above(area / out["stop_area"])
    if not out["stops"]:
        return
    each = out["area_per_stop"] = area / out["stops"]
    out["main_fill"], out["spot_fill"] = each * out["trip_main"] / area, each * out["trip_spot_p80"] / area
    volumes = draft["pass_volumes"]
    out["main_extra"] = volumes[out["trip"] - 1]["opens"] * volumes[out["partner_row"] - 1]["unusable"]
    out["spot_extra"] = "" if out["run"] == "" else volumes[out["run"] - 1]["opens"] * out["spot_unusable"]
    for tank, row in (("main", out["partner_row"]), ("spot", out["row"])):
        part = draft["pass_water"][row - 1]["liquid_part"]
        out[f"{tank}_water"] = "" if part == "" else out[f"{tank}_fill"] * (1 - part)


def _order(own: list[Cells]) -> None:
    """Put fields that may not take leftover first, the largest that may last."""
    for out in own:
        out["fields_in_run"] = len(own)
        if out["area"] != "":
            out["order_key"] = (LEGAL_FIRST if out["takes"] == 1 else 0) + out["area"] + out["slot"] / 100000
    keys = sorted(out["order_key"] for out in own if out["order_key"] != "")
    for out in own:
        out["order"] = "" if out["order_key"] == "" else keys.index(out["order_key"]) + 1
        last = out["order"] == out["fields_in_run"]
        legal = "legal here: spray last" if last else "label room left"
        out["leftover"] = legal if out["takes"] == 1 else "no label room: leave none"


def _status(draft: Draft, out: Cells, spot: Cells) -> None:
    if out["row"] == "" or out["partner"] == "":
        return
    out["status"] = LOOK
    if not out["on"]:
        out["finding"] = "The partner is no broadcast pass on this field"
    elif out["trip"] == "":
        out["status"], out["finding"] = NOT_ENTERED, "Area, carrier, date, mix or tank is missing"
    elif number(spot["spot_tank"]) == 0:
        out["finding"] = "The sprayer has no spot tank"
    else:
        own, other = draft["passes"][out["row"] - 1], draft["passes"][out["partner_row"] - 1]
        same = folded(own["sprayer"]) == folded(other["sprayer"]) and own["date"] == other["date"]
        out["status"], out["finding"] = (OK, "") if same else (LOOK, "The partner has another sprayer or date")
