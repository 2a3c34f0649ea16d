"""Water hardness and the ammonium sulfate that hard water asks for: plain functions."""

from __future__ import annotations

from collections.abc import Mapping

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.core.rounding import number_text, shown

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


def ammonium_sulfate(ions: Mapping[str, float | str]) -> float:
    """Return the ammonium sulfate that the minerals of a water ask for [lb per 100 gal].

    Parameters
    ----------
    ions : mapping of str to float or ""
        ``k``, ``na``, ``ca``, ``mg`` and ``fe`` [ppm]; one left out or blank counts as 0.

    References
    ----------
    NDSU Crop & Pest Report 2 Jul 2015, citing ND Weed Control Guide 2015 p. 72:
    0.002 K + 0.005 Na + 0.009 Ca + 0.014 Mg + 0.042 Fe.
    """
    return added(AMS_PER_PPM[ion] * float(ppm or 0) for ion, ppm in ions.items())


def ph_note(ph: float | str, low: float | str, high: float | str) -> str:
    """Say whether the pH of a water is one that labels may speak of; `low` and `high` bound what is usual."""
    if ph == "":
        return "pH not entered"
    text = f"pH {number_text(shown(float(ph), 1))}"
    if float(ph) > float(high or 0):
        return f"Alkaline, {text}: look for a pH range on the labels"
    return (f"Acid, {text}: look for a pH range on the labels" if float(ph) < float(low or 0)
            else f"{text} is usual")


def ammonium_sulfate_content(form: str, conditioner: int, typed: float | str, base_per_mass: float,
                             base_per_volume: float) -> float | str:
    """Return the ammonium sulfate in a base unit of a product [mass/base unit], blank where nobody knows.

    Parameters
    ----------
    form : str
        A dry product is all ammonium sulfate, or none of it is.
    conditioner : int
        1 for a water conditioner: a dry one is pure unless 0 is typed, of a liquid one nothing is known.
    typed : float or ""
        Content as typed [mass/volume].
    base_per_mass, base_per_volume : float
        Base units in a unit of mass of dry product and in a unit of volume of liquid.
    """
    if form == "dry":
        pure = conditioner == 1 if typed == "" else float(typed) > 0
        return 1 / base_per_mass if pure else 0
    if typed == "":
        return "" if conditioner else 0
    return float(typed) / base_per_volume


def ammonium_sulfate_brought(content: float, poured: float | str, phase: str, form: str,
                             carrier: float) -> float | str:
    """Return the ammonium sulfate that a product brings into 100 volumes of spray [mass],
    blank where rate or density is missing.

    Parameters
    ----------
    content : float
        In a base unit of the product [mass/base unit].
    poured : float or ""
        Base units per area as poured.
    phase, form : str
        Whether it is poured, and sold, liquid or dry.
    carrier : float
        Spray volume per area [volume/area].
    """
    if content == 0:
        return 0
    return "" if poured == "" or phase != form else 100 * content * float(poured) / carrier


def advised_ammonium_sulfate(need: float | str, floor: float, label_low: float = 0.0,
                             label_high: float | str = "") -> float | str:
    """Return the ammonium sulfate to use, in the unit of `need`; blank where the water is not tested.

    The equation gives little on good water while guides still ask for some, so there is a
    floor; the label's own range comes last and wins, and up to 0 needs no water test.

    Parameters
    ----------
    need : float or ""
        What the equation gives [mass per 100 volumes].
    floor : float
        Least amount to use [same unit].
    label_low, label_high : float or "", optional
        Range on the labels of the products in the mix [same unit].
    """
    if need == "":
        return 0 if label_high == 0 else ""
    wanted = max(float(need), floor, label_low)
    return wanted if label_high == "" else min(wanted, float(label_high))


def ammonium_sulfate_status(cares: int, label_low: float, label_high: float | str, have: float | str,
                            asked: float | str, unknown: int, doubtful: int) -> str:
    """Judge the ammonium sulfate of a mix: a label that forbids it wins, then what is missing,
    then too little or too much.

    Parameters
    ----------
    cares, unknown, doubtful : int
        Products hurt by hard water, products that bring an unknown amount, fertilizers of unknown content.
    label_low, label_high : float or ""
        Range on the labels of the products in the mix [mass per 100 volumes].
    have, asked : float or ""
        In the mix, and asked for [same unit].
    """
    if not cares and label_low == 0 and label_high == "":
        return ""
    forbidden = label_high == 0
    if forbidden and have not in ("", 0):
        return NOT_ALLOWED
    if unknown or (forbidden and doubtful) or asked == "":
        return NOT_ENTERED
    too_little = have != "" and shown(float(asked) - float(have), 2) > 0
    too_much = (label_high != "" and (label_low > float(label_high)
                                      or (have != "" and shown(float(have) - float(label_high), 2) > 0)))
    return LOOK if too_little or too_much else OK
