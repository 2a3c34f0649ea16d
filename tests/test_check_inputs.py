"""What only shows when tables are seen together: each finding has its code, its row and its column."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from small_farm import small_farm
from test_read_builders import FARM, TABLES, changed, codes, farm, said, write_book, write_folder

from workbook_builder.build import checked, with_defaults
from workbook_builder.check import Problem, check_inputs, errors_in
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import TYPED_TABLES
from workbook_builder.features.products.inputs import MIXES, PRODUCTS
from workbook_builder.read import read_source


def _checked(tmp_path: Path, tables: dict[str, list[list[Any]]]) -> tuple[Inputs, list[Problem]]:
    """Read a farm that reads without problems, and check it."""
    inputs, problems = read_source(write_folder(tmp_path / "farm", tables), TABLES)
    assert [problem for problem in problems if problem.is_error] == []
    return check_inputs(inputs, TABLES)


def _added(table: str, **cells: str) -> dict[str, list[list[Any]]]:
    """Return the sound farm with one row added to a table."""
    tables = farm()
    header = tables[table][0]
    header.extend(key for key in cells if key not in header)
    tables[table].append([cells.get(key, "") for key in header])
    return tables


def test_the_sound_farm_has_no_problems(tmp_path: Path) -> None:
    """A farm without faults passes, with nothing rewritten."""
    tables = changed("products", 3, "density", "")
    tables["mixes"][2][3] = "oz/ac"

    inputs, problems = _checked(tmp_path, tables)

    assert problems == []
    assert len(inputs.rows("mixes")) == 3


DENSITY = {
    "weight rate of a liquid": ("mixes", 2, "rate_unit", "lb/ac"),
    "volume rate of a dry product": ("mixes", 3, "rate_unit", "fl oz/ac"),
    "percent by volume of a dry product": ("mixes", 3, "rate_unit", "% v/v"),
    "weight per 100 gal of a liquid": ("mixes", 4, "rate_unit", "lb/100 gal"),
    "percent by weight of a liquid": ("ingredients", 2, "content_unit", "% w/w"),
    "grams per kilogram of a liquid": ("ingredients", 2, "content_unit", "g/kg"),
    "pounds per gallon of a dry product": ("ingredients", 3, "content_unit", "lb ai/gal"),
    "weight limit of a liquid": ("label_limits", 2, "rate_unit", "lb/ac"),
}


@pytest.mark.parametrize(("table", "row", "key", "cell"), DENSITY.values(), ids=DENSITY)
def test_a_weight_meets_a_volume(tmp_path: Path, table: str, row: int, key: str, cell: str) -> None:
    """A unit of the other phase needs the product's density, and the message names the product.

    With every density entered it passes.
    """
    tables = changed(table, row, key, cell)
    _, problems = _checked(tmp_path, tables)
    for line in tables["products"][1:]:
        line[6] = "8.5"
    _, settled = _checked(tmp_path, tables)

    assert [("needs-density", row, key)] == said(problems)
    assert FARM[table][row - 1][FARM[table][0].index("product")] in problems[0].message
    assert "needs-density" not in codes(settled)


UNKNOWN = [
    ("field of a pass", "passes", 2, "field", "Bensh", "unknown-name", "Did you mean 'Bench'?"),
    ("mix of a pass", "passes", 2, "mix", "Burn down", "unknown-name", "Did you mean 'Burndown'?"),
    ("sprayer of a pass", "passes", 3, "sprayer", "Bigg Boom", "unknown-name", "Did you mean 'Big Boom'?"),
    ("product of a mix", "mixes", 4, "product", "Test Wetters", "unknown-name",
     "Did you mean 'Test Wetter'?"),
    ("product of an ingredient", "ingredients", 2, "product", "Test Burners", "unknown-name",
     "Did you mean 'Test Burner'?"),
    ("product of a limit", "label_limits", 2, "product", "Tst Burner", "unknown-name",
     "Did you mean 'Test Burner'?"),
    ("product of an interval", "plant_back", 2, "product", "Grain Dry Mix", "unknown-name", None),
    ("field of past use", "past_use", 2, "field", "Nowhere", "unknown-name", "Use one of: Bench, Creek"),
    ("metric rate on a US farm", "mixes", 2, "rate_unit", "L/ha", "wrong-unit-system", None),
    ("metric limit on a US farm", "label_limits", 2, "rate_unit", "mL/ha", "wrong-unit-system", None),
    ("rate per 100 L on a US farm", "mixes", 4, "rate_unit", "mL/100 L", "wrong-unit-system", None),
    ("rate unit nobody knows", "mixes", 2, "rate_unit", "cups/ac", "unknown-rate-unit", None),
]


@pytest.mark.parametrize(
    ("table", "row", "column", "cell", "code", "fix"), [case[1:] for case in UNKNOWN],
    ids=[case[0] for case in UNKNOWN]
)
def test_references_that_lead_nowhere(
    tmp_path: Path, table: str, row: int, column: str, cell: str, code: str, fix: str | None
) -> None:
    """A name that is not in the table it refers to is reported with the nearest that is."""
    _, problems = _checked(tmp_path, changed(table, row, column, cell))

    assert [(code, row, column)] == said(problems)
    assert fix in (None, problems[0].fix)


def test_us_rates_on_a_metric_farm(tmp_path: Path) -> None:
    """A metric farm may not count per acre, and is told what it may."""
    tables = changed("farm", 2, "units", "metric")

    _, problems = _checked(tmp_path, tables)

    wrong = [problem for problem in problems if problem.code == "wrong-unit-system"]
    assert said(wrong) == [("wrong-unit-system", row, "rate_unit") for row in (2, 2, 3)]
    assert "fl oz/ha" in wrong[0].fix


DUPLICATES = [
    ("field", "fields", {"field": "BENCH", "area": "5", "crop": "fallow"}, "field"),
    (
        "product", "products",
        {"product": "test wetter", "kind": "adjuvant", "formulation": "SL", "package_size": "1",
         "package_unit": "gal", "package_price": "3"}, "product",
    ),
    ("sprayer", "sprayers", {"sprayer": "big boom", "main_tank": "500"}, "sprayer"),
    (
        "pass and field", "passes",
        {"pass": "p1", "field": "bench", "mix": "burndown", "method": "broadcast", "date": "2026-05-15",
         "carrier": "10", "sprayer": "Big Boom"}, "field",
    ),
    ("mix and product", "mixes", {"mix": "burndown", "product": "test wetter", "rate": "1",
                                  "rate_unit": "% v/v"}, "product"),
    (
        "ingredient", "ingredients",
        {"product": "Test Burner", "active_ingredient": "Glyphosate", "mode_group": "9", "content": "4",
         "content_unit": "lb ae/gal"}, "active_ingredient",
    ),
    ("label limit for any and blank", "label_limits", {"product": "Test Burner"}, "crop"),
    ("plant-back", "plant_back", {"product": "Test Granule", "next_crop": "Winter Wheat", "interval": "1",
                                  "interval_unit": "days"}, "next_crop"),
    ("ingredient limit", "ingredient_limits",
     {"active_ingredient": "glyphosate", "crop": "ANY", "unit": "lb ae/ac"}, "crop"),
]


@pytest.mark.parametrize(
    ("table", "cells", "column"), [case[1:] for case in DUPLICATES], ids=[case[0] for case in DUPLICATES]
)
def test_rows_that_say_the_same_thing_twice(tmp_path: Path, table: str, cells: dict[str, str],
                                            column: str) -> None:
    """A second row with the same key, whatever its case, is reported in its own row."""
    tables = _added(table, **cells)

    _, problems = _checked(tmp_path, tables)

    assert [("duplicate-key", len(tables[table]), column)] == said(problems)


DOMAIN = [
    ("old group number", "ingredients", 2, "mode_group", "11", []),
    ("group not in use", "ingredients", 2, "mode_group", "35", [("unknown-group", 2, "mode_group")]),
    ("past group not in use", "past_use", 2, "mode_group", "40", [("unknown-group", 2, "mode_group")]),
    ("more than the product weighs", "ingredients", 3, "content", "150",
     [("content-too-high", 3, "content")]),
    ("more than all the volume", "mixes", 4, "rate", "101",
     [("rate-too-high", 4, "rate"), ("mix-exceeds-carrier", 2, "carrier"),
      ("mix-exceeds-carrier", 3, "carrier")]),
    ("rate of nothing", "mixes", 2, "rate", "0", [("zero-rate", 2, "rate")]),
    ("limit without a unit", "label_limits", 2, "rate_unit", "", [("missing-rate-unit", 2, "rate_unit")]),
    ("season's limit by volume", "label_limits", 2, "rate_unit", "% v/v",
     [("limit-per-area", 2, "rate_unit")]),
    ("less carrier than product", "passes", 2, "carrier", "0.2", [("mix-exceeds-carrier", 2, "carrier")]),
    ("tank that is all dregs", "sprayers", 2, "unusable_volume", "300",
     [("unusable-exceeds-tank", 2, "unusable_volume")]),
    ("spot pass without a share", "passes", 3, "sprayed_share", "",
     [("no-sprayed-share", 3, "sprayed_share")]),
    ("broadcast pass with a share", "passes", 2, "sprayed_share", "30 %",
     [("share-ignored", 2, "sprayed_share")]),
    ("slip in a crop", "label_limits", 2, "crop", "sunflowr", [("crop-not-grown", 2, "crop")]),
    ("slip in a next crop", "plant_back", 2, "next_crop", "winter weat",
     [("crop-not-grown", 2, "next_crop")]),
    ("slip in an ingredient's crop", "ingredient_limits", 2, "crop", "falow",
     [("crop-not-grown", 2, "crop")]),
    ("label row for a crop of other seasons", "label_limits", 2, "crop", "safflower", []),
    ("label row for a crop of a like name", "label_limits", 2, "crop", "spring wheat", []),
    ("plant-back of a crop of other seasons", "plant_back", 2, "next_crop", "lentil", []),
    ("ingredient limit for a crop of other seasons", "ingredient_limits", 2, "crop", "corn", []),
    ("next crop planted before harvest", "fields", 2, "next_planting_date", "2026-09-01",
     [("dates-out-of-order", 2, "next_planting_date")]),
    ("harvest before planting", "fields", 2, "planting_date", "2026-09-30",
     [("dates-out-of-order", 2, "harvest_date")]),
    ("pass after the next planting", "passes", 2, "date", "2027-05-02",
     [("pass-after-next-planting", 2, "date")]),
    ("pass on the stubble", "passes", 2, "date", "2026-09-26", []),
    ("pass of another decade", "passes", 3, "date", "2016-06-20", [("outside-season", 3, "date")]),
    ("pass of the autumn before", "passes", 3, "date", "2025-10-20", []),
    ("planting of another decade", "fields", 2, "planting_date", "2016-05-20",
     [("outside-season", 2, "planting_date")]),
    ("past use by an old number", "past_use", 2, "mode_group", "11", [("group-by-active", 2, "mode_group")]),
    ("past use of this season", "past_use", 2, "season", "2026", [("past-use-not-past", 2, "season")]),
    ("time zone misspelt", "farm", 2, "time_zone", "America/Chicgo", [("unknown-time-zone", 2, "time_zone")]),
    ("time zone known", "farm", 2, "time_zone", "America/Chicago", []),
]


@pytest.mark.parametrize(
    ("table", "row", "column", "cell", "expected"), [case[1:] for case in DOMAIN],
    ids=[case[0] for case in DOMAIN]
)
def test_what_no_farm_could_mean(
    tmp_path: Path, table: str, row: int, column: str, cell: str, expected: list[tuple[str, int, str]]
) -> None:
    """Each finding about products, passes and the season has its code and its place."""
    assert expected == said(_checked(tmp_path, changed(table, row, column, cell))[1])


def test_doubts_do_not_stop_the_build(tmp_path: Path) -> None:
    """Findings a farm may well mean are warnings."""
    doubts = {
        "no-sprayed-share", "share-ignored", "crop-not-grown", "dates-out-of-order",
        "pass-after-next-planting", "outside-season", "past-use-not-past",
        "zero-rate",
    }
    found = [problem for case in DOMAIN for problem in _checked(tmp_path, changed(*case[1:5]))[1]
             if problem.code in doubts]

    assert {problem.code for problem in found} == doubts
    assert not any(problem.is_error for problem in found)


def test_a_carrier_that_is_all_product(tmp_path: Path) -> None:
    """A mix may fill the carrier volume to the brim, as fertilizer does."""
    tables = changed("mixes", 2, "rate", "9.975")
    tables["mixes"][1][3] = "gal/ac"
    tables["passes"] = tables["passes"][:2]

    assert "mix-exceeds-carrier" not in codes(_checked(tmp_path, tables)[1])


def test_every_name_gets_one_spelling(tmp_path: Path) -> None:
    """References take the spelling of the table that defines the name, and loose names the first one met."""
    tables = changed("passes", 2, "field", "BENCH")
    tables["passes"][1][2] = "burnDOWN"
    tables["mixes"][1][3] = "FL OZ/AC"
    tables["plant_back"][1][1] = "Winter  WHEAT"
    tables["label_limits"][1][1] = "Any"

    inputs, problems = _checked(tmp_path, tables)

    assert problems == []
    first = inputs.rows("passes")[0]
    assert (first["field"], first["mix"]) == ("Bench", "Burndown")
    assert inputs.rows("mixes")[0]["rate_unit"] == "fl oz/ac"
    assert inputs.rows("plant_back")[0]["next_crop"] == "winter wheat"
    assert inputs.rows("label_limits")[0]["crop"] == "any"


def test_checking_leaves_its_inputs_alone(tmp_path: Path) -> None:
    """Rewriting makes new inputs, and checking those again changes nothing more."""
    inputs, _ = read_source(write_folder(tmp_path / "farm", changed("passes", 2, "field", "BENCH")), TABLES)

    once, _ = check_inputs(inputs, TABLES)
    twice, problems = check_inputs(once, TABLES)

    assert inputs.rows("passes")[0]["field"] == "BENCH"
    assert dict(once.tables) == dict(twice.tables)
    assert problems == []


def test_problems_name_the_sheet_and_its_row(tmp_path: Path) -> None:
    """A finding about a workbook names the sheet, the row of the sheet and the printed header."""
    inputs, _ = read_source(write_book(tmp_path / "book.xlsx", changed("passes", 3, "field", "Crik")), TABLES)

    _, problems = check_inputs(inputs, TABLES)

    assert str(problems[0]).startswith(
        "book.xlsx, sheet Passes, row 6, column Field: 'Crik' is not in the table Fields."
    )


def test_blank_rows_do_not_shift_the_place(tmp_path: Path) -> None:
    """Rows after a blank row keep their own line."""
    tables = changed("passes", 3, "field", "Crik")
    tables["passes"].insert(1, [""] * 9)

    assert said(_checked(tmp_path, tables)[1]) == [("unknown-name", 4, "field")]


@pytest.mark.parametrize("table", ["fields", "products", "mixes", "sprayers", "passes"])
def test_required_tables_without_rows(tmp_path: Path, table: str) -> None:
    """A required table that has only its header is reported once, and references to it are not."""
    _, problems = _checked(tmp_path, farm(**{table: FARM[table][:1]}))

    assert [problem.code for problem in problems if problem.is_error] == ["empty-table"]
    assert f"{table}.csv" == problems[0].file


def test_a_table_reported_missing_is_not_reported_again(tmp_path: Path) -> None:
    """What reading has said, checking does not repeat."""
    tables = farm()
    del tables["products"]
    inputs, _ = read_source(write_folder(tmp_path / "farm", tables), TABLES)

    assert check_inputs(inputs, TABLES)[1] == []


def test_inputs_made_in_memory() -> None:
    """Inputs that were never read are checked by table and row, missing tables and columns included."""
    inputs = Inputs(
        {"products": [{"product": "Test Burner"}],
         "mixes": [{}, {"mix": "Burndown", "product": "Test Wetter"}]}
    )

    _, problems = check_inputs(inputs, (PRODUCTS, MIXES))

    assert {"missing-column", "unknown-name"} == set(codes(problems))
    unknown = next(problem for problem in problems if problem.code == "unknown-name")
    assert (unknown.sheet, unknown.row, unknown.column) == ("Mixes", 2, "Product")
    assert codes(check_inputs(replace(inputs, tables={}), (PRODUCTS,))[1]) == ["missing-table"]


def test_a_group_that_is_missing_is_looked_up_but_not_taken(tmp_path: Path) -> None:
    """A herbicide without its group is an error that tells what the list has for the ingredient:
    the label counts, so nothing is filled in.
    """
    tables = changed("ingredients", 2, "mode_group", "")
    place = tables["ingredients"][0].index("active_ingredient")
    name = tables["ingredients"][1][place]
    tables["ingredients"][1][place] = f"{name} potassium salt"
    _, problems = _checked(tmp_path, tables)

    [problem] = [problem for problem in problems if problem.is_error]
    assert problem.code == "required-blank"
    assert ((name, problem.fix) == ("glyphosate",
                                    "Type the HRAC number from the label; 0 where the mode of action is "
                                    "unknown. The list has 9 for it; the label counts"))


def test_what_is_wrong_first_is_told_first() -> None:
    """A product typed twice under one name leaves rows of other tables without theirs:
    the double name, which has to be mended, is told before what it breaks.
    """
    farm = small_farm()
    tables = {**farm.tables, "products": [farm.tables["products"][0], dict(farm.tables["products"][0])],
              "mixes": [{**farm.tables["mixes"][0], "product": "Other"}],
              "ingredients": [{**farm.tables["ingredients"][0], "product": "Other"}]}
    _, problems = check_inputs(replace(farm, tables=tables), TYPED_TABLES)

    assert ([problem.code for problem in errors_in(problems)]
            == ["duplicate-key", "unknown-name", "unknown-name"])


def test_a_field_nobody_knows_is_told_once() -> None:
    """A pass on a field that is not in the table is no choice for the sheets that show one pass."""
    farm = small_farm(load_choice={})
    tables = {**{key: rows for key, rows in farm.tables.items() if not key.endswith("_choice")},
              "passes": [{**farm.tables["passes"][0], "field": "Nroth"}]}
    _, problems = checked(replace(farm, tables=tables), [])

    assert [(problem.sheet, problem.column) for problem in errors_in(problems)] == [("Passes", "Field")]


def test_a_pass_may_be_renamed_in_a_built_book() -> None:
    """The sheets that were left to show a pass under its earlier name warn and show the first pass:
    what was only looked at stops no build.
    """
    farm = small_farm(passes={"method": "spot", "sprayed_share": 0.2})
    farm = replace(farm, tables={**farm.tables, "passes": [{**farm.tables["passes"][0], "pass": "Renamed"}]})
    inputs, problems = checked(farm, [])

    assert errors_in(problems) == []
    assert {problem.code for problem in problems} == {"unknown-name"}
    inputs = with_defaults(inputs)
    for choice in ("load_choice", "spot_load_choice", "record_choice"):
        assert (inputs.form(choice)["pass"], inputs.form(choice)["field"]) == ("Renamed", "North")
