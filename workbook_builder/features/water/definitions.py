"""Water hardness and the ammonium sulfate that hard water asks for: plain functions."""

from __future__ import annotations

from collections.abc import Mapping

from workbook_builder.core.adding import added

#: Hardness as calcium carbonate [ppm] in 1 ppm of the ion (Standard Methods 2340 B, from memory).
HARDNESS_PER_PPM = {"ca": 2.497, "mg": 4.118}
#: Hardness [ppm] in one grain per US gallon.
PPM_PER_GRAIN = 17.118
#: Ammonium sulfate [lb per 100 gal] that 1 ppm of an ion asks for (NDSU Crop & Pest Report, 2 Jul 2015).
AMS_PER_PPM = {"k": 0.002, "na": 0.005, "ca": 0.009, "mg": 0.014, "fe": 0.042}


def hardness(calcium: float, magnesium: float) -> float:
    """Return the hardness of water as calcium carbonate [ppm].

    Parameters
    ----------
    calcium, magnesium : float
        From a water test [ppm].

    References
    ----------
    Standard Methods 2340 B (from memory): 2.497 Ca + 4.118 Mg.
    """
    return HARDNESS_PER_PPM["ca"] * calcium + HARDNESS_PER_PPM["mg"] * magnesium


def grains(ppm: float) -> float:
    """Return a hardness [ppm] in grains per US gallon."""
    return ppm / PPM_PER_GRAIN


def hardness_class(ppm: float, steps: tuple[float, float, float] = (60, 120, 180)) -> str:
    """Return the name of a hardness [ppm]; classes of the USGS, from memory."""
    names = ("soft", "moderately hard", "hard")
    return next((name for name, up_to in zip(names, steps, strict=True) if ppm <= up_to), "very hard")


def ammonium_sulfate(ions: Mapping[str, float]) -> float:
    """Return the ammonium sulfate that the minerals of a water ask for [lb per 100 gal].

    Parameters
    ----------
    ions : mapping of str to float
        ``k``, ``na``, ``ca``, ``mg`` and ``fe`` [ppm]; one left out counts as 0.

    References
    ----------
    NDSU Crop & Pest Report 2 Jul 2015, citing ND Weed Control Guide 2015 p. 72:
    0.002 K + 0.005 Na + 0.009 Ca + 0.014 Mg + 0.042 Fe.
    """
    return added(AMS_PER_PPM[ion] * ppm for ion, ppm in ions.items())


def advised_ammonium_sulfate(need: float, floor: float, label_low: float = 0.0, label_high: float | None = None) -> float:
    """Return the ammonium sulfate to use, in the unit of `need`.

    The equation gives little on good water while guides still ask for some, so there is a
    floor; the label's own range comes last and wins.

    Parameters
    ----------
    need : float
        What the equation gives [mass per 100 volumes].
    floor : float
        Least amount to use [same unit].
    label_low, label_high : float, optional
        Range on the labels of the products in the mix [same unit].
    """
    wanted = max(need, floor, label_low)
    return wanted if label_high is None else min(wanted, label_high)
