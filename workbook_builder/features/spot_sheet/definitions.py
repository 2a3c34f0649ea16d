"""What the page of a spot pass says of the confidence somebody typed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from workbook_builder.core.rounding import number_text, shown


def confidence_note(
    full_volume: Any, wanted: int, typed: int, known: int, safe: Any, usable: float, confidence: float,
    volumes: Sequence[Any], costs: Sequence[Any], best: Any, unit: str
) -> str:
    """Return what decides of the fill: costs, a confidence, or the tank; and why.

    Parameters
    ----------
    full_volume : float or blank
        A full tank [volume]; blank or nought where there is none.
    wanted, typed, known : int
        1 where a confidence decides, where one is typed, and where something is known of the share.
    safe, usable : float
        Volume that is enough at that confidence for the ground left,
        and what the pump can draw of a tank [volume].
    confidence : float
        As typed, 0 to 1.
    volumes, costs : sequence
        Fills to choose from [volume] and what each is expected to cost [money].
    best : float
        Least of those costs [money].
    unit : str
        Name of the unit of volume.
    """
    if not full_volume:
        return ""
    if not wanted:
        return ("No confidence typed on the tab Farm: the cheapest fill is advised, by refill trips and "
                "leftover.")
    if not known:
        return "Nothing is known of the share: a full tank, whatever the confidence."
    if not typed:
        often = number_text(shown(confidence * 10, 1))
        return (
            "What a refill costs is not known: type its minutes and the sprayer's cost per hour, or the cost "
            "of an extra refill trip, on the tab Farm. "
            f"Mixed to be enough {often} times in 10, a full tank at most."
        )
    percent = number_text(shown(confidence * 100, 0))
    if round(safe - usable, 6) > 0:
        return (f"Your {percent} % wants {number_text(shown(safe, 0))} {unit}, more than one tank: a full "
                f"tank now.")
    cheapest = volumes[list(costs).index(best)]
    return (f"Mixed for your {percent} %; the cheapest fill has {number_text(shown(cheapest, 0))} {unit} to "
            f"spray.")


def rests_on(known: int, experience: float, seasons: float, frames: float, loads: float) -> str:
    """Return what the range of a share rests on, and what cannot be known from it.

    Parameters
    ----------
    known : int
        1 where something is known of the share.
    experience, seasons, frames, loads : float
        Weight of all experience, of earlier seasons among it, of frames and of loads [patches].
    """
    if not known:
        return "Nothing is known of the share yet."
    weights = {"experience": experience - seasons, "earlier seasons": seasons, "frames": frames,
               "loads": loads}
    told = ", ".join(f"{kind} {number_text(shown(weight, 1))}" for kind, weight in weights.items())
    wide = ("" if seasons or frames
            else " Without frames or earlier seasons nobody can know how far this year differs: the range is "
                 "kept wide.")
    return f"Patches of evidence: {told}.{wide}"
