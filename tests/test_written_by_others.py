"""One small farm saved by other programs and libraries: whatever they make of its parts,
every typed cell is read.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from write_by_others import FOLDER, GIVEN, WRITERS

from workbook_builder.build import read_inputs
from workbook_builder.check import errors_in
from workbook_builder.core.own import own_sheets
from workbook_builder.read.odd_parts import COLUMNS, DANGLING

BOOKS = sorted(FOLDER.glob("*.xlsx"))
#: Writer -> what is odd about its file.
ODD = {"openxlsx": DANGLING, "sheetjs": COLUMNS}


def test_a_file_of_every_writer_is_kept() -> None:
    """Of each writer that the command knows a file is there."""
    assert {path.stem for path in FOLDER.iterdir()} == {*WRITERS, Path(GIVEN).stem}


@pytest.mark.parametrize("book", BOOKS, ids=lambda path: path.stem)
def test_what_others_saved_is_read_whole(book: Path) -> None:
    """Every typed cell and the own sheet are those of the given book, and an odd part is told with its cause.
    """
    wanted, _ = read_inputs(FOLDER / GIVEN)
    inputs, problems = read_inputs(book)

    assert errors_in(problems) == []
    assert sum(value is not None for rows in wanted.tables.values() for row in rows
               for value in row.values()) > 60
    assert ({key: list(rows) for key, rows in inputs.tables.items()}
            == {key: list(rows) for key, rows in wanted.tables.items()})
    assert {place: cell.value for place, cell in own_sheets(inputs.extras)["My chart"].cells.items()} == {
        (1, 1): "week", (1, 2): "litres", (2, 1): 1, (2, 2): 20, (3, 1): 2, (3, 2): 35,
    }
    told = [problem.message for problem in problems if problem.code == "odd-parts"]
    assert [ODD[book.stem] in message for message in told] == [True] * (book.stem in ODD)


@pytest.mark.parametrize("name", ["libreoffice_ods.ods", "calligra_ods.ods"])
def test_an_open_document_is_told_what_to_do(name: str) -> None:
    """An .ods file is named as what it is, with the way out."""
    [problem] = read_inputs(FOLDER / name)[1]

    assert ((problem.code, "OpenDocument" in problem.message, ".xlsx" in problem.fix)
            == ("not-a-workbook", True, True))
