"""Weeds in frames and under nozzles, the share of footprints that hold one, and what works on it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from workbook_builder.core.adding import added
from workbook_builder.core.draft import number
from workbook_builder.features.effective_modes.definitions import resistant_groups

#: Groups of insecticides and fungicides are numbered from here on.
FIRST_OTHER = 100


@dataclass(frozen=True)
class Counts:
    """Moments of the counts in a set of frames.

    Attributes
    ----------
    mean, variance : float
        Weeds per frame; variance with n-1.
    k : float or None
        Negative-binomial clumping; None when weeds lie at random.
    """

    mean: float
    variance: float
    k: float | None


def moments(counts: Sequence[float]) -> Counts:
    """Return mean, variance and clumping of weed counts.

    Parameters
    ----------
    counts : sequence of float
        Weeds in each frame, at least two frames.

    References
    ----------
    Bliss & Fisher 1953, Biometrics 9:176-200: k = m2 / (s2 - m).
    """
    n = len(counts)
    mean = added(counts) / n
    variance = added((count - mean) ** 2 for count in counts) / (n - 1)
    return Counts(mean, variance, clumping(mean, variance))


def clumping(mean: float, variance: float) -> float | None:
    """Return k by moments, None when the variance is not above the mean (to nine digits)."""
    excess = variance - mean
    return mean * mean / excess if excess > 5e-10 else None


def share_infested(mean: float, k: float | None) -> float:
    """Return the share of cells that hold at least one weed.

    Parameters
    ----------
    mean : float
        Mean weeds per cell.
    k : float or None
        Clumping; None for weeds at random.

    Notes
    -----
    1 - (1 + m/k)^-k, and 1 - exp(-m) in the limit.
    """
    return 1 - math.exp(-mean) if k is None else 1 - (1 + mean / k) ** -k


def mean_from_share(share: float, k: float | None) -> float:
    """Return the mean weeds per cell that leave a given share of cells infested (below 1)."""
    return -math.log1p(-share) if k is None else k * ((1 - share) ** (-1 / k) - 1)


def footprint_area(width: float, length: float, lead_and_lag: float = 0.0, weed_width: float = 0.0) -> float:
    """Return the ground that one weed turns on [small area].

    Parameters
    ----------
    width, length : float
        Width of one nozzle or section and shortest length sprayed [length].
    lead_and_lag : float
        Extra length before and after the weed [length].
    weed_width : float
        Width across a weed [length].

    References
    ----------
    Coverage of a Boolean model: a weed of width d reaches a cell of w x L from (w + d)(L + d).
    """
    return (width + weed_width) * (length + lead_and_lag + weed_width)


def sprayed_share(density: float, area: float, k: float | None = None) -> float:
    """Return the share of ground sprayed for weeds of a density under footprints of an area.

    Parameters
    ----------
    density : float
        Weeds per small area.
    area : float
        Footprint [small area].
    k : float or None
        Clumping, held the same from frame to footprint; None at random.
    """
    return share_infested(density * area, k)


def share_slope(density: float, area: float, k: float | None = None) -> float:
    """Return how fast the share of the field sprayed grows with the density [share per density]."""
    return area * math.exp(-density * area) if k is None else area * (1 + density * area / k) ** (-k - 1)


def frames_for_count(mean: float, k: float | None, error: float) -> float:
    """Return the frames wanted for a standard error over mean, not yet rounded up.

    References
    ----------
    Karandinos 1976, Bull. Ent. Soc. Am. 22:417-421 (formula from memory): n = (1/m + 1/k) / CV2.
    """
    return (1 / mean + (0 if k is None else 1 / k)) / error**2


def frames_for_share(share: float, half_width: float, z: float = 1.96) -> float:
    """Return the frames wanted for a share within a half width, not yet rounded up."""
    return z * z * share * (1 - share) / half_width**2


def design_effect(frames_per_spot: float, correlation: float) -> float:
    """Return the design effect of frames thrown in groups (Kish 1965): 1 + (m - 1) rho."""
    return 1 + (frames_per_spot - 1) * correlation


def resistant_at(text: str, place: int) -> int | str:
    """Return the resistant group named at a place of a text such as ``2;9``, counted from 0.

    Blank where it was named before or cannot be read.
    """
    parts = text.replace(" ", "").replace(",", ";").split(";")
    if resistant_groups(text) is None or place >= len(parts) or not parts[place]:
        return ""
    return int(parts[place]) if int(parts[place]) not in [int(part) for part in parts[:place] if part] else ""


def works(rating: float | str, threshold: float, group: float | str, counts: float) -> int:
    """Return 1 where an ingredient is rated well enough on a weed, its group is known and a herbicide's,
    and it may count for that group, else 0.
    """
    return int(rating != "" and number(rating) >= threshold and 0 < number(group) < FIRST_OTHER
               and counts == 1)
