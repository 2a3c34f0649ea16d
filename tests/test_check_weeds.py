"""Groups a weed is resistant to: what cannot be read is named with its place and what was probably meant."""

from __future__ import annotations

import pytest
from small_farm import first, small_farm

from workbook_builder.check import Problem, check_inputs
from workbook_builder.check.products import numbers_in
from workbook_builder.features import TYPED_TABLES
from workbook_builder.features.effective_modes.definitions import resistant_groups
from workbook_builder.planning import make_plan


def found(text: str) -> list[Problem]:
    """Return the problems of a weed resistant to groups typed as `text`."""
    inputs = small_farm(weeds={"field": "North", "weed": "kochia", "resistant_groups": text})
    return [problem for problem in check_inputs(inputs, TYPED_TABLES)[1]
            if problem.code in ("unreadable-groups", "unknown-group")]


@pytest.mark.parametrize("text", ["2;9", "2, 9", "", "14", "2;9;14;27"])
def test_lists_of_numbers_pass(text: str) -> None:
    """Numbers parted by semicolons, commas or spaces after them are read."""
    assert found(text) == []


@pytest.mark.parametrize(("text", "fix"), [
    ("2/9", "Did you mean '2;9'?"), ("Group 2 and group 9", "Did you mean '2;9'?"),
    ("glyphosat", "Did you mean '9' (glyphosate)?"),
    ("glyphosate and dicamba", "Did you mean '9;4' (glyphosate, dicamba)?"),
    ("B, G", "Did you mean '2;9' (older HRAC letters)?"),
    ("several", "Type up to 4 group numbers, such as 2;9"),
    ("2;9;14;27;15", "Type up to 4 group numbers, such as 2;9"),
])
def test_text_that_is_no_list_is_a_warning(text: str, fix: str) -> None:
    """The warning names sheet, row and column and offers what was probably meant."""
    (problem,) = found(text)

    assert ((problem.code, problem.severity, problem.row, problem.fix)
            == ("unreadable-groups", "warning", 1, fix))
    assert "Resistant to groups" in problem.place


def test_number_that_is_no_group_of_today() -> None:
    """A retired number or one that never was a group is named, since it would resist nothing."""
    assert ([problem.message for problem in found("7;99")]
            == ["7 is not a herbicide group of today", "99 is not a herbicide group of today"])


@pytest.mark.parametrize("text", ["2;9", "2/9", "2;;9", "a", "1;2;3;4;5", " 2 , 9 ", "²", "2;9;14;27;",
                                  "00000000000000000000002"])
def test_check_reads_what_the_plan_reads(text: str) -> None:
    """Check and plan agree on which texts are lists, and an unreadable one is never OK in the plan."""
    assert numbers_in(text) == resistant_groups(text)
    if numbers_in(text) is None:
        plan = make_plan(small_farm(weeds={"field": "North", "weed": "kochia", "resistant_groups": text},
                                    ratings={"product": "Product", "weed": "kochia", "rating": 95}))
        assert first(plan, "effective_modes")["status"] == "Not entered"
