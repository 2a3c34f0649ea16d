"""How much to mix for every spot pass: candidates, advice and the next fill."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, number
from workbook_builder.core.rounding import shown, whole_above
from workbook_builder.features.shares.beta import share_chance, share_quantile
from workbook_builder.features.spot_volumes import definitions as newsvendor
from workbook_builder.features.spot_volumes.columns import CHOICES, ONE_TANK


def spot_passes(draft: Draft) -> list[Cells]:
    """What is left to spray in each spot pass and how much to mix for it (first part)."""
    own = [n for n, use in enumerate(draft["spot_uses"], 1) if use["on"]]
    rows = []
    for slot in range(1, draft.slots("spot") + 1):
        out = Cells(slot=slot)
        if slot <= len(own):
            out["row"] = own[slot - 1]
            _facts(draft, out)
            _in_tank(draft, out)
            _costs(draft, out)
        rows.append(out)
    return rows


def listed(key: str) -> Callable[[Draft], list[Cells]]:
    """Return what lists the rows of a table beside the passes, for spot passes alone."""

    def rows(draft: Draft) -> list[Cells]:
        found = [draft[key][spot["row"] - 1] if spot["row"] != "" else Cells() for spot in draft["spot_passes"]]
        return [Cells({**row, "slot": slot}) for slot, row in enumerate(found, 1)]

    return rows


def _facts(draft: Draft, out: Cells) -> None:
    estimate, volume = draft["share_estimates"][out["row"] - 1], draft["pass_volumes"][out["row"] - 1]
    for key in ("pass", "field", "known", "a", "b", "share_mean", "remaining_area"):
        out[key] = estimate[key]
    out["key"] = f"{out['pass']}|{out['field']}"
    out["carrier"] = at(draft["passes"], out["row"], "carrier")
    for key in ("tank", "usable", "unusable", "spot_tank", "opens"):
        out[key] = volume[key]
    if out["remaining_area"] != "" and out["carrier"] != "":
        out["full_volume"] = out["remaining_area"] * out["carrier"]
        out["expected_total"] = estimate["volume_sprayed"] + out["share_mean"] * out["full_volume"]


def _in_tank(draft: Draft, out: Cells) -> None:
    estimate = draft["share_estimates"][out["row"] - 1]
    going_on = out["opens"] == 0
    held = out["held"] = number(out["unusable"]) if going_on or estimate["loads_logged"] > 0 else 0
    out["in_tank"] = max(held, (held if going_on else 0) + estimate["volume_mixed"] - estimate["volume_sprayed"])
    left = out["available"] = max(0, out["in_tank"] - number(out["unusable"]))
    full = out["full_volume"]
    if full != "":
        out["chance_enough"] = 1 if left >= full else share_chance(left / full, out["a"], out["b"])


def _costs(draft: Draft, out: Cells) -> None:
    figures, volume = draft.form("spot_figures"), draft["pass_volumes"][out["row"] - 1]
    out["planned_volume"], out["planned_cost"] = volume["mixed_volume"], draft["cost_passes"][out["row"] - 1]["planned_cost"]
    mixed, products = number(out["planned_volume"]), number(out["planned_cost"])
    out["mixture_value"] = (products / mixed if mixed else 0) + draft.form("assumptions")["water_cost"]
    out["leftover_cost"] = out["mixture_value"] + figures["waste_cost"]
    if out["full_volume"] == "":
        return
    low, high = (share_quantile(chance, out["a"], out["b"]) for chance in (0.1, 0.9)) if out["known"] else (0, 1)
    out["low_volume"], out["high_volume"] = low * out["full_volume"], high * out["full_volume"]
    out["spread"] = out["full_volume"] * newsvendor.spread(out["a"], out["b"])
    if out["spread"]:
        out["short_cost"] = figures["refill_cost"] / out["spread"]
        out["cost_ratio"] = _ratio(out["short_cost"], out["leftover_cost"], figures["wanted_confidence"])


def _ratio(short: float, left: float, otherwise: float) -> float:
    return otherwise if short + left <= 0 else min(0.99, max(0.5, newsvendor.critical_ratio(short, left)))


def shares_of_choices(out: Cells, confidence: float) -> list[Any]:
    """Return the share that each candidate is enough for; above 1 when a tank holds more than can be used."""
    a, b, full, usable = out["a"], out["b"], out["full_volume"], number(out["usable"])
    p80 = share_quantile(0.8, a, b)
    tanks = whole_above(p80 * full / usable) * usable / full if usable > 0 else ""
    return [
        a / (a + b), p80, share_quantile(0.95, a, b), share_quantile(0.99, a, b), share_quantile(confidence, a, b),
        share_quantile(out["cost_ratio"], a, b), usable / full if usable > 0 else "", tanks,
    ]


def volume_choices(draft: Draft) -> list[Cells]:
    """Candidates of every spot pass; also writes the advice into the spot passes."""
    rows: list[Cells] = []
    for out in draft["spot_passes"]:
        own = [Cells(slot=slot) for slot in range(1, len(CHOICES) + 1)]
        if number(out["full_volume"]) > 0:
            shares = shares_of_choices(out, draft.form("spot_figures")["wanted_confidence"])
            for name, share, choice in zip(CHOICES, shares, own, strict=True):
                choice["pass"], choice["field"], choice["choice"], choice["full"] = out["pass"], out["field"], name, out["full_volume"]
                choice["usable"] = out["usable"]
                if share != "":
                    _choice(out, choice, share, draft.form("spot_figures")["refill_cost"])
        _advise(draft, out, own)
        rows += own
    return rows


def _choice(out: Cells, choice: Cells, share: float, refill_cost: float) -> None:
    a, b, full = out["a"], out["b"], out["full_volume"]
    volume, held = share * full, min(1, share)
    choice.update(share=share, volume=volume, at_share=held)
    choice["chance_short"] = newsvendor.chance_short(held, a, b)
    choice["mean_below"] = newsvendor.mean_below(held, a, b)
    left = choice["expected_leftover"] = newsvendor.expected_leftover(volume, full, a, b)
    choice["expected_short"] = max(0, left - volume + full * out["share_mean"])
    choice["extra_trips"] = newsvendor.extra_trips(choice["chance_short"], 1.0 if choice["choice"] == ONE_TANK else newsvendor.MOST_TRIPS)
    choice["expected_cost"] = shown(refill_cost * choice["extra_trips"] + left * out["leftover_cost"], 2)


def _advise(draft: Draft, out: Cells, own: list[Cells]) -> None:
    costs = [choice["expected_cost"] for choice in own if choice["expected_cost"] != ""]
    if costs:
        out["best_cost"] = min(costs)
        out["best"] = next(choice["slot"] for choice in own if choice["expected_cost"] == out["best_cost"])
        if not out["known"] and number(out["usable"]) > 0:
            out["best"] = 1 + CHOICES.index(ONE_TANK)
        advised = own[out["best"] - 1]
        advised["advised"] = "yes"
        out["advice"], out["advised_volume"] = advised["choice"], advised["volume"]
        if out["tank"] != "":
            _next_fill(out)
    if out["row"] != "":
        out["status"] = _status(out, draft.form("spot_figures")["refill_cost"])


def _next_fill(out: Cells) -> None:
    unusable = number(out["unusable"])
    out["next_fill"] = max(0, min(out["tank"], out["advised_volume"] + unusable) - out["in_tank"])
    if out["share_mean"]:
        held = max(0, out["in_tank"] + out["next_fill"] - unusable)
        out["next_area"] = min(out["remaining_area"], held / (out["carrier"] * out["share_mean"]))
    if number(out["usable"]) > 0:
        out["fills_to_come"] = whole_above(max(0, out["advised_volume"] - out["available"]) / out["usable"])


def _status(out: Cells, refill_cost: float) -> str:
    if out["full_volume"] == "":
        return NOT_ENTERED
    if out["full_volume"] == 0:
        return OK
    if out["advised_volume"] == "":
        return NOT_ENTERED
    return LOOK if not out["known"] or refill_cost + out["leftover_cost"] <= 0 else OK
