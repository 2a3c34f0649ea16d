"""How much to mix when nobody knows how much will be sprayed: short costs against leftover costs."""

from __future__ import annotations

import math

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import number
from workbook_builder.core.rounding import number_text, rounded, shown, whole_above
from workbook_builder.features.shares.beta import share_chance, share_quantile, told_chance

#: A number, or blank text.
Entered = float | str

#: What the next fill may be: as much as is enough with a chance, with the farm's own, or a full tank.
QUANTILES = (0.5, 0.8)
BALANCE = "Balances leftover against a refill"
#: Trips that a fill counts which may run dry: the refill, and the further ones and leftover that it brings
#: (docs/calibration-study.md).
DRY_TRIPS = 4
#: Full tanks after which further trips count by what is expected beyond them.
TANKS_COUNTED = 2.5
#: A fill that finishes the field less often than this is one of several.
LIKELY = 0.15
YOURS = "Your confidence"
FULL_TANK = "A full tank"
PARTS = ("A third of a tank", "Half a tank", "Two thirds of a tank", "Five sixths of a tank")
#: Of choices that cost the same the first is advised: as long as nothing speaks against it, fill the tank.
CHOICES = (FULL_TANK, "Enough 5 times in 10", "Enough 8 times in 10", BALANCE, YOURS)


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


def share_of_field(chance: float, done: float, left: float, known: float, a: float, b: float) -> float:
    """Return the share of the whole field not exceeded with a chance: sprayed so far,
    and a quantile of what is left; none or all of it where nothing is known.
    """
    return min(1.0, done + left * (share_quantile(chance, a, b) if known else round(chance)))


def volume_safe(expected: float, sprayed: float, rest: float) -> float:
    """Return the spray volume of a whole pass at the confidence wanted [volume],
    never under the expected one.
    """
    return max(expected, sprayed + rest)


def rest_safe(full: float, known: float, share_mean: float, a: float, b: float, confidence: float) -> float:
    """Return what the rest takes at a confidence [volume], never under its mean.

    `full` where nothing is known.
    """
    return full * (max(share_mean, share_quantile(confidence, a, b)) if known else 1)


def trip_cost(typed: float, minutes: Entered, hour: Entered) -> float:
    """Return the cost of a refill trip [money]: as typed, or else its time [min] at the cost per hour
    [money/h].
    """
    return typed if typed > 0 else number(minutes) / 60 * number(hour)


def balance(trip: float, full: float, a: float, b: float, left_cost: float, otherwise: float) -> float:
    """Return the chance of being enough that balances leftover against a refill.

    Another one where neither costs anything.

    Parameters
    ----------
    trip : float
        Cost of a refill trip [money], which counts `DRY_TRIPS` times.
    full : float
        What the rest takes when all of it is sprayed [volume].
    a, b : float
        Beta shape of the share of the rest.
    left_cost : float
        Of leftover [money/volume].
    otherwise : float

    Notes
    -----
    The critical ratio, with the trip spread over one standard deviation of the volume; from 0.2 to 0.99.
    """
    short_cost = DRY_TRIPS * trip / (full * spread(a, b)) if full else 0
    return (otherwise if short_cost + left_cost <= 0
            else min(0.99, max(0.2, critical_ratio(short_cost, left_cost))))


def _enough(slot: float, full: float, a: float, b: float, ratio: float, confidence: float) -> float:
    """Return the volume that is enough as often as a choice says [volume]."""
    return full * share_quantile((*QUANTILES, ratio, confidence)[int(slot) - 2], a, b)


def name_of_choice(slot: float, full: float, usable: float, a: float, b: float, ratio: float,
                   confidence: float) -> str:
    """Return what a choice of the next fill is called.

    A part of a tank where a full one is not enough so often.
    """
    if slot == 1 or _enough(slot, full, a, b, ratio, confidence) < usable:
        return CHOICES[int(slot) - 1]
    return PARTS[int(slot) - 2]


def volume_of_choice(
    slot: float, full: float, usable: float, a: float, b: float, ratio: float, confidence: float,
    available: float, least_load: float, tank: float, unusable: Entered,
) -> float:
    """Return the usable volume to have for a choice [volume].

    Parameters
    ----------
    slot : float
        Number of the choice, from 1.
    full, usable : float
        What the rest takes when all of it is sprayed, and a full tank [volume].
    a, b : float
        Beta shape of the share of the rest.
    ratio, confidence : float
        Chance of being enough that balances leftover against a refill, and the farm's own.
    available : float
        Usable volume in the tank [volume].
    least_load : float
        Least share of the tank that agitates.
    tank, unusable : float
        [volume].
    """
    if slot == 1:
        return min(usable, full)
    wanted = _enough(slot, full, a, b, ratio, confidence)
    return min(full, usable, max(usable * slot / 6 if wanted >= usable else wanted, available,
                                 least_load * tank - number(unusable)))


def extra_trips(volume: float, full: float, usable: float, a: float, b: float) -> float:
    """Return the refill trips that a fill counts.

    Parameters
    ----------
    volume, full, usable : float
        Usable volume to have, what the rest takes when all of it is sprayed, and a full tank [volume].
    a, b : float
        Beta shape of the share of the rest.

    Notes
    -----
    The chances that the rest takes more than the fill, and more than one and two full tanks besides.
    The first counts `DRY_TRIPS` times: who runs dry fills once more,
    which again may run dry or leave some over.
    What is expected beyond `TANKS_COUNTED` full tanks counts in tanks:
    of a large field a small first fill costs later trips too.
    The calibration study compares this with dynamic programming.
    """
    first, *later = (1.0 - share_chance((volume + n * usable) / full, a, b) for n in range(3))
    far = volume + TANKS_COUNTED * usable
    beyond = max(0.0, full * a / (a + b) - far + expected_leftover(far, full, a, b)) if far < full else 0.0
    return DRY_TRIPS * first + math.fsum(later) + beyond / usable


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
    """Return the chance that what is in the tank [volume] sprays out ground that takes `full_volume` when all
    of it is sprayed.
    """
    return told_chance(available / full_volume, a, b) if full_volume else 1.0


def mixture_value(cost: Entered, volume: Entered, water: float) -> float:
    """Return what mixture is worth [money/volume]: products over the volume in the plan, and the carrier."""
    return (number(cost) / number(volume) if number(volume) else 0) + water


def expected_cost(trip: float, trips: float, leftover: float, left_cost: float) -> float:
    """Return what a choice is weighed by [money], to the hundredth: refill trips,
    and leftover [volume] at its cost [money/volume].
    """
    return shown(trip * trips + leftover * left_cost, 2)


def _under_pump(unusable: Entered, in_tank: float) -> float:
    """Return what a fill must add to what the pump cannot draw [volume]."""
    return max(0, number(unusable) - in_tank)


def next_fill(full: float, wanted: float, available: float, unusable: Entered, in_tank: float) -> float:
    """Return the mixture to add now [volume]: up to the usable volume wanted,
    what is in the tank taken off; none where nothing is left to spray.
    """
    return max(0, wanted - available + _under_pump(unusable, in_tank)) if full else 0


def next_area(remaining_area: float, available: float, next_fill: float, carrier: float,
              share_mean: float) -> float:
    """Return the area that what is then in the tank drives at the mean share [area]."""
    drawn = carrier * share_mean
    return min(remaining_area, (available + next_fill) / drawn) if drawn else remaining_area


def to_mix(full: float, next_fill: float, rest: float, available: float, unusable: Entered,
           in_tank: float) -> float:
    """Return the mixture still to make for a rest [volume], never under the next fill.

    None where nothing is left to spray.
    """
    return max(next_fill, rest - available + _under_pump(unusable, in_tank)) if full else 0


def later_volume(mix: float, next_fill: float, usable: Entered) -> Entered:
    """Return what later fills hold of the mixture still to make [volume], blank without a tank."""
    return mix - next_fill if number(usable) > 0 else ""


def fills(full: float, logged: float, sprayed: float, usable: float, next_fill: float, later: float) -> int:
    """Return the fills of the whole pass: those logged and those to come.

    Of a pass that is done, at least those that its volume takes.

    Parameters
    ----------
    full, sprayed, usable, next_fill, later : float
        What the rest takes when all of it is sprayed, sprayed so far, a full tank,
        the next fill and what follows it [volume].
    logged : float
        Loads logged.
    """
    return (int(logged) + (next_fill > 0) + whole_above(later / usable) if full
            else max(int(logged), whole_above(sprayed / usable)))


def fills_most(expected: float, logged: float, next_fill: float, mix: float, usable: float) -> float:
    """Return the fills of the whole pass when `mix` [volume] is still to make, never under those expected."""
    return max(expected, int(logged) + (next_fill > 0) + whole_above(max(0, mix - next_fill) / usable))


def times(chance: float) -> str:
    """Return a chance in words, never certain before it is."""
    return ("at least 19 times in 20" if chance >= 0.95
            else f"{number_text(shown(chance * 10, 0))} times in 10")


def advice(
    full: Entered, sprayed: float, share: Entered, fill: Entered, chance: Entered, expected: Entered,
    most: Entered, unit: str, wanted: Entered, usable: Entered,
) -> str:
    """Return in a sentence what to do now in a spot pass.

    Parameters
    ----------
    full, sprayed, fill : float or ""
        What the rest takes when all of it is sprayed, sprayed so far, and the next fill [`unit`].
    share : float or ""
        Of the whole field.
    chance : float or ""
        That the next fill finishes the field.
    expected, most : float or ""
        Fills of the whole pass.
    unit : str
    wanted, usable : float or ""
        Usable volume after the fill, and of a full tank [`unit`].
    """
    if full == "":
        return ""
    if full == 0:
        on = "" if share == "" else f" on {number_text(shown(number(share) * 100, 0))} % of the field"
        return f"Done: {number_text(shown(sprayed, 0))} {unit} sprayed{on}"
    if fill == "":
        return ""
    sure = number(chance)
    if number(fill) <= 0:
        return f"Spray out what is in the tank: it finishes the field {times(sure)}"
    mix = f"Mix {number_text(shown(number(fill), 0))} {unit}"
    if rounded(1 - sure, 6) <= 0:
        return f"{mix}: it finishes the field"
    upto = f" to {number_text(number(most))}" if most != expected else ""
    in_all = f"{number_text(number(expected))}{upto} fill{'' if most == 1 else 's'} in all"
    if sure >= LIKELY:
        return f"{mix}: it finishes the field {times(sure)}. {in_all}"
    return (f"{mix}{', a full tank' if number(wanted) >= number(usable) else ''}. {in_all}; decide the last "
            f"one from the log")


def volume_status(full: Entered, advised: Entered, share: Entered, known: float, trip: float,
                  left_cost: float) -> str:
    """Return whether the advice has something to rest on: a volume, a share that is known, and costs."""
    if full == 0:
        return OK
    if "" in (full, advised, share):
        return NOT_ENTERED
    return LOOK if not known or trip + left_cost <= 0 else OK


def in_hundred(short: float) -> str:
    """Return in words how often a fill finishes the field, told the chance that it runs short."""
    return "certain" if short == 0 else f"{number_text(min(99, max(1, shown(100 - 100 * short, 0))))} in 100"


def what_becomes(volume: float, full: float, share: float, carrier: float, unit: str, area_unit: str) -> str:
    """Return what becomes of a fill at a share of the rest: what is left over [volume],
    or after which area driven it runs dry.
    """
    over = round(volume - full * share, 6)
    return (f"{number_text(shown(over, 0))} {unit} over" if over >= 0
            else f"dry at {number_text(shown(volume / (carrier * share), 0))} {area_unit}")


def room_left(needed: Entered, max_season: Entered, max_passes: Entered, season_amount: Entered,
              rate: Entered, passes: Entered) -> int:
    """Return 1 where the label leaves room for one more pass of a product, else 0.

    A missing figure leaves none.

    Parameters
    ----------
    needed : float
        1 for a pesticide, whose label limits count.
    max_season, season_amount, rate : float or ""
        Most of a season, amount planned and amount of one pass [amount/area].
    max_passes, passes : float or ""
        Most passes of a season, and those planned.
    """
    if needed != 1:
        return 1
    if "" in (max_season, max_passes, season_amount, rate):
        return 0
    return int(rounded(number(season_amount) + number(rate) - number(max_season), 6) <= 0
               and number(passes) + 1 <= number(max_passes))
