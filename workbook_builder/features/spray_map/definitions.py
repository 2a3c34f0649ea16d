"""What a log of a spot pass tells: its sprayed area, where a hot spot lies, and what there is to look at."""

from __future__ import annotations

from math import ceil

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import number
from workbook_builder.core.rounding import number_text, rounded, shown
from workbook_builder.features.shares.beta import share_quantile

#: A number, or blank text.
Entered = float | str
#: Smallest shape of a share, and least evidence that makes a range [patches].
LEAST_SHAPE, LEAST_EVIDENCE = 0.05, 1.0
EDGE, ALONG_RUNS, PATCH = "edge", "strip along the runs", "patch"
#: A square shows when more than this part of it was driven.
LEAST_SQUARE = 0.02
#: Squares and log may differ by this part.
SQUARES_DIFFER = 0.001


def sprayed_area(sprayed: Entered, volume: Entered, loads: Entered, carrier: Entered) -> Entered:
    """Return the area sprayed [area]: that of the nozzles, else volume over carrier.

    Never from on and off alone.

    Parameters
    ----------
    sprayed : float or ""
        By shares of nozzles [area].
    volume, loads : float or ""
        Metered in the log; of the loads typed [volume].
    carrier : float or ""
        [volume/area]
    """
    if sprayed != "":
        return sprayed
    if not number(carrier):
        return ""
    metered = volume if volume != "" else loads
    return number(metered) / number(carrier) if volume != "" or number(loads) else ""


def share_above(share: float, error: Entered) -> float:
    """Return the highest share that width and drift allow."""
    return min(1.0, share + share * number(error))


def expected(chance: float, sprayed: float, left: float) -> Entered:
    """Return the share not exceeded with a chance, by the evidence there was before the pass [patches].

    Blank where there was too little.
    """
    if rounded(sprayed + left, 9) < LEAST_EVIDENCE:
        return ""
    return share_quantile(chance, max(LEAST_SHAPE, sprayed), max(LEAST_SHAPE, left))


def planned_share(typed: Entered, sprayed: Entered, left: Entered) -> Entered:
    """Return the share planned: typed, else the mean of the evidence before the pass."""
    return typed if typed != "" or sprayed == "" else number(sprayed) / (number(sprayed) + number(left))


def volume_used(logged: Entered, sprayed: Entered, carrier: Entered) -> Entered:
    """Return the volume sprayed: metered, else sprayed area times carrier."""
    if logged != "":
        return logged
    return number(sprayed) * number(carrier) if sprayed != "" and number(carrier) else ""


def square_scale(sprayed: Entered, squares: float) -> float:
    """Return what the squares are multiplied by to show shares of the area sprayed.

    1 where that is not known.
    """
    return number(sprayed) / squares if number(sprayed) and squares else 1.0


def square(driven: Entered, sprayed: Entered, least: float, scale: float) -> Entered:
    """Return the share of a square [%], at most all of it; blank where hardly any of it was driven."""
    if number(driven) <= least or sprayed == "":
        return ""
    return rounded(min(1.0, scale * number(sprayed) / number(driven)) * 100, 6)


def extra_sprayed(sprayed: float, area: float, background: float) -> float:
    """Return the area sprayed in a hot spot beyond what its ground would take elsewhere in the field [area].
    """
    return max(0.0, sprayed - area * background)


def scout_day(day: float, days: float, opens: Entered, last_day: Entered) -> float:
    """Return the day to look at a spot again: so many days after the pass,
    never before people may go back in.

    Parameters
    ----------
    day : float
        Day of the log.
    days : float
        After it.
    opens : float or ""
        When the field opens by the plan [day number].
    last_day : float or ""
        Day of the pass by the plan; a log of a later day opens the field later.
    """
    late = max(0.0, day - number(last_day)) if last_day != "" else 0.0
    return max(day + days, ceil(rounded(number(opens) + late, 6)) if opens != "" else 0)


def lies(to_edge: float, zone: float, long: float, angle: float, ratio: float, within: float) -> str:
    """Return where a hot spot lies: at the edge, as a strip along the runs, or as a patch."""
    if to_edge < zone:
        return EDGE
    return ALONG_RUNS if long > ratio and angle <= within else PATCH


def _percent(share: float, digits: int = 0) -> str:
    return f"{number_text(shown(share * 100, digits))} %"


def _area(area: float, unit: str) -> str:
    return f"{number_text(shown(area, 1))} {unit}"


def share_finding(sprayed: Entered, kind: str, share: Entered, low: Entered, high: Entered) -> str:
    """Return what there is to look at in a share, after "; ", blank for nothing."""
    if sprayed == "":
        metered = kind in ("nozzles", "volume")
        return ("; the share needs the carrier of the pass" if metered
                else "; the log tells no share: enter the volume sprayed in the load log")
    if "" in (share, low) or number(low) <= number(share) <= number(high):
        return ""
    return (f"; {_percent(number(share), 1)} sprayed, where {_percent(number(low))} to "
            f"{_percent(number(high))} was expected")


def _for(cost: Entered, sign: str) -> str:
    return (f", products for {sign}{number_text(shown(abs(number(cost)), 0))}"
            if shown(abs(number(cost)), 0) else "")


def volume_finding(planned: Entered, more: Entered, cost: Entered, differs: float, liquid: str,
                   sign: str) -> str:
    """Return by how much the volume differs from the plan, after ".

    ", blank where it hardly does or is not known.
    """
    if not number(planned) or more == "" or abs(number(more)) <= differs * number(planned):
        return ""
    return (f"; {number_text(shown(abs(number(more)), 0))} {liquid} {'more' if number(more) > 0 else 'less'} "
            f"than planned{_for(cost, sign)}")


def ground_finding(
    drawn: float, driven: Entered, not_driven: float, twice: Entered, unknown: Entered, dead: str,
    from_not: float, from_twice: float, unit: str,
    not_cost: Entered, twice_cost: Entered, sign: str,
) -> str:
    """Return what there is to look at in how the field was driven, after "; ", blank for nothing."""
    found = f"; section {dead} sprayed next to nothing: check its nozzles and valve" if dead else ""
    if not_driven > from_not * drawn:
        found += (f"; {_area(not_driven, unit)} ({_percent(not_driven / drawn)}) not "
                  f"driven{_for(not_cost, sign)}")
    if number(twice) > from_twice * number(driven):
        found += f"; {_area(number(twice), unit)} driven twice{_for(twice_cost, sign)}"
    if number(unknown) > from_not * drawn:
        found += f"; on {_area(number(unknown), unit)} the log says nothing about spraying"
    return found


def loads_finding(driven: Entered, loads_area: Entered, volume: Entered, loads_volume: Entered, rests_on: str,
                  differ: float, unit: str, liquid: str) -> str:
    """Return where log and typed loads disagree, after "; "; they are compared and never added."""
    found = ""
    if number(loads_area) and abs(number(driven) - number(loads_area)) > differ * number(loads_area):
        found += (f"; {_area(number(driven), unit)} driven by the log, {_area(number(loads_area), unit)} by "
                  f"the loads typed")
    known = rests_on == "log" and number(loads_volume) and volume != ""
    if known and abs(number(volume) - number(loads_volume)) > differ * number(loads_volume):
        texts = [number_text(shown(number(each), 0)) for each in (volume, loads_volume)]
        found += f"; {texts[0]} {liquid} sprayed by the log, {texts[1]} by the loads typed"
    return found


def squares_finding(pass_row: Entered, driven: Entered, squares: float) -> str:
    """Return whether the pass is planned, and whether the squares of the map are those of its log."""
    found = "" if pass_row != "" else "; no such pass is planned on that field"
    if rounded(abs(squares - number(driven)) - SQUARES_DIFFER * number(driven), 6) > 0:
        found += "; the squares of the map are not those of this log: map it again"
    return found


def status(sprayed: Entered, finding: str) -> str:
    """Return Not entered where no share is known, else whether there is anything to look at."""
    return NOT_ENTERED if sprayed == "" else LOOK if finding else OK


def overlay_word(pieces: float, chance: Entered, fewest: float, level: float) -> str:
    """Return whether a layer goes together with spraying.

    With too little independent ground nothing is told.
    """
    if pieces < fewest:
        return "too little ground to tell"
    return "goes together" if chance != "" and number(chance) < level else "no sign"
