"""How much to mix when nobody knows how much will be sprayed: short costs against leftover costs."""

from __future__ import annotations

import math

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import number
from workbook_builder.core.rounding import shown, whole_above
from workbook_builder.features.shares.beta import share_chance, share_quantile

#: A number, or blank text.
Entered = float | str

#: The choice that is meant to be followed up by judging the rest.
ONE_TANK = "One full tank"
CHOICES = (
    "Mean share", "Enough 8 times in 10", "Enough 19 times in 20", "Enough 99 times in 100", "Confidence you want", "Cost ratio", ONE_TANK,
    "Full tanks, enough 8 times in 10",
)


def critical_ratio(short_cost: float, left_cost: float) -> float:
    """Return the chance of having enough that costs least: Cu / (Cu + Co).

    Parameters
    ----------
    short_cost, left_cost : float
        Loss per unit short and per unit left [money/unit].
    """
    return short_cost / (short_cost + left_cost)


def chance_short(share: float, a: float, b: float) -> float:
    """Return the chance that more than `share` of the ground is sprayed."""
    return 1.0 - share_chance(share, a, b)


def mean_below(share: float, a: float, b: float) -> float:
    """Return the part of the mean share that falls where at most `share` is sprayed.

    Notes
    -----
    The integral of x f(x) up to a point is the mean times the distribution of Beta(a + 1, b).
    """
    return a / (a + b) * share_chance(share, a + 1, b)


def expected_leftover(volume: float, full: float, a: float, b: float) -> float:
    """Return the mixture expected to be left over [volume].

    Parameters
    ----------
    volume : float
        Mixture prepared [volume].
    full : float
        Mixture used when all the ground is sprayed [volume].
    a, b : float
        Beta shape of the share of the field sprayed.
    """
    share = min(1.0, volume / full)
    return max(0.0, volume * (1.0 - chance_short(share, a, b)) - full * mean_below(share, a, b))


def spread(a: float, b: float) -> float:
    """Return the standard deviation of a beta-distributed share."""
    return math.sqrt(a * b / (a + b + 1)) / (a + b)


#: More refill trips than this are not counted.
MOST_TRIPS = 4.0


def extra_trips(chance: float, most: float = MOST_TRIPS) -> float:
    """Return the refill trips expected when a volume runs short with a given chance.

    Parameters
    ----------
    chance : float
        Chance of running short.
    most : float
        Highest count; 1 for a full tank that is meant to be followed up.

    Notes
    -----
    Who mixes with chance p of running short does so again for the rest: p + p2 + ... = p/(1-p).
    The calibration study shows that counting the repeats makes better advice.
    """
    return most if chance >= most / (1 + most) else chance / (1 - chance)


def extra_trips_of(choice: str, chance: float) -> float:
    """Return the refill trips expected of a choice that runs short with a given chance; one full tank counts one at most."""
    return extra_trips(chance, 1.0 if choice == ONE_TANK else MOST_TRIPS)


def in_tank(held: float, opens: Entered, mixed: float, sprayed: float) -> float:
    """Return what is in the tank of a spot pass [volume].

    Parameters
    ----------
    held : float
        What the pump cannot draw and is in the tank [volume].
    opens : float or ""
        0 where the pass goes on with the same mix; it fills an empty tank otherwise, also where nobody knows.
    mixed, sprayed : float
        Of the loads logged [volume].
    """
    return max(held, (held if opens == 0 else 0) + mixed - sprayed)


def chance_enough(available: float, full_volume: float, a: float, b: float) -> float:
    """Return the chance that what is in the tank [volume] sprays out ground that takes `full_volume` when all of it is sprayed."""
    return 1.0 if available >= full_volume else share_chance(available / full_volume, a, b)


def mixture_value(cost: Entered, volume: Entered, water: float) -> float:
    """Return what mixture is worth [money/volume]: products over the volume in the plan, and the carrier."""
    return (number(cost) / number(volume) if number(volume) else 0) + water


def held_ratio(short_cost: float, left_cost: float, otherwise: float) -> float:
    """Return the critical ratio, held from 0.5 to 0.99; another chance where neither running short nor leftover costs."""
    return otherwise if short_cost + left_cost <= 0 else min(0.99, max(0.5, critical_ratio(short_cost, left_cost)))


def share_of_choice(choice: str, a: float, b: float, full: float, usable: Entered, confidence: float, ratio: float) -> Entered:
    """Return the share of the field that a choice is enough for; above 1 where tanks hold more than can be used, blank without a tank."""
    chances = dict(zip(CHOICES[1:6], (0.8, 0.95, 0.99, confidence, ratio), strict=True))
    if choice == CHOICES[0]:
        return a / (a + b)
    if choice in chances:
        return share_quantile(chances[choice], a, b)
    tank = number(usable) / full
    if tank <= 0:
        return ""
    return tank if choice == ONE_TANK else whole_above(share_quantile(0.8, a, b) / tank) * tank


def expected_shortage(volume: float, full: float, leftover: float, share_mean: float) -> float:
    """Return the mixture expected to be wanting [volume]: what is used on average, and is neither prepared nor left over."""
    return max(0.0, full * share_mean - (volume - leftover))


def expected_cost(trip: float, trips: float, leftover: float, left_cost: float) -> float:
    """Return the cost expected of a choice [money], to the hundredth: refill trips, and leftover [volume] at its cost [money/volume]."""
    return shown(trip * trips + leftover * left_cost, 2)


def next_fill(advised_volume: float, tank: float, unusable: Entered, in_tank: float) -> float:
    """Return the mixture to add now [volume]: up to the volume advised or a full tank, what is in it taken off."""
    return max(0, min(tank, advised_volume + number(unusable)) - in_tank)


def next_area(in_tank: float, next_fill: float, unusable: Entered, remaining_area: float, carrier: float, share_mean: float) -> float:
    """Return the field area that the next fill covers at the mean share [area]."""
    return min(remaining_area, max(0, in_tank + next_fill - number(unusable)) / (carrier * share_mean))


def fills_to_come(advised_volume: float, available: float, usable: Entered) -> Entered:
    """Return the fills that the volume advised still takes, blank without a tank."""
    return whole_above(max(0, advised_volume - available) / number(usable)) if number(usable) > 0 else ""


def volume_status(full: Entered, advised: Entered, known: float, trip: float, left_cost: float) -> str:
    """Return whether the advice has something to rest on: a volume, a share that is known, and costs."""
    if full == 0:
        return OK
    if full == "" or advised == "":
        return NOT_ENTERED
    return LOOK if not known or trip + left_cost <= 0 else OK
