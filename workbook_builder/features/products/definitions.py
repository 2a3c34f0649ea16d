"""What a product is, holds and costs: plain functions."""

from __future__ import annotations

#: Left out of a registration number; some of them are also wildcards of a lookup.
NUMBER_SIGNS = " .:#/*?~"
#: What people type before the number itself, once the signs are out; longest first.
NUMBER_PREFIXES = (
    "eparegno", "eparegistrationno", "epareg", "pcpregno", "pcpno", "pcp", "apvmano", "apvma", "mappno",
    "mapp", "registrationno", "regno", "epa",
)
#: What people type where there is no number, dashes out.
NO_NUMBER = ("", "0", "none", "na", "no", "nil", "exempt", "notrequired", "notapplicable", "notregistered",
             "unregistered")


def registration_key(typed: object) -> str:
    """Return a registration number by which products are told apart; blank when there is none.

    Parameters
    ----------
    typed : str or ""
        As typed: ``EPA Reg. No. 12345-67``, ``12345-67-89``, ``none``.

    Notes
    -----
    The third part of a number is the company that sells the product under its own name; the
    product stays the registered one (40 CFR 152.132, from memory).
    """
    plain = "".join(sign for sign in str(typed) if sign not in NUMBER_SIGNS).replace("\N{EN DASH}", "-")
    bare = next((plain[len(prefix) :] for prefix in NUMBER_PREFIXES if plain[: len(prefix)].casefold()
                 == prefix), plain)
    if bare.replace("-", "").casefold() in NO_NUMBER:
        return ""
    parts = bare.split("-")
    return "-".join(parts[:2]) if len(parts) > 2 and "-".join(parts[:2]) else bare


def price_per_base(price: float, size: float, base_units: float) -> float:
    """Return the price of one base unit [money/base unit] of a package.

    Parameters
    ----------
    price : float
        Price of a package [money].
    size : float
        Package size [package unit].
    base_units : float
        Base units in one package unit.
    """
    return price / (size * base_units)


def phase_scale(counted: str, wanted: str, dry_per_liquid: float | str) -> float | str:
    """Return the base units of one phase in a base unit of another; blank when the density is missing.

    Parameters
    ----------
    counted, wanted : str
        ``liquid`` or ``dry``.
    dry_per_liquid : float or ""
        Dry base units that one liquid base unit weighs: a liquid of 10 lb/gal rated at 30 lb/ac is poured as
        3 gal/ac.
    """
    if counted == wanted:
        return 1
    if dry_per_liquid == "":
        return ""
    return dry_per_liquid if counted == "liquid" else 1 / float(dry_per_liquid)


def per_phase(figure: float, stated: str, wanted: str, dry_per_liquid: float | str) -> float | str:
    """Return a figure per base unit of one phase, such as a price or a content, per base unit of another.

    Blank when the density is missing.
    """
    scale = phase_scale(wanted, stated, dry_per_liquid)
    return "" if scale == "" else figure * float(scale)


def acid_and_active(counts: str, ratio: float | str, found: float | str) -> tuple[float | str, float | str]:
    """Return the acid equivalent and the active ingredient in one unit of an ingredient as its content states
    it.

    Parameters
    ----------
    counts : str
        What the content counts: ``ae``, ``ai`` or blank.
    ratio : float or ""
        Acid equivalent of one unit of the ingredient; 1 where acid and ingredient are one.
    found : float or ""
        Row of the ingredient in the list, blank where it is not there.

    Returns
    -------
    (to_acid, to_active) : tuple of float or ""
        Blank where nobody says which salt was weighed, or whether the salt or its acid was.

    Notes
    -----
    Acid equivalent over active ingredient is the molecular weight of the acid over that of the form.
    """
    if counts == "ae":
        return 1, "" if ratio == "" else 1 / float(ratio)
    if counts == "ai":
        return ratio, 1
    return (1, 1) if ratio == 1 else ("", 1 if found == "" else "")


def strength(mass: float | str, counts: str, to_acid: float | str, to_active: float | str) -> float | str:
    """Return what a base unit of a product holds of what its rate counts [mass/base].

    Blank where it is not known.

    Parameters
    ----------
    mass : float or ""
        Mass of its one active ingredient as its content states it [mass/base].
    counts : str
        ``ai`` or ``ae``; blank for a rate that counts the product.
    to_acid, to_active : float or ""
        Acid equivalent, and active ingredient, of a unit of that mass.
    """
    ratio = to_active if counts == "ai" else to_acid
    return "" if "" in (mass, ratio) or not counts else float(mass) * float(ratio)


def rate_in_base(rate: float, per_area: float, counts: str, per_mass: float,
                 holds: float | str) -> float | str:
    """Return a rate as base units of the product on an area [base/area].

    Parameters
    ----------
    rate : float
        In its own unit.
    per_area : float
        Base units on an area for a rate of 1; 0 for rates by spray volume.
    counts : str
        ``ai`` or ``ae`` where the active ingredient is rated.
    per_mass : float
        Mass of the active ingredient on an area for a rate of 1 [mass/area].
    holds : float or ""
        What a base unit of the product holds of it [mass/base].

    References
    ----------
    Univ. of Minnesota Extension, How to calculate herbicide rates:
    3 lb ai/A of an 80 % powder are 3.75 lb of product.
    """
    if not counts:
        return rate * per_area
    return rate * per_mass / float(holds) if holds else ""
