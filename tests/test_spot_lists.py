"""Lists for spot passes alone: the rows of a table beside the passes, without the others."""

from __future__ import annotations

from dataclasses import replace

from small_farm import small_farm

from workbook_builder.planning import make_plan


def test_a_list_holds_the_rows_of_spot_passes() -> None:
    """The second and the fourth pass are spot passes, so their rows fill the first slots and the third slot
    stays blank.
    """
    farm = small_farm(sprayers={"spot_tank": 200.0})
    methods = {"first": "broadcast", "second": "spot", "third": "broadcast", "fourth": "spot"}
    passes = [{**farm.rows("passes")[0], "pass": name, "method": method} for name, method in methods.items()]

    listed = make_plan(replace(farm, tables={**farm.tables, "passes": passes})).tables["spot_checks_list"]

    assert [(row["slot"], row["pass"]) for row in listed[:3]] == [(1, "second"), (2, "fourth"), (3, "")]
    assert (listed[0]["field"], listed[2]["field"]) == (farm.rows("passes")[0]["field"], "")
