"""The questions people open the workbook with, and the cell that answers each: ``python -m tests.questions``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from workbook_builder.build import Built, build_source
from workbook_builder.core.place import Placement
from workbook_builder.planning import Plan

PAGE = Path(__file__).parents[1] / "docs" / "questions.md"
DEMO = Path(__file__).parents[1] / "workbook_builder" / "data" / "demo"
#: Finds the row of a table that answers, counted from 0.
Finds = Callable[[Plan], int]


def first(key: str, **wanted: Any) -> Finds:
    """Return what finds the first row of a table whose cells hold these values."""
    return lambda plan: next(index for index, row in enumerate(plan.tables[key])
                             if all(row[name] == value for name, value in wanted.items()))


def spare(key: str, column: str) -> Finds:
    """Return what finds the first row of a typed table that is still blank."""
    return lambda plan: next(index for index, row in enumerate(plan.tables[key]) if row[column] in ("", None))


@dataclass(frozen=True)
class Question:
    """A question and where its answer stands.

    Parameters
    ----------
    text : str
    table, key : str
        Table and column of the answer.
    row : callable
    choice : str
        What is chosen before it shows, or blank.
    """

    text: str
    table: str
    key: str
    row: Finds = lambda plan: 0
    choice: str = ""


QUESTIONS = (
    Question("How much do I mix next for a field of which nobody knows what share will be sprayed?",
             "spot_sheet", "next_fill", choice="pass and field"),
    Question("What goes into load 2, how much, in which order?", "load_lines", "pour",
             choice="pass, field and load"),
    Question("What is not lawful, and why?", "open_points", "finding"),
    Question("When may people go back into a field?", "field_days", "back_in_from"),
    Question("When may a field be harvested at the earliest?", "field_days", "earliest_harvest"),
    Question("Where do herbicide groups repeat?", "rotation_grid", "pass_1"),
    Question("What does the season cost an acre in all?", "cost_farm", "cost_per_field_area"),
    Question("What does it cost an acre in each field?", "cost_fields", "cost_per_area"),
    Question("Did spotting pay, after fees?", "spot_season", "net"),
    Question("What do I order, and by when?", "drop_list", "order_by"),
    Question("Where do I change an acreage?", "fields", "area"),
    Question("Where do I change a rate?", "mixes", "rate"),
    Question("Where do I add a field?", "fields", "field", spare("fields", "field")),
    Question("Where do I add a pass?", "passes", "pass", spare("passes", "pass")),
    Question("Which share did the log of a spot pass tell, and where?", "map_sheet", "share",
             choice="pass and field"),
    Question("Where and how much was sprayed?", "records", "sprayed_on"),
)


def cell_of(question: Question, plan: Plan, placement: Placement) -> tuple[str, str]:
    """Return tab and cell of an answer."""
    spot = placement.spots[question.table]
    return spot.sheet_of(question.key), spot.cell(question.key, question.row(plan))


def page(built: Built) -> str:
    """Return the page: every question with its tab, its cell and a picture."""
    lines = ["# Questions", "",
             "What people open the workbook for, and where each answer stands in the demo.", "",
             "| Question | Tab | Cell |", "|---|---|---|"]
    for question in QUESTIONS:
        tab, cell = cell_of(question, built.plan, built.placement)
        first_choose = f", after choosing {question.choice}" if question.choice else ""
        lines.append(f"| {question.text} | [{tab}](pictures/{tab.lower().replace(' ', '_')}_laptop.png) | "
                     f"{cell}{first_choose} |")
    return "\n".join(lines) + "\n"


def main() -> None:
    """Write the page."""
    PAGE.write_text(page(build_source(DEMO)), "utf-8")


if __name__ == "__main__":
    main()
