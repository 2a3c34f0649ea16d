"""Statistics of ground where neighbours are alike."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from workbook_builder.features.shares.beta import beta_chance
from workbook_builder.maps.plane import Floats


def local_g(values: Floats, total: Floats, weight: Floats, squares: Floats, itself: bool = True) -> Floats:
    """Return by how many standard deviations the surroundings of each place differ from chance.

    Parameters
    ----------
    values : array
        What was measured at every place.
    total : array
        Sum of the neighbours' values, each times its weight.
    weight, squares : array
        Sums of the weights and of their squares.
    itself : bool
        Whether a place counts among its own neighbours (Gi*), else Gi.

    References
    ----------
    J. K. Ord and A. Getis (1995), Local spatial autocorrelation statistics, Geographical Analysis 27:286-306,
    equations 6 and 7 (numbers of the equations from memory).
    """
    n = len(values)
    if itself:
        mean, spread, count = np.full(n, values.mean()), np.full(n, values.std()), n
    else:
        count = n - 1
        mean = (values.sum() - values) / count
        spread = np.sqrt(np.maximum((np.square(values).sum() - np.square(values)) / count - mean**2, 0))
    room = spread * np.sqrt(np.maximum(count * squares - weight**2, 0) / (count - 1))
    return np.asarray(np.where(room > 0, (total - weight * mean) / np.where(room > 0, room, 1.0), 0.0))


def moran(values: Floats, total: Floats, weight: Floats) -> float:
    """Return Moran's I: 1 where neighbours are alike, about 0 where they are not.

    Parameters
    ----------
    values : array
    total : array
        Sum of the neighbours' deviations from the mean of all, each times its weight.
    weight : array
        Sums of the weights.

    References
    ----------
    P. A. P. Moran (1950), Notes on continuous stochastic phenomena, Biometrika 37:17-23.
    """
    apart = values - values.mean()
    below = weight.sum() * np.square(apart).sum()
    return float(len(values) * np.sum(apart * total) / below) if below > 0 else 0.0


def normal_tail(z: Floats) -> Floats:
    """Return the chance that a standard normal number is larger."""
    return np.array([math.erfc(each / math.sqrt(2)) / 2 for each in np.atleast_1d(z)])


def adjusted(chances: Floats) -> Floats:
    """Return chances adjusted for their number, so that of those under 5 % at most about 5 % are false.

    References
    ----------
    Y. Benjamini and Y. Hochberg (1995), Controlling the false discovery rate, J. R. Statist. Soc.
    B 57:289-300.
    """
    order = np.argsort(chances)[::-1]
    count = len(chances)
    found = np.empty(count)
    found[order] = np.minimum.accumulate(np.asarray(chances)[order] * count / np.arange(count, 0, -1))
    return np.minimum(found, 1.0)


def correlation(one: Floats, other: Floats, valid: NDArray[np.bool_]) -> tuple[float, float, float]:
    """Return r of two maps, for how many independent pieces of ground they stand,
    and the chance of such an r.

    Parameters
    ----------
    one, other : array of two dimensions
        Values by cell.
    valid : array of bool
        Cells that count.

    Returns
    -------
    (r, effective_n, p)
        r is 0 and p 1 where one of them is the same everywhere.

    Notes
    -----
    Both maps vary smoothly, so neighbours do not count twice: the variance of r is the sum over lags of the
    product of both autocovariances, and effective_n = 1 + 1 / variance;
    t has effective_n - 2 degrees of freedom.

    References
    ----------
    P. Clifford, S. Richardson and D. Hemon (1989), Assessing the significance of the correlation between two
    spatial processes, Biometrics 45:123-134.
    """
    n = int(valid.sum())
    if n < 3:
        return 0.0, float(n), 1.0
    first, second = (np.where(valid, part - part[valid].mean(), 0.0) for part in (one, other))
    variances = [float(np.square(part).sum() / n) for part in (first, second)]
    if min(variances) <= 1e-15:
        return 0.0, float(n), 1.0
    r = float((first * second).sum() / n / math.sqrt(variances[0] * variances[1]))
    pairs, covers = _by_distance(valid, first, second)
    variance = float(np.sum(covers[0] * covers[1] / np.maximum(pairs, 1.0))
                     / (n**2 * variances[0] * variances[1]))
    effective = 1 + 1 / max(variance, 1 / (n - 1))
    freedom = max(effective - 2, 0.5)
    squared = min(r * r, 1 - 1e-15)
    t2 = freedom * squared / (1 - squared)
    return r, effective, beta_chance(freedom / (freedom + t2), freedom / 2, 0.5)


def _by_distance(valid: NDArray[np.bool_], *maps: Floats) -> tuple[Floats, list[Floats]]:
    """Return the pairs of cells, and the sums of products of each map, by whole distances between cells."""
    shape = tuple(2 * size for size in valid.shape)
    spectra = [np.fft.rfft2(part.astype(float), shape) for part in (valid, *maps)]
    lags = [np.fft.irfft2(np.abs(part) ** 2, shape) for part in spectra]
    up, right = (np.minimum(np.arange(size), size - np.arange(size)) for size in shape)
    far = np.rint(np.hypot(up[:, None], right[None, :])).astype(int).ravel()
    pairs, *sums = (np.asarray(np.bincount(far, lag.ravel()), float) for lag in lags)
    return pairs, sums
