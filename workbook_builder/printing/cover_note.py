"""The cover note to the client: state of the plan, what it costs, points to fix, what to do next."""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED
from workbook_builder.core.draft import Cells
from workbook_builder.planning import Plan
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.pages import Wording, render
from workbook_builder.theme import DEFAULT_THEME, Theme

NEXT_PASSES = 5
#: Causes listed, worst first; the workbook's first sheet has them all.
MOST_CAUSES = 8


@dataclass(frozen=True)
class CoverNote:
    """The note, ready to print."""

    verdict: str
    counts: tuple[tuple[str, int], ...]
    causes: tuple[Cells, ...]
    more_causes: int
    costs: tuple[Cells, ...]
    cost: Cells
    coming: tuple[Cells, ...]
    todo: tuple[str, ...]


def cover_note(plan: Plan, choice: Choice, theme: Theme = DEFAULT_THEME) -> str:
    """Return the cover note as HTML."""
    # Gather what the note says of the chosen passes; counts and cost are the whole plan's.
    glance = plan.tables["glance"][0]
    chosen = choice.rows(plan)
    passes = sorted((plan.tables["passes"][row] for row in chosen),
                    key=lambda row: (row["date"] == "", row["date"]))
    costs = tuple(row for row in plan.tables["cost_pass_names"] if row["pass"] != "")
    causes = tuple(row for row in plan.tables["to_fix"] if row["cause"] != "")
    counts = tuple((word, int(glance[key])) for word, key in ((NOT_ALLOWED, "not_allowed"),
                                                              (NOT_ENTERED, "not_entered"), (LOOK, "look")))
    return render("cover_note.html", plan, "Cover note", theme, choice.printed, note=CoverNote(
        str(glance["verdict"]), counts, causes[:MOST_CAUSES], max(0, len(causes) - MOST_CAUSES), costs,
        plan.tables["cost_farm"][0],
        tuple(passes[:NEXT_PASSES]), tuple(_todo(counts, Wording.of(plan), passes)),
    ))


def _todo(counts: tuple[tuple[str, int], ...], wording: Wording, passes: list[Cells]) -> list[str]:
    """Say what to do next, most pressing first."""
    not_allowed, not_entered, look = (count for _, count in counts)
    steps = []
    if not_allowed:
        steps.append(f"Fix what is not allowed ({points(not_allowed)}): change the mix, the rate, the field "
                     f"or the date.")
    if not_entered:
        steps.append(f"Fill in what is not entered ({points(not_entered)}) from the label in your hand.")
    if look:
        steps.append(f"Weigh what is to be looked at ({points(look)}).")
    dated = [row for row in passes if row["date"] != ""]
    if dated:
        steps.append(f"Get ready for {dated[0]['pass']} on {dated[0]['field']}, planned for "
                     f"{wording.day(dated[0]['date'])}: pick list, jar test, mix card.")
    steps.append("Change whatever changes in the workbook, and print the mix cards again: printed ones do "
                 "not follow.")
    return steps


def points(count: int) -> str:
    """Return a count of points in words."""
    return f"{count} point{'' if count == 1 else 's'}"
