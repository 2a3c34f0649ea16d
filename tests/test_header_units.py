"""Units in headers: the column's own, another that is converted with a note, or a problem.

Never another one taken for it.
"""

from __future__ import annotations

import csv
import random
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any
from unicodedata import normalize

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_read_builders import TABLES, changed, codes, farm, said, write_book, write_folder

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.quantities import METRIC, QUANTITIES, SYSTEMS, US
from workbook_builder.core.units import registry
from workbook_builder.features import TYPED_TABLES
from workbook_builder.layout.guides import title_with_unit
from workbook_builder.read import read_source
from workbook_builder.read.cells import Reading, Remark, read_cell
from workbook_builder.read.header_units import readings_of
from workbook_builder.read.unit_words import SPELLINGS, conversion, unit_readings

TYPED = [(table, column) for table in TYPED_TABLES for column in table.columns if column.typed]
#: Kinds of typed numbers that have a unit in their header.
MEASURES = sorted({column.quantity for _, column in TYPED if QUANTITIES[column.quantity].us
                   and QUANTITIES[column.quantity].form in ("number", "whole")})


def read_under(unit: str, kind: str, value: Any, system: str = US,
               currency: str = "$") -> tuple[Any, list[Remark]]:
    """Return what a number becomes under a header with this unit, and all that is said."""
    column = Column("x", "Quantity", kind)
    readings, remarks = readings_of(Table("t", "T", "", (column,)), {"x": f"Quantity ({unit})"},
                                    Reading(system=system, currency=currency))
    read, said = read_cell(value, column, readings["x"])
    return read, [remark for _, remark in remarks] + said


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("currency", ["$", "EUR", "kr"])
def test_headers_of_our_own_say_nothing(system: str, currency: str) -> None:
    """Every header that the program prints is read as the column's own unit, without a word."""
    for table, column in TYPED:
        readings, remarks = readings_of(table, {column.key: title_with_unit(column, system, currency)},
                                        Reading(system=system, currency=currency))
        assert remarks == []
        assert readings[column.key].conversion is None


#: table, header, what it stands for, cell, value read, code; hand-worked from the definitions of NIST SP 811
#: App. B (from memory).
FOREIGN = [
    ("fields", "Area (hectares)", "area", "40", 98.842152587, "unit-converted"),
    ("fields", "Area [Ha]", "area", "40", 98.842152587, "unit-converted"),
    ("passes", "Carrier (litres/ha)", "carrier", "100", 10.690663667, "unit-converted"),
    ("passes", "Carrier (L ha\u207b\u00b9)", "carrier", "100", 10.690663667, "unit-converted"),
    ("passes", "Carrier (GPA)", "carrier", "10", 10, ""),
    ("passes", "Carrier (gallons per acre)", "carrier", "10", 10, ""),
    ("passes", "Carrier (psi)", "carrier", "10", 10, "unit-mismatch"),
    ("passes", "Carrier (buckets/ac)", "carrier", "10", 10, "unknown-unit"),
    ("passes", "Sprayed share (%)", "sprayed_share", "30", 0.3, ""),
    ("passes", "Sprayed share (fraction)", "sprayed_share", "0.3", 0.3, ""),
    ("sprayers", "Speed (kph)", "speed", "16.09344", 10, "unit-converted"),
    ("sprayers", "Speed (MPH)", "speed", "10", 10, ""),
    ("sprayers", "Main tank (imp gal)", "main_tank", "1000", 1200.949925505, "unit-converted"),
    ("sprayers", "Cost per hour (\u20ac/h)", "cost_per_hour", "90", 90, "currency-mismatch"),
    ("sprayers", "Cost per area ($/ha)", "cost_per_area", "10", 4.0468564224, "unit-converted"),
    ("products", "Density (kg/L)", "density", "1.2", 10.0144853424, "unit-converted"),
    ("products", "REI hours (days)", "rei_hours", "2", 48, "unit-converted"),
    ("products", "Package size (L)", "package_size", "10", 10, "unit-mismatch"),
    ("label_limits", "PHI days (weeks)", "phi_days", "2", 14, "unit-converted"),
    ("label_limits", "PHI days (h)", "phi_days", "36", None, "not-whole"),
]


@pytest.mark.parametrize(("table", "header", "key", "cell", "value", "code"), FOREIGN,
                         ids=[case[1] for case in FOREIGN])
def test_a_unit_in_a_header(tmp_path: Path, table: str, header: str, key: str, cell: str, value: float | None,
                            code: str) -> None:
    """A unit of the same measure is converted with a note, any other is a problem, in the row of the header.
    """
    tables = changed(table, 2, key, cell)
    by_key = {each.key: each for each in TABLES}[table].by_key
    at = tables[table][0].index(key)
    # The header names the column by its own printed title.
    written = f"{by_key[key].header} {header[header.index('(') if '(' in header else header.index('[') :]}"
    tables[table][0][at] = written

    inputs, problems = read_source(write_folder(tmp_path / "farm", tables), TABLES)

    found = [problem for problem in problems if problem.column == written]
    assert ({code} - {""}) <= {problem.code for problem in found}
    assert all(problem.row == 1 for problem in found if problem.code != "not-whole")
    assert ([problem.is_error for problem in found if problem.code == code]
            == [code != "unit-converted"] * bool(code))
    assert inputs.rows(table)[0][key] == (pytest.approx(value, rel=1e-9) if value is not None else None)


#: kind, system, unit, number, number in the column's unit; temperatures are the fixed points of water and the
#: body.
TEMPERATURES = [
    ("temperature", US, "\u00b0C", 100, 212.0), ("temperature", US, "deg. Celsius", 0, 32.0),
    ("temperature", METRIC, "F", 98.6, 37.0),
    ("temperature", METRIC, "K", 273.15, 0.0), ("temperature", US, "c", -40, -40.0),
    ("delta_t", US, "deg F", 18, 10.0), ("delta_t", METRIC, "K", 4, 4.0),
]


@pytest.mark.parametrize(("kind", "system", "unit", "number", "expected"), TEMPERATURES)
def test_temperatures(kind: str, system: str, unit: str, number: float, expected: float) -> None:
    """Temperatures are converted with their zero, differences of temperature without it."""
    assert read_under(unit, kind, number, system)[0] == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(("kind", "unit", "number", "expected"), [
    ("latitude", "deg S", 33.5, -33.5), ("longitude", "\u00b0W", 101.25, -101.25),
    ("latitude", "degrees", 48.0, 48.0), ("longitude", "\u00b0 east", 9.5, 9.5),
])
def test_places_on_the_globe(kind: str, unit: str, number: float, expected: float) -> None:
    """Degrees south and west become negative degrees north and east."""
    assert read_under(unit, kind, number)[0] == expected


@pytest.mark.parametrize(("unit", "currency", "number", "expected", "code"), [
    ("EUR/ha", "EUR", 10, 4.0468564224, "unit-converted"), ("\u20ac/ac", "EUR", 10, 10, ""),
    ("$ per acre", "$", 10, 10, ""), ("per ac", "$", 10, 10, ""),
    ("USD/ac", "$", 10, 10, "currency-mismatch"), ("$/ac", "EUR", 10, 10, "currency-mismatch"),
    ("$", "$", 10, 10, "unit-mismatch"),
    ("$/1000 ac", "$", 10, 0.01, "unit-converted"), ("$/h", "$", 10, 10, "unit-mismatch"),
    ("cents/ac", "$", 10, 10, "currency-mismatch"),
])
def test_money_in_a_header(unit: str, currency: str, number: float, expected: float, code: str) -> None:
    """Money is converted by what it is counted per, never from one currency to another."""
    read, remarks = read_under(unit, "money_per_area", number, currency=currency)

    assert read == pytest.approx(expected, rel=1e-12)
    assert [remark.code for remark in remarks] == [code] * bool(code)


def test_a_book_that_starts_with_dollars(tmp_path: Path) -> None:
    """The headers of a fresh book count in $.

    A farm that then chooses another currency is told once that its amounts are taken as they stand.
    """
    tables = changed("farm", 2, "currency", "EUR")
    tables["products"][0][5] = "Package price ($)"
    tables["sprayers"] = [["sprayer", "main_tank", "Cost per hour ($/h)"], ["Big Boom", "1200", "90"]]

    inputs, problems = read_source(write_book(tmp_path / "book.xlsx", tables), TABLES)

    assert codes(problems) == ["currency-assumed"]
    assert inputs.rows("products")[0]["package_price"] == 62.5
    assert inputs.rows("sprayers")[0]["cost_per_hour"] == 90


def test_percent_that_may_be_a_share(tmp_path: Path) -> None:
    """Under a header in %, a bare number up to 1 may be meant either way,
    so it is a problem with both readings.
    """
    tables = changed("passes", 3, "sprayed_share", "0.3")
    tables["passes"][0][tables["passes"][0].index("sprayed_share")] = "sprayed_share (%)"

    inputs, problems = read_source(write_folder(tmp_path / "farm", tables), TABLES)

    assert ("ambiguous-number", 3, "sprayed_share (%)") in said(problems)
    assert inputs.rows("passes")[1]["sprayed_share"] is None
    assert problems[-1].fix == "Type 0.3 % or 30 %"


@pytest.mark.parametrize("beside", [True, False])
def test_the_farm_s_own_form_is_read_in_its_own_units(tmp_path: Path, beside: bool) -> None:
    """A form may give units in its labels or beside its values.

    Both are held against the units that the form itself chooses.
    """
    lines = [["farm", "North Bench"], ["season", "2026"], ["units", "metric"], ["patch_area", "2", "ac"]
             if beside else ["patch_area (ac)", "2"]]
    folder = write_folder(tmp_path / "farm", farm(farm=lines))

    inputs, problems = read_source(folder, TABLES)

    assert [(problem.code, problem.row) for problem in problems
            if problem.file == "farm.csv"] == [("unit-converted", 4)]
    assert inputs.form("farm")["patch_area"] == pytest.approx(0.80937128448, rel=1e-12)


def test_notes_beside_a_value_are_no_units(tmp_path: Path) -> None:
    """A word beside a value that is no unit is a note, and is passed over."""
    lines = [["farm", "North Bench", "by the creek"], ["season", "2026", "this year"], ["units", "us", "h"],
             ["patch_area", "2", "a guess"]]

    assert read_source(write_folder(tmp_path / "farm", farm(farm=lines)), TABLES)[1] == []


def published() -> Iterator[tuple[str, str, str, float, str]]:
    """Published factors between units."""
    with open(Path(__file__).with_name("published") / "mixing_units.csv", encoding="utf-8",
              newline="") as file:
        for row in csv.DictReader(file):
            given = dict(part.split("=") for part in row["inputs"].split(";"))
            of_matter = "water" in given.get("from", "") or "solution" in given.get("from", "")
            if set(given) == {"from", "to"} and row["expected"].startswith("factor=") and not of_matter:
                yield (row["id"], given["from"], given["to"], float(row["expected"].removeprefix("factor=")),
                       row["tolerance"])


PUBLISHED = list(published())


@pytest.mark.parametrize(("name", "written", "own", "factor", "tolerance"), PUBLISHED,
                         ids=[case[0] for case in PUBLISHED])
def test_published_factors(name: str, written: str, own: str, factor: float, tolerance: str) -> None:
    """What a header's unit is in another is what NIST and the extension services print (sources and grades
    beside each row).
    """
    found = conversion(written, own)

    kind, _, width = tolerance.partition("=")
    assert found is not None
    assert found.factor == pytest.approx(factor, **{kind: float(width)} if width else {"rel": 1e-12})


def test_there_are_published_factors() -> None:
    """Enough factors are published for the check to mean something."""
    assert len(PUBLISHED) > 30


def spellings(name: str) -> list[str]:
    """Return a name of pint's as people may write it."""
    words = name.replace("_", " ")
    return [name, f" {name} ", f"{name}.", f"{name}s", name.upper(), name.capitalize(), f"1 {name}", words]


def expected_factor(name: str, kind: str, system: str) -> tuple[float, float] | None:
    """Return factor and offset by pint alone, None when it measures something else or does not run along a
    straight line.
    """
    units = registry()
    if units._units[name].is_logarithmic or units._units[name].name.startswith("delta_"):
        return None
    for own in (QUANTITIES[kind].unit(system), *(["mg/L"] if kind == "ppm" else [])):
        target = unit_readings(own)[0]
        if units.get_root_units(name)[1] == units.get_root_units(target.unit)[1]:
            zero, one = (float(units.Quantity(value, name).to(target.unit).magnitude) / target.scale
                         for value in (0.0, 1.0))
            return one - zero, 0.0 if kind == "delta_t" else zero
    return None


def judged(name: str, kind: str, system: str) -> None:
    """Assert that a number under a header with this unit is converted as pint converts it, or refused.

    Never taken as it stands.
    """
    own = QUANTITIES[kind].unit(system)
    expected = expected_factor(name, kind, system)
    for text in spellings(name):
        read, remarks = read_under(text, kind, 7_000_000.0, system)
        found = {remark.code for remark in remarks}
        if not found:
            # Nothing said: the unit must be the column's own.
            same = conversion(text, own, kind == "delta_t")
            alike = text.strip().casefold() == own.replace(" ", "").casefold()
            assert alike or (same is not None and same.changes_nothing), (text, own)
            assert read == 7_000_000.0
        elif (text == name and text.casefold() not in SPELLINGS and name.isidentifier()
              and normalize("NFKC", name) == name):
            assert ("unit-converted" in found) == (expected is not None), (text, own, remarks)
            if expected is not None and "not-whole" not in found:
                assert read == pytest.approx(7_000_000.0 * expected[0] + expected[1], rel=1e-9), (text, own)
        else:
            assert found & {"unit-converted", "unit-mismatch", "unknown-unit"}, (text, own, remarks)


@cache
def pint_names() -> list[str]:
    """Return every name, symbol and alias of a unit that pint knows and can read."""
    return sorted(name for name in registry()._units if _is_read(name))


def _is_read(name: str) -> bool:
    try:
        return bool(registry().parse_units(name)) or name == "dimensionless"
    except Exception:  # signs such as that of infinity, on which pint's own reading fails
        return False


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("kind", MEASURES)
def test_units_of_the_same_measure(kind: str, system: str) -> None:
    """Units of pint's list, a sample of those that measure the same and of those that do not:
    converted as pint does, or refused.
    """
    chosen = random.Random(f"{kind} {system}")
    alike = [name for name in pint_names() if expected_factor(name, kind, system) is not None]
    for name in {*chosen.sample(alike, min(6, len(alike))), *chosen.sample(pint_names(), 6)}:
        judged(name, kind, system)


@pytest.mark.nightly
@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("kind", MEASURES)
def test_every_unit_of_the_list(kind: str, system: str) -> None:
    """Every unit that pint knows, in eight spellings, above every kind of number."""
    for name in pint_names():
        judged(name, kind, system)


#: All that UTF-8 can say: told by its name, hypothesis would try every number there is first.
ANY_SIGN = st.characters(exclude_categories=["Cs"])
UNIT_TEXTS = st.one_of(
    st.text(ANY_SIGN, max_size=80),
    st.text(alphabet="abcghikmlLnoprstuyPHA0123456789/*^.-²³°% ()[]{}$€'\"_", max_size=40),
    st.lists(st.sampled_from([*SPELLINGS, "/", "per", "100", "sq", "cubic", "ha", "ai", "-1", "^2", "acre",
                              "€", "L"]), max_size=8).map(" ".join),
)


@settings(max_examples=300, deadline=None)
@given(unit=UNIT_TEXTS, kind=st.sampled_from(sorted(QUANTITIES)), system=st.sampled_from(SYSTEMS),
       value=st.sampled_from(["7", 7, 0.5, "30 %", None, "x"]))
def test_any_text_in_brackets(unit: str, kind: str, system: str, value: Any) -> None:
    """Whatever stands in brackets, a number with a unit is its own, converted by exactly what the note says,
    or refused; nothing crashes.
    """
    read, remarks = read_under(unit, kind, value, system)

    quantity = QUANTITIES[kind]
    inside = unit.strip()
    if (quantity.form in ("number", "whole") and quantity.us and value == 7 and inside
        and not {*"()[]"} & {*unit}):
        own = quantity.unit(system)
        found = (conversion(inside, own, kind == "delta_t")
                 or (conversion(inside, "mg/L") if kind == "ppm" else None))
        quiet = ("".join(inside.split()).casefold() == "".join(own.split()).casefold()
                 or inside.casefold() in ("optional", "required"))
        loud = {remark.code for remark in remarks} & {"unit-converted", "unit-mismatch", "unknown-unit"}
        assert loud or quiet or (found is not None and found.changes_nothing)
        if "unit-converted" in loud and read is not None:
            assert found is not None
            assert read == pytest.approx(found(7.0))


@settings(max_examples=100, deadline=None)
@given(header=st.text(ANY_SIGN, max_size=60), unit=UNIT_TEXTS)
def test_any_header(header: str, unit: str) -> None:
    """Any text may stand as a header of a table: reading ends, and every cell that is dropped is told."""
    from workbook_builder.read.grid import Grid
    from workbook_builder.read.rows import read_rows

    fields = {table.key: table for table in TABLES}["fields"]
    grid = Grid("fields.csv", "",
                [["field", f"Area ({unit})", "crop", header], ["Bench", "80", "fallow", "x"]], [1, 2])

    found = read_rows(grid, fields, Reading())

    [row] = found.rows
    said_of_area = [problem for problem in found.problems if "Area" in problem.column]
    assert row["area"] == 80 or said_of_area
    carried = {value for values in found.extras.values() for value in values}
    known = [key for key, value in row.items() if value == "x"]
    assert "x" in carried or known or found.problems


@pytest.mark.parametrize(("word", "unit", "number", "expected", "code"), [
    ("Acres", "", 80, 80, ""), ("Hectares", "", 40, 98.842152587, "unit-converted"),
    ("Acres", "ac", 80, 80, ""),
    ("Acres", "ha", 40, None, "unit-mismatch"), ("Hectares", "ac", 40, None, "unit-mismatch"),
    ("Hectares", "ha", 40, 98.842152587, "unit-converted"),
])
def test_titles_that_name_a_unit(word: str, unit: str, number: float, expected: float | None,
                                 code: str) -> None:
    """A title that is itself a unit counts as one, and brackets that say otherwise are a problem."""
    [(table, column)] = [(table, column) for table, column in TYPED if column.key == "evidence_area"]
    header = column.header.replace("Acres", word)
    readings, remarks = readings_of(table, {column.key: f"{header} ({unit})" if unit else header}, Reading())

    assert [remark.code for _, remark in remarks] == [code] * bool(code)
    if expected is not None:
        assert read_cell(number, column, readings[column.key])[0] == pytest.approx(expected, rel=1e-9)


def test_titles_that_say_what_a_number_is_counted_per() -> None:
    """Under a title such as Fuel per hour, brackets may hold the rest of the unit."""
    [(table, column)] = [(table, column) for table, column in TYPED if column.key == "fuel_per_hour"]
    readings, remarks = readings_of(table, {column.key: f"{column.header} (L)"}, Reading())

    assert [remark.code for _, remark in remarks] == ["unit-converted"]
    assert read_cell(3.785411784, column, readings[column.key])[0] == pytest.approx(1.0, rel=1e-9)
