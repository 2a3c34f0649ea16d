"""The order in which passes fill each tank, and the loads of a run of passes that share them."""

from __future__ import annotations

from workbook_builder.core.draft import Cells, Draft
from workbook_builder.features.loads.definitions import even_loads, too_small_to_agitate


def places(draft: Draft) -> list[Cells]:
    """Return the place of every pass among all: tank by tank, by the clock,
    and at the same time one mix after the other.
    """
    steps = draft["tank_steps"]
    timed = sorted((row["queue"], row["seconds"], row["tie"], at) for at, row in enumerate(steps)
                   if row["seconds"] != "")
    found = {at: place for place, (*_, at) in enumerate(timed, 1)}
    return [Cells(place=found.get(at, "")) for at in range(len(steps))]


def last_load(total: float, loads: int, usable: float, opens: int, unusable: float) -> float:
    """Return what is added in the last load of a run [volume].

    Parameters
    ----------
    total : float
        Spray volume of the run [volume].
    loads : int
        Its loads.
    usable : float
        What a fill gives to the nozzles [volume].
    opens : int
        Whether the run fills an empty tank; the `unusable` volume [volume] is then mixed with the first load.
    """
    if loads == 0:
        return 0
    return total - (loads - 1) * usable + (unusable if opens and loads == 1 else 0)


def run_advice(total: float, loads: int, last: float, usable: float, unusable: float, tank: float,
               least: float, unit: str) -> str:
    """Advise even loads where the last one of a run leaves the tank too empty for its agitator.

    Blank otherwise.
    """
    small = loads > 1 and too_small_to_agitate(total - (loads - 1) * usable, unusable, tank, least)
    return even_loads(last, loads, total / loads, unit) if small else ""
