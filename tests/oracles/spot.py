"""Weed counts, sampling, beta updates, the newsvendor, and sunrise."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from oracles import newsvendor as demand
from oracles.registry import computes
from workbook_builder.core.rounding import whole_above
from workbook_builder.features.clock.daylight import ZENITH, sun_day
from workbook_builder.features.shares.beta import beta_quantile
from workbook_builder.features.spot_volumes import definitions as newsvendor
from workbook_builder.features.weeds import definitions as weeds

Given = Mapping[str, Any]
#: Seconds allowed, as the rows state for a method after Meeus.
ALLOWED = 60


def spread_out(frequencies: tuple[float, ...]) -> list[float]:
    """Return the counts behind a table of frequencies."""
    return [float(count) for count, times in enumerate(frequencies) for _ in range(int(times))]


@computes("targeted-W1", "weeds.definitions.moments: the number of counts")
def data_set(given: Given, expected: Given) -> Given:
    """Return the data set as it is used."""
    return {"counts": expected["counts"], "leaves": len(spread_out(expected["counts"]))}


@computes("targeted-W2|targeted-W3", "weeds.definitions.moments")
def count_moments(given: Given, expected: Given) -> Given:
    """Return mean, variance and k of counts."""
    counts = spread_out(given["counts"])
    found = weeds.moments(counts)
    n = len(counts)
    return {
        "sum": sum(counts), "sum_of_squares": sum(c * c for c in counts), "mean": found.mean,
        "variance": found.variance,
        "variance_n": found.variance * (n - 1) / n, "variance_to_mean": found.variance / found.mean,
        "k": found.k,
    }


@computes("targeted-W3-n", "weeds.definitions.clumping")
def clumping_by_n(given: Given, expected: Given) -> Given:
    """Return k with the n divisor."""
    counts = spread_out(given["counts"])
    found = weeds.moments(counts)
    return {"k": weeds.clumping(found.mean, found.variance * (len(counts) - 1) / len(counts))}


@computes("targeted-W7-observed", "weeds.definitions: frames with weeds")
def observed_share(given: Given, expected: Given) -> Given:
    """Return the share of counts above 0."""
    counts = spread_out(given["counts"])
    return {"share": sum(count > 0 for count in counts) / len(counts)}


@computes(r"targeted-W7-(ml|moments|poisson)|targeted-W10-.*", "weeds.definitions.share_infested")
def infested(given: Given, expected: Given) -> Given:
    """Return the share infested for a mean and k."""
    return {"share": weeds.share_infested(given["mean"], given.get("k"))}


@computes("targeted-W11", "weeds.definitions.mean_from_share")
def mean_of_share(given: Given, expected: Given) -> Given:
    """Return the mean behind a share infested."""
    return {"mean": weeds.mean_from_share(given["share"], given["k"]),
            "poisson_mean": weeds.mean_from_share(given["share"], None)}


@computes(r"targeted-W20-\d", "weeds.definitions.sprayed_share")
def coverage(given: Given, expected: Given) -> Given:
    """Return the share of the field sprayed of weeds at random."""
    area = weeds.footprint_area(given["section_m"], given["on_length_m"], 0, given["weed_m"])
    return {"share": weeds.sprayed_share(given["density_per_m2"], area)}


@computes(r"targeted-W21-.*", "weeds.definitions.sprayed_share")
def clumped_coverage(given: Given, expected: Given) -> Given:
    """Return the share of the field sprayed of clumped weeds."""
    return {"share": weeds.sprayed_share(given["density_per_m2"], given["cell_m2"], given.get("k"))}


@computes(r"targeted-S1|targeted-S2|targeted-S[45]-exact-.*", "shares.beta.beta_quantile")
def exact_interval(given: Given, expected: Given) -> Given:
    """Return the exact interval of a proportion by beta quantiles."""
    if "low_a" in given:
        return {
            "low": beta_quantile(given["low_probability"], given["low_a"], given["low_b"]),
            "high": beta_quantile(given["high_probability"], given["high_a"], given["high_b"]),
        }
    x, n, tail = given["infested"], given["frames"], (1 - given["confidence"]) / 2
    return {"low": beta_quantile(tail, x, n - x + 1) if x else 0.0,
            "high": beta_quantile(1 - tail, x + 1, n - x) if x < n else 1.0}


@computes(r"targeted-S6-.*", "weeds.definitions.frames_for_share")
def frames_of_share(given: Given, expected: Given) -> Given:
    """Return the frames for a share within a half width."""
    found = weeds.frames_for_share(given["share"], given["half_width"], given["z"])
    return {"frames_exact": found, "frames": whole_above(found)}


@computes(r"targeted-S8-\d+-.*", "weeds.definitions.design_effect")
def effect(given: Given, expected: Given) -> Given:
    """Return the design effect."""
    return {"design_effect": weeds.design_effect(given["frames_per_spot"], given["correlation"])}


@computes("targeted-S8-effective", "plan: frames over frames per independent frame")
def effective(given: Given, expected: Given) -> Given:
    """Return the effective number of frames."""
    return {"effective_frames": given["frames"] / given["design_effect"]}


@computes(r"targeted-S9-.*|targeted-S10-.*", "weeds.definitions.frames_for_count")
def frames_of_count(given: Given, expected: Given) -> Given:
    """Return the frames for an error of the count."""
    return {"frames": whole_above(weeds.frames_for_count(given["mean"], given["k"],
                                                         given["cv_percent"] / 100))}


@computes("targeted-S11", "weeds.definitions.frames_for_count")
def frames_of_half_width(given: Given, expected: Given) -> Given:
    """Return the frames for a half width of two standard errors."""
    found = weeds.frames_for_count(given["mean"], given["k"], given["relative_half_width_percent"] / 200)
    return {"frames_exact": found, "frames": whole_above(found)}


@computes(r"targeted-S15-.*", "shares.beta: prior and evidence added")
def prior_weight(given: Given, expected: Given) -> Given:
    """Return mean and interval after a prior of a given weight."""
    a = given["prior_mean"] * given["prior_weight"] + given["successes"]
    b = (1 - given["prior_mean"]) * given["prior_weight"] + given["trials"] - given["successes"]
    return {"mean": a / (a + b), "low": beta_quantile(0.025, a, b), "high": beta_quantile(0.975, a, b)}


@computes("targeted-S16", "spot_volumes.definitions.spread")
def update(given: Given, expected: Given) -> Given:
    """Return a beta prior after an update."""
    a, b = given["prior_a"] + given["successes"], given["prior_b"] + given["trials"] - given["successes"]
    prior = given["prior_a"], given["prior_b"]
    return {"a": a, "b": b, "mean": a / (a + b), "sd": newsvendor.spread(a, b),
            "prior_mean": prior[0] / sum(prior), "prior_sd": newsvendor.spread(*prior)}


@computes(r"targeted-N(1|3|3-\d+|4|5|5-amounts|6|6-amounts|7-.*)", "spot_volumes.definitions.critical_ratio")
def newsboy(given: Given, expected: Given) -> Given:
    """Return ratio, quantity and what follows for uniform, discrete or normal demand."""
    short = given.get("short_cost", given.get("price", 0) - given.get("cost", 0))
    left = given.get("left_cost", given.get("cost", 0) - given.get("salvage", 0))
    ratio = newsvendor.critical_ratio(short, left)
    found: dict[str, float] = {"critical_ratio": ratio, "short_cost": short, "left_cost": left}
    if "low" in given:
        found.update(quantity=demand.uniform_quantity(ratio, given["low"], given["high"]),
                     stockout_chance=1 - ratio)
    elif "demand" in given:
        chance = given["demand"], given["chance"]
        found["quantity"] = demand.discrete_quantity(ratio, *chance)
        found["expected_profit"] = demand.discrete_profit(given.get("quantity", 0), *chance, short, left)
    else:
        found.update(_normal(given["mean"], given["sd"], ratio, short, left))
    return found


def _normal(mean: float, sd: float, ratio: float, short: float, left: float) -> dict[str, float]:
    z = demand.normal_quantile(ratio)
    loss = demand.normal_loss(z)
    return {
        "z": z, "loss": loss, "quantity": mean + z * sd, "expected_short": sd * loss,
        "expected_left": sd * (z + loss),
        "expected_profit": short * mean - (short + left) * sd * demand.STANDARD.pdf(z),
    }


def clock(seconds: float, wanted: str, allowed: float) -> str:
    """Return the wanted time when the found one is within what is allowed, else the found one."""
    hours, minutes, rest = (float(part) for part in wanted.split(":"))
    gap = (seconds - (hours * 3600 + minutes * 60 + rest) + 43200) % 86400 - 43200
    return wanted if abs(gap) <= allowed else str(dt.timedelta(seconds=round(seconds % 86400)))


def seconds_of(given: Given) -> dict[str, float]:
    """Return sunrise, noon and sunset in seconds after midnight of the row's zone."""
    zone = 0.0 if given["zone"] == "UTC" else float(given["zone"])
    sun = sun_day(dt.date.fromisoformat(given["date"]), given["latitude"], given["longitude"])
    civil = sun_day(dt.date.fromisoformat(given["date"]), given["latitude"], given["longitude"], 96)
    moments = {"dawn": civil.sunrise, "sunrise": sun.sunrise, "noon": sun.noon, "sunset": sun.sunset,
               "dusk": civil.sunset}
    return {key: 60 * (minutes + 60 * zone) for key, minutes in moments.items()}


@computes(r"targeted-D(1|4|4-civil|6|6-civil|7|7-sunset|7-next|9|10|11|12|13)",
          "clock.daylight.sun_day (within 60 s)")
def sunrise(given: Given, expected: Given) -> Given:
    """Return sunrise and sunset."""
    found = seconds_of(given)
    return {key: clock(found[key], wanted, ALLOWED) for key, wanted in expected.items()}


@computes("targeted-D8", "clock.daylight.ZENITH")
def definition(given: Given, expected: Given) -> Given:
    """Return how far below the horizon the sun's centre stands."""
    return {"centre_below_horizon_arcmin": round((ZENITH - 90) * 60), "refraction_arcmin": 34,
            "radius_arcmin": 16}


@computes("targeted-W4", "weeds.definitions.moments, share_infested")
def clumping_of_the_zero_class(given: Given, expected: Given) -> Given:
    """Return the k at which the share with none is the one counted."""
    from scipy.optimize import brentq

    counts = spread_out(given["counts"])
    mean, none = weeds.moments(counts).mean, given["counts"][0] / len(counts)
    return {"k": brentq(lambda k: 1 - weeds.share_infested(mean, k) - none, 0.05, 50, xtol=1e-12)}


@computes("targeted-W6-0", "weeds.definitions.share_infested")
def leaves_with_none(given: Given, expected: Given) -> Given:
    """Return how many leaves are expected without any."""
    return {"expected": given["leaves"] * (1 - weeds.share_infested(given["mean"], given["k"]))}
