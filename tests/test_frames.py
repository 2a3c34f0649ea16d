"""Results as pandas frames: typed, whole, and the same numbers as the plan."""

from __future__ import annotations

import contextlib
import io
import re
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest
from cli_help import DEMO
from small_farm import small_farm

import workbook_builder
from workbook_builder.build import Built
from workbook_builder.check import ProblemsFound
from workbook_builder.core.columns import Column
from workbook_builder.core.quantities import quantity
from workbook_builder.features import BY_KEY
from workbook_builder.frames import as_csv, result_tables
from workbook_builder.planning import make_plan

PAGE = Path(__file__).parents[1] / "docs" / "how-to" / "use-from-python.md"


def test_every_result_is_a_frame(demo: Built) -> None:
    """Each result table has its frame, with the rows that are about something and the columns that people
    read.
    """
    frames = demo.plan.frames()

    assert set(frames) == {table.key for table in result_tables()}
    assert len(frames["cost_passes"]) == sum(row["pass"] != "" for row in demo.plan.tables["cost_passes"])
    assert all(column.role != "working" for key, found in frames.items()
               for column in map(BY_KEY[key].by_key.get, found.columns) if isinstance(column, Column))


def test_numbers_are_the_plans(demo: Built) -> None:
    """Costs, dates and moments in frames are those of the plan: a sum,
    and a moment worked out from its day number.
    """
    costs, times = demo.plan.frame("cost_passes"), demo.plan.frame("intervals")
    rows = [row for row in demo.plan.tables["cost_passes"] if row["pass"] != ""]
    first = next(row for row in demo.plan.tables["intervals"] if row["reentry_at"] != "")
    shown = times.loc[times["pass"].eq(first["pass"]) & times["field"].eq(first["field"]),
                      "reentry_at"].iloc[0]

    assert (costs["total_cost"].sum()
            == pytest.approx(sum(row["total_cost"] for row in rows if row["total_cost"] != "")))
    assert shown == (pd.Timestamp("1899-12-30") + pd.Timedelta(days=first["reentry_at"])).round("s")


def test_columns_are_typed_and_carry_units(demo: Built) -> None:
    """Dates are dates, counts whole, money a number, names words.

    The unit of each column stands in the frame's attributes.
    """
    wanted = {"date": "datetime64", "moment": "datetime64", "whole": "Int64", "money": "Float64",
              "name": "string"}
    seen = set()
    for key, found in demo.plan.frames().items():
        for name in found.columns:
            form = quantity(BY_KEY[key].by_key[name].quantity).form
            if form in wanted and found[name].notna().any() and found[name].dtype != "string":
                assert str(found[name].dtype).startswith(wanted[form]), (key, name)
                seen.add(form)

    assert seen == set(wanted) - {"name"}
    assert demo.plan.frame("cost_passes").attrs["units"]["cost_per_field_area"] == "$/ac"


def test_csv_starts_no_formula() -> None:
    """A name that looks like a formula gets an apostrophe in CSV.

    Other words and negative numbers stay as they are.
    """
    plan = make_plan(small_farm(fields={"field": "=1+1", "notes": "-5 to 5"}, passes={"field": "=1+1"}))

    lines = as_csv(plan.frame("fields")).splitlines()

    assert lines[1].startswith("'=1+1,80.0,")
    assert "'-5 to 5" in lines[1]
    assert as_csv(pd.DataFrame({"a": [-1.5]})) == "a\n-1.5\n"


def test_the_example_of_the_page_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The lines shown on the page print the dearest fields of the demo farm and the last re-entry times."""
    (tmp_path / "my_demo").mkdir()
    (tmp_path / "my_demo" / "inputs").symlink_to(DEMO)
    monkeypatch.chdir(tmp_path)
    [code] = re.findall(r"```python\n(.*?)```", PAGE.read_text("utf-8"), re.DOTALL)
    printed = io.StringIO()

    with contextlib.redirect_stdout(printed):
        exec(code, {})

    assert "$/ac" in printed.getvalue()
    assert "earliest_harvest" in printed.getvalue()


def test_errors_are_raised_with_their_places(tmp_path: Path) -> None:
    """A source that can't be planned raises its problems.

    A name the package does not have is no attribute.
    """
    with pytest.raises(ProblemsFound):
        workbook_builder.plan(tmp_path)
    with pytest.raises(AttributeError, match="no attribute"):
        _ = workbook_builder.nonsense


def test_commands_start_without_pandas() -> None:
    """Showing help loads neither pandas nor numpy: they come when a frame is asked for."""
    code = "import sys, workbook_builder.cli; print(sorted({'pandas', 'numpy'} & set(sys.modules)))"

    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True,
                          check=True).stdout == "[]\n"
