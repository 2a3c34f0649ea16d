"""Spot against broadcast of every pass, the season, and the what-if sheet."""

from __future__ import annotations

from statistics import NormalDist
from typing import Any

from workbook_builder.core.adding import added, total
from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, first_rows, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import gained, number_text, rounded, shown
from workbook_builder.features.shares.beta import share_chance, share_quantile
from workbook_builder.features.spot_money.columns import PRICE_STEPS
from workbook_builder.features.spot_money.definitions import SpotTerms, net_of

NO_TERMS = "No spot terms for this sprayer, use and crop: fee counted as 0"


def spot_against_broadcast(draft: Draft) -> list[Cells]:
    """Every spot pass against spraying the same mix over the whole field."""
    return [_pass(draft, number_) for number_ in range(len(draft["passes"]))]


def _pass(draft: Draft, number_: int) -> Cells:
    typed, volume = draft["passes"][number_], draft["pass_volumes"][number_]
    out, ground = Cells(on=0, priced=0), draft["as_logged"][number_]["ground"]
    if folded(typed["method"]) != "spot" or volume["loads"] == "" or volume["pass"] == "" or not volume["area"] > 0:
        return out
    out.update(on=1, field=volume["field"], sprayer_row=volume["sprayer_row"], area=volume["area"])
    out["share"] = volume["share"] if ground == "" else min(1, ground / volume["area"])
    out["pass"] = volume["pass"]
    out["crop_row"] = draft["crop_rows"][number_]["first"]
    out["priced"] = int(draft["cost_passes"][number_]["unpriced"] == 0)
    lines = draft.under("pick_list", number_, draft.slots("products"))
    product = total(line["area_cost"] for line in lines)
    _work(draft, out, number_)
    settings = draft.form("assumptions")
    terms = SpotTerms(
        product, out["carrier_area"], out["main_loads"] * out["refill_cost"], out["spot_loads"] * out["refill_cost"], out["fee_area"],
        out["drive_area"], settings["escape_loss"], settings["second_pass"],
    )
    _saved(draft, out, typed, terms)
    estimate = draft["share_estimates"][number_]
    volumes = draft["order_volumes"][number_]
    _shares(out, estimate, volumes["left"], volumes["done"])
    if out["priced"]:
        _net(out, terms)
        _could_happen(out, estimate, terms, volumes)
    _status(out, draft["spot_uses"][number_]["term_row"])
    return out


def _work(draft: Draft, out: Cells, number_: int) -> None:
    typed, volume, work = (draft[key][number_] for key in ("passes", "pass_volumes", "work_rates"))
    sprayer, carrier = draft["sprayers"][out["sprayer_row"] - 1], typed["carrier"]
    out["carrier_area"] = carrier * draft.form("assumptions")["water_cost"]
    main = out["main_usable"] = number(sprayer["main_tank"]) - volume["unusable"]
    out["main_loads"] = carrier / main if main > 0 else 0
    out["spot_loads"] = carrier / volume["usable"]
    out["refill_hours"] = work["refill_minutes"] / 60 if draft["pass_times"][number_]["by_load"] else 0
    out["running_hour"] = draft["sprayer_costs"][out["sprayer_row"] - 1]["running_hour"]
    out["refill_cost"] = out["refill_hours"] * out["running_hour"]
    out["drive_area"] = number(sprayer["cost_per_area"]) + out["running_hour"] * number(work["field_hours"]) / out["area"]
    out["fee_area"] = number(at(draft["spot_terms"], draft["spot_uses"][number_]["term_row"], "fee"))


def _saved(draft: Draft, out: Cells, typed: Cells, terms: SpotTerms) -> None:
    area, share = out["area"], out["share"]
    if out["priced"]:
        out.update(product_area=terms.product, product_broadcast=terms.product * area, product_spot=terms.product * area * share)
        out["product_saved"] = out["product_broadcast"] - out["product_spot"]
    out["water_saved"] = typed["carrier"] * area * (1 - share)
    out["carrier_saved"] = out["water_saved"] * draft.form("assumptions")["water_cost"]
    fills = out["main_loads"] if share >= 1 else out["spot_loads"] * share
    out["refills_saved"] = (out["main_loads"] - fills) * area
    out["refill_spot"] = fills * area * out["refill_cost"]
    out["hours_saved"] = out["refills_saved"] * out["refill_hours"]
    out["time_saved"] = out["hours_saved"] * out["running_hour"]
    out["fee"], out["escapes"] = terms.fee * area, terms.escapes * area


def _net(out: Cells, terms: SpotTerms) -> None:
    area, share = out["area"], out["share"]
    spot_pass = terms.product * share + terms.carrier * share + out["refill_spot"] / area + terms.fee + terms.drive
    out["again"] = terms.again * spot_pass * area
    saved = out["product_saved"] + out["carrier_saved"] + out["time_saved"]
    out["net"] = net_of(0, saved, out["fee"] + out["again"], out["escapes"])
    out["net_per_area"] = terms.gain(share)
    out["start"], out["slope"] = terms.start, terms.slope
    even = terms.break_even_share
    out["break_even_share"] = "" if even is None else even
    out["broadcast_cost"] = terms.broadcast
    out["spot_cost"] = gained(terms.broadcast - out["net_per_area"])


def _shares(out: Cells, estimate: Cells, left: float, done: float) -> None:
    if estimate["a"] == "":
        return
    for key, chance in (("share_p10", 0.1), ("share_p50", 0.5), ("share_p90", 0.9)):
        out[key] = min(1, done + left * share_quantile(chance, estimate["a"], estimate["b"]))
    out["share_mean"] = min(1, done + left * estimate["share_mean"])


def _could_happen(out: Cells, estimate: Cells, terms: SpotTerms, volumes: Cells) -> None:
    a, b, even, left, done = estimate["a"], estimate["b"], out["break_even_share"], volumes["left"], volumes["done"]
    if a == "":
        return
    for key, share in (("net_p10", "share_p90"), ("net_p50", "share_p50"), ("net_p90", "share_p10"), ("net_mean", "share_mean")):
        out[key] = gained((terms.start - terms.slope * out[share]) * out["area"])
    out["net_variance"] = (terms.slope * out["area"] * left) ** 2 * a * b / ((a + b) ** 2 * (a + b + 1))
    if even == "":
        out["chance"] = 0
    elif left == 0:
        out["chance"] = int(done <= even)
    else:
        point = out["point"] = (even - done) / left
        out["chance"] = share_chance(point, a, b)


def _status(out: Cells, term_row: object) -> None:
    if not out["priced"]:
        out["status"], out["finding"] = NOT_ENTERED, "A product has no price"
    elif term_row == "":
        out["status"], out["finding"] = NOT_ENTERED, NO_TERMS
    elif rounded(out["net"], 6) < 0:
        less = number_text(shown(-out["net"], 2))
        out["status"], out["finding"] = LOOK, f"Broadcasting would cost {less} less at this share of the field"
    else:
        out["status"] = OK


LISTED = ("pass", "field", "share", "break_even_share", "product_saved", "fee", "net", "net_per_area", "net_p10", "net_p90", "chance")


def spot_season(draft: Draft) -> list[Cells]:
    """All spot passes together, and what could happen."""
    rows = draft["spot_against_broadcast"]
    out = Cells(passes=added(row["on"] for row in rows))
    sources = {"mean": "net_mean", "together_p10": "net_p10", "together_p90": "net_p90"}
    for key in ("area", "product_saved", "water_saved", "hours_saved", "fee", "net", *sources):
        out[key] = total(row[sources.get(key, key)] for row in rows)
    full = total(row["product_broadcast"] for row in rows)
    out["saved_share"] = out["product_saved"] / full if full else ""
    out["net_per_area"] = out["net"] / out["area"] if out["area"] else ""
    spread = out["spread"] = total(row["net_variance"] for row in rows) ** 0.5
    reach = NormalDist().inv_cdf(0.9) * spread
    out.update(p10=out["mean"] - reach, p50=out["mean"], p90=out["mean"] + reach)
    if out["passes"]:
        out["chance"] = NormalDist().cdf(out["mean"] / spread) if spread else int(out["mean"] >= 0)
    return [out]


def spot_crops(draft: Draft) -> list[Cells]:
    """The season's spot passes by crop."""
    rows = []
    for crop in draft["cost_crops"]:
        out = Cells(crop=crop["crop"])
        if crop["row"] != "":
            own = [row for row in draft["spot_against_broadcast"] if row["crop_row"] == crop["row"]]
            out["passes"] = added(row["on"] for row in own)
            for key in ("area", "product_saved", "fee", "net"):
                out[key] = total(row[key] for row in own)
            out["net_per_area"] = out["net"] / out["area"] if out["area"] else ""
        rows.append(out)
    return rows


def spot_chosen(draft: Draft) -> list[Cells]:
    """What the curve and the two-way table rest on."""
    choice, out = draft.form("spot_choice"), Cells()
    row = out["row"] = _chosen_row(draft, choice)
    keys = ("share", "product_area", "fee_area", "start", "slope", "broadcast_cost", "break_even_share")
    out.update({key: at(draft["spot_against_broadcast"], row, key) for key in keys})
    out["what"] = at(draft["pass_volumes"], row, "key")
    if row == "":
        out["found"] = "Review: no such spot pass"
    else:
        out["found"] = "Review: not a spot pass, or a product has no price" if out["start"] == "" else out["what"]
    if out["product_area"] != "":
        for key, _ in PRICE_STEPS:
            out[f"product_{key}"] = out["product_area"] * number(choice[key])
    return [out]


def _chosen_row(draft: Draft, choice: Cells) -> Any:
    if choice["pass"] == "":
        return first_rows(draft["spot_against_broadcast"], "on").get(1, "")
    return first_rows(draft["pass_volumes"], "key").get(folded(f"{choice['pass']}|{choice['field']}"), "")


def spot_curve(draft: Draft) -> list[Cells]:
    """Cost and gain of the chosen pass at every share of the field sprayed."""
    chosen, again, steps = draft.form("spot_chosen"), draft.form("assumptions")["second_pass"], draft.slots("share_steps")
    rows = []
    for slot in range(1, steps + 1):
        out = Cells(slot=slot)
        if chosen["start"] != "":
            share = out["share"] = (slot - 1) / (steps - 1)
            out["broadcast_cost"] = chosen["broadcast_cost"]
            out["spot_cost"] = gained(chosen["broadcast_cost"] - chosen["start"] + chosen["slope"] * share)
            for key, _ in PRICE_STEPS:
                dearer = chosen[f"product_{key}"] - chosen["product_area"]
                out[f"net_{key}"] = gained(chosen["start"] + dearer - (chosen["slope"] + dearer * (1 + again)) * share)
        rows.append(out)
    return rows
