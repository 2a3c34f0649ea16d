"""Two tanks in one trip: where each runs out, fills that empty both together, and the order of fields."""

from __future__ import annotations

from workbook_builder.core.draft import number
from workbook_builder.core.rounding import number_text, rounded, shown

#: A number, or blank text.
Entered = float | str
#: Puts fields that may take leftover after all others.
LEGAL_LAST = 1_000_000


def empty_at(usable: float, total: float, before: float, after: float, rate: float) -> float | None:
    """Return the area into a field at which the first tank runs out, None where it does not.

    Parameters
    ----------
    usable : float
        A full tank [volume].
    total, before, after : float
        Volume of the trip, before this field and after it [volume].
    rate : float
        Volume per field area [volume/area].
    """
    if rounded(total - usable, 6) <= 0 or not before < usable <= after:
        return None
    return (usable - before) / rate


def trip_empty_at(usable: float, total: float, after: float, volume: float, rate: float, area_after: float,
                  area: float) -> Entered:
    """Return the area of the trip at which a tank runs out in this field,
    blank where it does not (see `empty_at`).
    """
    here = empty_at(usable, total, after - volume, after, rate)
    return "" if here is None else area_after - area + here


def first_out(main: Entered, spot: Entered) -> str:
    """Return which tank is empty first, told the area of the trip that each lasts,
    blank where it lasts all of it.
    """
    if main == "" or spot == "":
        return "neither" if main == spot else "spot tank" if main == "" else "main tank"
    ahead = rounded(number(spot) - number(main), 6)
    return "both together" if ahead == 0 else "main tank" if ahead > 0 else "spot tank"


def out_here(main: Entered, spot: Entered, area_after: float, area: float) -> str:
    """Return in words how far into this field each tank lasts that runs out in it."""
    ends = {"main": main, "spot": spot}
    return "; ".join(f"{tank} tank after {number_text(shown(number(end) - (area_after - area), 1))} of this "
                     f"field" for tank, end in ends.items() if end != "")


def most_area(area: float, main_usable: float, main_volume: float, spot_usable: float,
              spot_volume: float) -> float:
    """Return the most field area that one fill of both tanks sprays [area].

    Parameters
    ----------
    area : float
        Of the trip [area].
    main_usable, spot_usable : float
        Full tanks [volume].
    main_volume, spot_volume : float
        What the trip takes of each [volume].
    """
    return area * min(main_usable / main_volume, spot_usable / spot_volume if spot_volume else 1)


def order_key(takes: Entered, area: float, slot: float) -> float:
    """Return the key by which the fields of a run are sprayed: those that may not take leftover first,
    the largest that may last.
    """
    return (LEGAL_LAST if takes == 1 else 0) + area + slot / 100000
