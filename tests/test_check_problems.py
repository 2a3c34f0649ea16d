"""Problems as data: their text, their codes and the names they suggest."""

from __future__ import annotations

import pickle
import re
from pathlib import Path

import pytest

import workbook_builder
from workbook_builder.check import PROBLEM_CODES, Problem, ProblemsFound, errors_in, nearest
from workbook_builder.check.problems import suggestion


def test_a_problem_names_its_place_and_its_remedy() -> None:
    """File, sheet, row and column come first, then the fault, then the remedy."""
    problem = Problem(
        "not-a-number", "'x' is not a number", "book.xlsx", "Fields", 7, "Area (ac)", fix="Type the number"
    )

    assert (str(problem) == "book.xlsx, sheet Fields, row 7, column Area (ac): 'x' is not a number. Type the "
                            "number.")


@pytest.mark.parametrize(
    ("fix", "ending"), [("Did you mean 'a'?", "mean 'a'?"), ("Type it", "Type it."), ("", "wrong.")]
)
def test_a_remedy_that_asks_ends_as_a_question(fix: str, ending: str) -> None:
    """No full stop is put behind a question mark."""
    assert str(Problem("not-a-date", "it is wrong", fix=fix)).endswith(ending)


def test_a_warning_says_so() -> None:
    """A warning is marked by a word."""
    assert str(Problem("not-a-date", "odd", "f.csv", severity="warning")) == "f.csv: warning: odd."


def test_an_undeclared_code_is_refused() -> None:
    """A problem with a code nobody explains cannot be made."""
    with pytest.raises(ValueError, match="nonsense"):
        Problem("nonsense", "x")


def test_problems_found_keeps_its_problems() -> None:
    """The exception lists every problem, keeps them as data and survives pickling."""
    problems = [Problem("not-a-date", "odd", "a.csv"),
                Problem("not-a-time", "odd", "b.csv", severity="warning")]

    error = pickle.loads(pickle.dumps(ProblemsFound(problems)))

    assert problems == error.problems
    assert str(error) == "2 problems in the data\na.csv: odd.\nb.csv: warning: odd."
    assert [problems[0]] == errors_in(error.problems)


@pytest.mark.parametrize(("name", "expected"), [("FEILD", "Field"), ("crop", "Crop"), ("xyz", ""), ("", "")])
def test_nearest(name: str, expected: str) -> None:
    """The nearest known name is found whatever the case, and none is offered where none is near."""
    assert expected == nearest(name, ["Field", "Crop"])


def test_suggestion_lists_what_is_known() -> None:
    """Where no name is near, the known ones are listed, up to twelve."""
    assert suggestion("zzz", ["a", "b"]) == "Use one of: a, b"
    assert suggestion("zzz", [f"n{i}" for i in range(20)]).endswith(", ...")
    assert suggestion("zzz", []) == ""


def test_every_code_is_explained_and_used() -> None:
    """Each declared code has a sentence, and each is given somewhere in the package."""
    package = Path(workbook_builder.__file__).parent
    rooms = [path for room in ("read", "check", "maps") for path in package.glob(f"{room}/*.py")]
    text = "".join(path.read_text("utf-8") for path in rooms if path.name != "problem_codes.py")

    assert all(sentence.endswith(".") for sentence in PROBLEM_CODES.values())
    assert set(PROBLEM_CODES) == {code for code in PROBLEM_CODES if re.search(f'"{code}"', text)}
