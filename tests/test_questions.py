"""Each question that people open the workbook with is answered on one tab,
and how far it stands from the corner.
"""

from __future__ import annotations

from typing import Any

import pytest
from openpyxl.utils import coordinate_to_tuple
from questions import PAGE, QUESTIONS, Question, cell_of, page

from workbook_builder.build import Built
from workbook_builder.core.draft import serial

#: What a laptop of 1366 by 768 shows of a sheet below the ribbon of a program, row numbers taken off
#: [pixels].
WIDE, HIGH = 1366 - 30, 768 - 148 - 20
#: Where people add rows, or lists go on below the fold, the header is what must be seen.
TYPED = ("passes", "fields")


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: f"{question.table}-{question.key}")
def test_a_question_is_answered_on_one_screen(question: Question, demo: Built, demo_book: Any,
                                              demo_values: Any) -> None:
    """The cell holds the answer of the plan, and stands on the first screen of a laptop at full size."""
    tab, cell = cell_of(question, demo.plan, demo.placement)
    row, column = coordinate_to_tuple(cell)
    planned = demo.plan.tables[question.table][question.row(demo.plan)][question.key]
    shown = demo_values[tab][cell].value
    sheet = demo_book[tab]

    assert ((serial(shown) if planned not in ("", None) else shown or "")
            == (pytest.approx(planned) if isinstance(planned, float) else planned or ""))
    assert sheet.sheet_state == "visible"
    assert left_of(sheet, column) <= WIDE
    if question.table not in TYPED:
        assert above(sheet, row) <= HIGH


def left_of(sheet: Any, column: int) -> float:
    """Return how far a column's right edge is from the left one [pixels].

    A letter is 7 pixels wide and a cell has 5 of padding.
    """
    groups = [line for line in sheet.column_dimensions.values() if line.min]
    widths = {number: line.width for line in groups for number in range(line.min, line.max + 1)}
    return sum(widths.get(number, 8.43) * 7 + 5 for number in range(1, column + 1))


def above(sheet: Any, row: int) -> float:
    """Return how far a row's lower edge is from the top [pixels]."""
    return sum((sheet.row_dimensions[number].height or 15) * 96 / 72 for number in range(1, row + 1))


def test_the_page_of_questions_is_up_to_date(demo: Built) -> None:
    """Docs say for every question where its answer stands today."""
    assert PAGE.read_text("utf-8") == page(demo), "run: python -m tests.questions"
