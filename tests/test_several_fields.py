"""A pass typed for several fields in one row is one row a field,
and a mix named like its pass need not be typed.
"""

from __future__ import annotations

from typing import Any

import pytest
from small_farm import small_farm

from workbook_builder.build import checked
from workbook_builder.check import errors_in
from workbook_builder.core.inputs import Inputs
from workbook_builder.planning import make_plan

FIELDS = [{"field": name, "area": 40.0, "crop": crop}
          for name, crop in (("Home", "corn"), ("North", "corn"), ("South, low", "soybean"),
                             ("All Saints", "soybean"))]


def farm(**passed: Any) -> Inputs:
    """Return a farm of four fields whose one pass row has these cells."""
    inputs = small_farm()
    row = {**inputs.rows("passes")[0], **passed}
    return Inputs({**inputs.tables, "fields": FIELDS, "passes": [row]}, {"passes": {"Crew": ["Ann"]}})


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("Home; North", ["Home", "North"]), ("home+NORTH", ["Home", "North"]),
        ("Home, South, low", ["Home, South, low"]), ("South, low", ["South, low"]),
        ("all", ["Home", "North", "South, low", "All Saints"]), ("All soybean", ["South, low", "All Saints"]),
        ("All Saints", ["All Saints"]),
        ("all rye", ["all rye"]), ("Home; Nowhere", ["Home; Nowhere"]),
    ],
)
def test_fields_of_a_row(text: str, fields: list[str]) -> None:
    """Semicolon, comma and plus part fields, all and a crop choose them,
    and a name that stands as it is wins over both.
    """
    inputs, problems = checked(farm(field=text), [])

    assert [row["field"] for row in inputs.rows("passes")] == fields
    assert ([problem.code for problem in problems if problem.code == "several-fields"] == ["several-fields"]
            * (len(fields) > 1))
    assert inputs.extras["passes"]["Crew"] == ["Ann"] * len(fields)
    if fields == [text] and text not in ("South, low", "All Saints"):
        assert errors_in(problems)


def test_every_other_cell_goes_with_each_field() -> None:
    """Date, carrier, sprayer and all else of the row stand beside each of its fields,
    and each is planned by itself.
    """
    one, several = farm(field="Home"), farm(field="Home; North; All Saints")
    rows = checked(several, [])[0].rows("passes")
    alone = checked(one, [])[0].rows("passes")[0]

    assert [{**row, "field": "Home"} for row in rows] == [alone] * 3
    volumes = [row["volume"] for row in make_plan(checked(several, [])[0]).tables["pass_volumes"][:3]]
    assert volumes == [volumes[0]] * 3
    assert volumes[0] > 0


def test_a_problem_of_a_row_names_the_row_it_was_typed_in() -> None:
    """What is wrong with a pass of several fields is told at its row, and so is what is wrong below it."""
    inputs = farm(field="Home; North")
    inputs = Inputs({**inputs.tables,
                     "passes": [*inputs.rows("passes"), {**inputs.rows("passes")[0], "field": "Nowhere"}]})
    [unknown] = errors_in(checked(inputs, [])[1])

    assert (unknown.sheet, unknown.row) == ("Passes", 2)


@pytest.mark.parametrize(
    ("mixes", "chosen"), [(["Early", "Early corn"], "Early corn"), (["Early"], "Early"),
                          (["Corn early"], "Corn early"), (["Early soybean"], None)]
)
def test_a_mix_called_like_its_pass(mixes: list[str], chosen: str | None) -> None:
    """A blank mix is the one of the pass and the crop, or of the pass.

    Where there is neither it must be typed.
    """
    inputs = farm(field="Home", mix=None)
    lines = [{**inputs.rows("mixes")[0], "mix": mix} for mix in mixes]
    rows = [{**inputs.rows("passes")[0], "pass": "Early"}]
    tables = {**inputs.tables, "mixes": lines, "passes": rows, "load_choice": []}
    found, problems = checked(Inputs(tables), [])

    assert found.rows("passes")[0]["mix"] == chosen
    assert [problem.code for problem in errors_in(problems)] == ([] if chosen else ["required-blank"])
