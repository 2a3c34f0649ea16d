"""Work rate with refills counted: plain functions."""

from __future__ import annotations


def area_per_load(usable: float, carrier: float, share: float) -> float:
    """Return the field area that one fill covers [area].

    Parameters
    ----------
    usable : float
        Volume of a fill that reaches the nozzles [volume].
    carrier : float
        Spray volume per sprayed area [volume/area].
    share : float
        Share of the field that is sprayed, above 0.
    """
    return usable / (carrier * share)


def rate_with_refills(theoretical: float, efficiency: float, load_area: float,
                      refill_minutes: float) -> float:
    """Return the work rate when every load costs a refill [area/h].

    Parameters
    ----------
    theoretical : float
        Speed times width [area/h].
    efficiency : float
        Share of it kept in the field with turns, refills left out.
    load_area : float
        Field area per fill [area].
    refill_minutes : float
        Filling and hauling per fill [min].

    References
    ----------
    Time accounting of ASAE EP496 (effective over theoretical rate); derived.
    """
    return load_area / (load_area / (theoretical * efficiency) + refill_minutes / 60)


def hours_with_refills(area: float, theoretical: float, efficiency: float, loads: float,
                       refill_minutes: float) -> float:
    """Return the hours a field takes [h] with a number of fills.

    Parameters
    ----------
    area : float
        Field area [area].
    theoretical : float
        Speed times width [area/h].
    efficiency : float
        Share of it kept with turns, refills left out.
    loads : float
        Number of fills.
    refill_minutes : float
        Filling and hauling per fill [min].
    """
    return area / (theoretical * efficiency) + loads * refill_minutes / 60
