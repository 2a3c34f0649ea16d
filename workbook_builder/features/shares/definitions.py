"""The share of the field sprayed: what frames and loads say of it,
and how all evidence is joined in one Beta estimate.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from workbook_builder.core.adding import added
from workbook_builder.core.draft import number
from workbook_builder.core.rounding import number_text, rounded, shown, whole_above
from workbook_builder.features.records.inputs import AREA_DOUBT
from workbook_builder.features.weeds import definitions as weeds

#: A number, or blank text.
Entered = float | str
LEAST_SHAPE = 0.05
#: Least m (1 - m) by which the scatter of loads is judged.
LEAST_SPREAD = 0.02
#: What is asked for where there is nothing to go by.
NO_SHARE = ("Share of field sprayed not entered: type it as 30 % or 10-60 %, or choose a pressure class. "
            "Until then fill one tank, spray it out, judge")
#: What is said where the evidence is worth less than one patch.
NOTHING_KNOWN = (
    "Nothing is known of this share yet: less than one patch of evidence either way. "
    "Anything from none to all may be sprayed: fill one tank, spray it out, judge"
)


def buffered_share(share: float, grown: Entered) -> float:
    """Return the share of a field that is sprayed where the ground around everything seen is sprayed too.

    Parameters
    ----------
    share : float
        Without it.
    grown : float or ""
        How many times the ground that one weed or spot turns on grows by it; blank where it is not known,
        and then the share stays.

    References
    ----------
    Boolean model: of spots that lie at random 1 - share is missed by all, (1 - share)^grown by larger ones;
    clumped spots overlap more.
    """
    return share if grown == "" else float(1 - (1 - share) ** float(grown))


def of_pass(row: float, rows: Sequence[Entered], values: Sequence[float]) -> list[float]:
    """Return the values whose row speaks of the pass in a given row."""
    return [value for each, value in zip(rows, values, strict=True) if each == row]


def average(count: Entered, row: float, rows: Sequence[Entered], values: Sequence[float]) -> Entered:
    """Return the sum of what the frames of a pass say over their count, blank without frames."""
    return added(of_pass(row, rows, values)) / number(count) if number(count) else ""


def variance(row: float, rows: Sequence[Entered], counted: Sequence[float], counts: Sequence[float]) -> float:
    """Return the variance of the weed counts of a pass (see `weeds.definitions.moments`)."""
    own = zip(of_pass(row, rows, counts), of_pass(row, rows, counted), strict=True)
    return weeds.moments([count for count, is_count in own if is_count]).variance


def clumping(weeds_counted: Entered, mean: float, spread: float, assumed: float) -> Entered:
    """Return clumping k by moments, blank for weeds at random.

    What is assumed where weeds were not counted.
    """
    return assumed if weeds_counted == "" else weeds.clumping(mean, spread) or ""


def carried_k(k: Entered, least: float) -> Entered:
    """Return the clumping k by which the share of frames is carried to the footprint: never under the least,
    blank for weeds at random.
    """
    return k if k == "" else max(number(k), least)


def density(infested: float, frame_area: float, k: Entered) -> float:
    """Return the weeds per small area that leave such a share of frames infested.

    Parameters
    ----------
    infested : float
        Share of frames with weeds, under 1.
    frame_area : float
        Mean frame [small area].
    k : float or ""
        Clumping; blank for weeds at random.

    Notes
    -----
    The zero term of the negative binomial: the share of frames is seen as it is,
    where the mean of the counts hangs on single
    frames full of weeds.  The calibration study compares the two.
    """
    return weeds.mean_from_share(infested, number(k) if k != "" else None) / frame_area


def density_error(frames: float, infested: float, frame_area: float, effect: float, k: Entered) -> float:
    """Return the standard error of the density [weeds per small area].

    Parameters
    ----------
    frames : float
    infested : float
        Share of frames with weeds, under 1.
    frame_area : float
        Mean frame [small area].
    effect : float
        Frames per independent frame (design effect of Kish 1965).
    k : float or ""
        Clumping, blank for weeds at random: the slope of the mean behind a share is (1 - q)^(-1/k - 1),
        or 1 / (1 - q).
    """
    clear = 1 - infested
    slope = math.pow(clear, -1 / number(k) - 1) if k != "" else 1 / clear
    return math.sqrt(infested * clear * effect / frames) * slope / frame_area


def frames_weight(frames: float, effect: float, share: float, error: float) -> float:
    """Return the patches of evidence that the frames of a pass are worth:
    as many independent ones would have their standard error.

    Parameters
    ----------
    frames, effect : float
        Frames, and frames per independent frame.
    share, error : float
        Share by scouting and its standard error.

    Notes
    -----
    From the variance of a share of n independent patches, m (1 - m) / n; at least one patch,
    never more than the independent frames.
    """
    return min(frames / effect, max(1, share * (1 - share) / error**2) if error else frames)


def frames_wanted(mean: Entered, k: Entered, infested: float, error: float) -> Entered:
    """Return the frames wanted for a standard error over mean, blank where no weed was found.

    `mean` is blank where they were not counted.
    """
    if mean == "":
        return whole_above((1 - infested) / infested / error**2) if infested else ""
    return whole_above(weeds.frames_for_count(number(mean), number(k) or None, error)) if mean else ""


def scouting_note(weeds_counted: Entered, k: Entered, ratio: Entered, frames: float, wanted: Entered,
                  least_k: float, far: float, effect: float, usual: float) -> str:
    """Say what makes the scouted share doubtful, blank when nothing does.

    `ratio` is that of frame over footprint, `effect` and `usual` frames per independent frame.
    """
    parts = []
    if weeds_counted != "" and k != "" and number(k) < least_k:
        parts.append(f"k of {number_text(shown(number(k), 2))} is too small to trust; ")
    if ratio == "":
        parts.append("footprint not entered: share taken at frame size; ")
    elif number(ratio) > far or number(ratio) * far < 1:
        parts.append(f"frame is {number_text(shown(number(ratio), 2))} times the footprint: k may not carry "
                     f"over; ")
    if frames < number(wanted):
        parts.append(f"{number_text(number(wanted))} frames wanted; ")
    if rounded(effect - usual, 6) > 0:
        parts.append(f"{number_text(shown(effect, 2))} frames count as one, as typed: counts cannot tell "
                     f"whether they do; ")
    return "".join(parts)


def range_mean(low: float, likely: Entered, high: float) -> float:
    """Return the mean of a share told as a range: a tenth of cases is under `low`, a tenth over `high`,
    and `likely` comes most often.

    Notes
    -----
    0.16 likely + 0.42 (low + high), Davidson & Cooper 1980 as compared by Keefer & Verdini 1993 (from
    memory); the middle where no
    likely share is told.
    """
    return (low + high) / 2 if likely == "" else 0.16 * number(likely) + 0.42 * (low + high)


def range_weight(mean: float, low: float, high: float) -> Entered:
    """Return the patches of evidence that a range stands for, at least one; blank for no range.

    Notes
    -----
    The standard deviation is (high - low) / 2.65 (the same source),
    and that of a beta share is root(m (1 - m) / (patches + 1)).
    """
    return max(1, mean * (1 - mean) / ((high - low) / 2.65) ** 2 - 1) if high > low else ""


def class_mean(low: Entered, expected: float, high: Entered) -> float:
    """Return the mean share of a pressure class: of its range, or as typed."""
    return expected if "" in (low, high) else range_mean(number(low), expected, number(high))


def class_weight(by_range: Entered, evidence_area: Entered, patch: float, otherwise: float) -> float:
    """Return the patches that a pressure class is worth: by its range,
    by the ground behind it [area] over a patch [area], or those of a typed share.
    """
    return (number(by_range) if by_range != "" else number(evidence_area) / patch if number(evidence_area)
            else otherwise)


def joined_share(own_weight: float, own: float, history_weight: float, history: Entered) -> float:
    """Return the expected share: what was typed and earlier seasons, by their weights [patches]."""
    return ((own_weight * own + history_weight * number(history)) / (own_weight + history_weight)
            if history_weight else own)


def history_weight(seasons: float, most: float) -> float:
    """Return the patches that earlier seasons are worth: half of the `most` for one,
    and nearer to it for more, since this year differs from all of them.
    """
    return most * seasons / (seasons + 1)


def pooled(sprayed: Entered, covered: Entered, carrier: Entered) -> Entered:
    """Return the share by the load log: volume sprayed over the volume that the area driven takes in all
    (ratio estimator, Cochran ch. 6, from memory).
    """
    return (number(sprayed) / (number(covered) * number(carrier)) if number(covered)
            and number(carrier) else "")


def patches_sprayed(*evidence: Entered) -> float:
    """Return the patches that evidence counts as sprayed: weight [patches] and share of each kind,
    one after the other, blank for none.
    """
    return added(number(weight) * min(1, number(share))
                 for weight, share in zip(evidence[::2], evidence[1::2], strict=True))


def patches_left(*evidence: Entered) -> float:
    """Return the patches that evidence counts as left out, told as for `patches_sprayed`."""
    return added(number(weight) * (1 - min(1, number(share)))
                 for weight, share in zip(evidence[::2], evidence[1::2], strict=True))


def known(evidence: float, sprayed: float, left: float) -> int:
    """Return 1 where the evidence is worth a patch and holds one of either kind, else 0.

    Parameters
    ----------
    evidence : float
        Experience, scouting and loads together [patches].
    sprayed, left : float
        Ground that is sprayed and ground that is left out [patches].
    """
    return int(rounded(evidence, 9) >= 1 and (rounded(sprayed, 9) >= 1 or rounded(left, 9) >= 1))


def scatter(row: float, rows: Sequence[Entered], areas: Sequence[float], shares: Sequence[float],
            patch: float) -> Entered:
    """Return how far the shares of the loads of a pass lie from each other [patches].

    Blank for less than two loads.

    Parameters
    ----------
    row : float
        Row of the pass.
    rows, areas, shares : sequences of float
        Of every load the pass row, the ground driven [area] and its share.
    patch : float
        Patch size [area].

    Notes
    -----
    The mean square between loads, weighted by their ground, over m (1 - m):
    loads of independent patches of `patch` scatter by one.
    """
    loads = [(area, share) for area, share in zip(of_pass(row, rows, areas), of_pass(row, rows, shares),
                                                  strict=True) if area]
    if len(loads) < 2:
        return ""
    mean = added(area * share for area, share in loads) / added(area for area, _ in loads)
    return (added(area * (share - mean) ** 2 for area, share in loads) / (len(loads) - 1)
            / max(LEAST_SPREAD, mean * (1 - mean)) / patch)


def scatter_so_far(loads: float, squared: float, sprayed: float, driven: float, patch: float) -> Entered:
    """Return `scatter` told what the loads add up to: area by share squared,
    area sprayed and area driven [area], and the patch size [area].
    """
    mean = sprayed / driven if loads >= 2 else 0
    return (max(0, squared - 2 * mean * sprayed + mean**2 * driven) / (loads - 1)
            / max(LEAST_SPREAD, mean * (1 - mean)) / patch if loads >= 2 else "")


def firmness(scattered: Entered, loads: float, usual: float) -> float:
    """Return what the weight of all evidence is multiplied by: over 1 where loads scatter less than usual,
    from a half to 2.

    Notes
    -----
    A variance with two loads' worth of the usual scatter behind it.
    """
    return (1 if scattered == ""
            else max(0.5, min(2, (loads + 1) / (2 + (loads - 1) * number(scattered) / usual))))


def shape(is_known: int, patches: float, firm: float = 1) -> float:
    """Return a shape of the Beta estimate: the patches of evidence by their firmness, never under 0.05.

    Where nothing is known any share is as likely as another (1, 1): with both shapes under 1 the curve
    would turn into a U, which takes none and all for likelier than anything between.
    """
    return max(LEAST_SHAPE, patches * firm) if is_known else 1.0


def closed(log_day: Entered, log_end: Entered, loads: float, treated: Entered, area: Entered) -> int:
    """Return 1 where the spray record closes a spot pass: it has an end, covers the field,
    or stands without loads.

    Parameters
    ----------
    log_day, log_end : float or ""
        Day of the record, and its end [day number].
    loads : float
        Loads logged.
    treated, area : float or ""
        Area treated by the record, and of the field [area].
    """
    return int(log_day != ""
               and (log_end != "" or not loads or number(treated) >= number(area) * (1 - AREA_DOUBT)))


def field_share(logged: Entered, covered: float, share_mean: float, remaining: float,
                area: Entered) -> Entered:
    """Return the share of the whole field that will be sprayed: logged so far,
    and the mean for the area that remains, or for all where no volume is logged.
    """
    sprayed = share_mean if logged == "" else min(1, number(logged))
    return min(1, (sprayed * covered + share_mean * remaining) / number(area)) if number(area) else ""


def estimate_finding(remaining: Entered, carrier: Entered, logged: Entered, evidence: float, is_known: float,
                     covered: float, area: Entered) -> str:
    """Say what is wrong with an estimate, or what it lacks; blank when nothing is."""
    if remaining == "" or not number(carrier):
        return "Field, area or carrier is missing"
    if number(logged) > 1:
        return "More was sprayed than the area logged can take: check the load log"
    if not evidence:
        return NO_SHARE
    if not is_known:
        return NOTHING_KNOWN
    return "More area logged than the field has" if covered > number(area) else ""
