"""What comes after a pass: control by a trial, settings that are beaten, and looks into closed fields."""

from __future__ import annotations

from collections.abc import Sequence

from workbook_builder.core.draft import Cells, Draft, at, number
from workbook_builder.features.reentry.closures import Closures

#: A number, or blank text.
Entered = float | str


def control(before: float, after: float) -> float:
    """Return control [%]: weeds gone of the weeds there were."""
    return 100 * (1 - after / before)


def better_settings(row: float, cost: float, control: float, rows: Sequence[Entered],
                    costs: Sequence[Entered], controls: Sequence[Entered]) -> int:
    """Return how many settings tried in the same pass cost no more and control better,
    or cost less and control as well.

    Parameters
    ----------
    row, cost, control : float
        Row of the pass, mixture per area [money/area] and control [%] of one trial.
    rows, costs, controls : sequence of float or ""
        The same of all trials, blank where not known.
    """
    own = [(number(c) - cost, number(k) - control) for r, c, k in zip(rows, costs, controls, strict=True)
           if r == row and "" not in (c, k)]
    return sum((dearer <= 0 and better > 0) or (dearer < 0 and better >= 0) for dearer, better in own)


def closed_fields(draft: Draft) -> list[Cells]:
    """Return until when the field of each look back is closed on its day."""
    closures, rows = Closures.of(draft), []
    for fact, look in zip(draft["look_facts"], draft["look_log"], strict=True):
        rows.append(Cells())
        closures.fill(rows[-1], "look", at(draft["pass_volumes"], fact["pass_row"], "field_row"),
                      look["date"])
    return rows


def closed_looks(draft: Draft) -> list[Cells]:
    """Return until when the field of each pass is closed on the days of its looks."""
    closures, rows = Closures.of(draft), []
    for look, volume in zip(draft["follow_up"], draft["pass_volumes"], strict=True):
        rows.append(Cells())
        for key in ("early", "first", "second"):
            closures.fill(rows[-1], key, volume["field_row"], look[f"{key}_look"])
    return rows
