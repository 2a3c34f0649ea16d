"""The reference lists: shipped rows are complete, unit factors agree with exact definitions."""

from __future__ import annotations

import csv
import re
from importlib import resources
from itertools import pairwise
from pathlib import Path

import pytest

from workbook_builder.core import units
from workbook_builder.core.inputs import Row
from workbook_builder.features.clock.columns import TIME_ZONES
from workbook_builder.features.farm.settings import ADDING_STEPS
from workbook_builder.features.jar.columns import JARS
from workbook_builder.features.nozzles.inputs import DROPLETS, NOZZLE_SIZES
from workbook_builder.features.products.inputs import CONTENT_UNITS, KINDS, LIMIT_UNITS, OTHER_PESTICIDES
from workbook_builder.features.reference import data as reference_data
from workbook_builder.features.reference.columns import TABLES as REFERENCE_TABLES
from workbook_builder.features.reference.data import form_of
from workbook_builder.features.shares.columns import SPOT_FACTORS
from workbook_builder.features.shares.inputs import CONTACT_GROUPS
from workbook_builder.features.shipped import shipped_rows

SYSTEMS = ("us", "metric")
TABLES = {table.key: table for table in (*REFERENCE_TABLES, ADDING_STEPS, SPOT_FACTORS, CONTACT_GROUPS,
                                         TIME_ZONES, JARS, NOZZLE_SIZES, DROPLETS)}


def by(rows: list[Row], key: str) -> dict[str, Row]:
    """Return rows keyed by one of their columns."""
    return {str(row[key]): row for row in rows}


def steps() -> dict[tuple[str, str], int]:
    """Return the shipped mixing order rules by kind and formulation."""
    return {(row["kind"], row["formulation"] or ""): row["step"] for row in reference_data.adding_steps()}


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("table", sorted(reference_data.SOURCES))
def test_rows_have_the_declared_keys(table: str, system: str) -> None:
    """Every row of every list has exactly the keys its table declares."""
    rows = shipped_rows(system)[table]
    assert rows
    assert all(tuple(row) == tuple(TABLES[table].by_key) for row in rows)


def test_every_group_has_a_name() -> None:
    """The groups of the active ingredients and of the old numbers are all named."""
    named = {row["mode_group"] for row in reference_data.group_names()}
    assert len(named) == 26 + 111
    assert {row["mode_group"] for row in reference_data.active_list()} <= named
    assert {row["new_group"] for row in reference_data.old_groups()} - {None} <= named


def test_active_ingredients_say_how_sure_they_are() -> None:
    """Each of the 234 active ingredients appears once, with a standing and a source."""
    rows = reference_data.active_list()
    assert len(by(rows, "active_ingredient")) == len(rows) == 234
    assert {row["standing"] for row in rows} == {"found", "from memory", "conflict noted"}
    assert all(row["source"] and row["family"] for row in rows)
    assert all("from memory" in row["source"].lower() for row in rows if row["standing"] == "from memory")


def test_old_numbers_are_counted_as_published() -> None:
    """Retired numbers map as published, and 11 and 26 are left to the ingredient."""
    mapped = {row["old_group"]: row["new_group"] for row in reference_data.old_groups()}
    assert mapped == {7: 5, 8: 15, 11: None, 16: 15, 17: 0, 20: 29, 21: 29, 25: 0, 26: None}
    assert not set(mapped) & {row["mode_group"] for row in reference_data.group_names()}


def test_adding_steps_keep_what_every_sequence_agrees_on() -> None:
    """Dry before flowable before emulsion before surfactant,
    bags before any salt or fertilizer and drift agent last.
    """
    step = steps()
    assert step["herbicide", "WP"] <= step["herbicide", "WG"]
    assert all(step["herbicide", code] < step["herbicide", "EC"] for code in ("WP", "WG", "SC"))
    assert step["adjuvant", "SL"] >= step["herbicide", "EC"]
    herbicides = [number for (kind, _), number in step.items() if kind == "herbicide"]
    conditioners = [number for (kind, _), number in step.items() if kind == "water conditioner"]
    bags = {number for (_, code), number in step.items() if code.endswith("-SB")}
    salts = conditioners + [number for (kind, _), number in step.items() if kind == "fertilizer"]
    assert max(bags) < min(salts)
    assert max(conditioners) < min(herbicides)
    assert step["drift agent", ""] == max(step.values())


def test_adding_steps_take_the_stated_side_where_guides_differ() -> None:
    """Solutions go before emulsions, oils after them, and capsules with flowables."""
    step = steps()
    assert (step["herbicide", "SL"] < step["herbicide", "EC"] < step["adjuvant", "EC"]
            <= step["adjuvant", "SL"])
    assert step["herbicide", "CS"] == step["herbicide", "SC"]


def test_adding_steps_are_complete_and_short() -> None:
    """Every kind has a fallback row (other pesticides that of herbicides,
    foliar fertilizer that of fertilizer), codes are known, steps are 0 to 15 and reasons are short.
    """
    rows = reference_data.adding_steps()
    codes = set(by(reference_data.formulation_codes(), "code"))
    assert ({row["kind"] for row in rows if row["formulation"] is None} == set(KINDS)
            - {*OTHER_PESTICIDES, "foliar fertilizer"})
    assert {row["formulation"] for row in rows} - {None} <= codes
    assert all(0 <= row["step"] <= 15 and row["dry"] in ("yes", "bag", "no") for row in rows)
    assert all(row["reason"].endswith(".") and len(row["reason"]) < 90 for row in rows)
    assert all(earlier["step"] <= later["step"] for earlier, later in pairwise(rows))


@pytest.mark.parametrize(
    ("system", "unit", "expected"),
    [
        ("us", "fl oz", 1), ("us", "pt", 16), ("us", "qt", 32), ("us", "gal", 128), ("us", "lb", 16),
        ("us", "oz", 1),
        ("us", "L", 1000 / 29.5735295625), ("us", "kg", 1000 / 28.349523125),
        ("metric", "L", 1000), ("metric", "mL", 1), ("metric", "kg", 1000), ("metric", "g", 1),
        ("metric", "gal", 3785.411784), ("metric", "lb", 453.59237),
    ],
)
def test_amount_units_hold_exact_base_units(system: str, unit: str, expected: float) -> None:
    """An amount unit holds as many base units as its definition says."""
    assert by(reference_data.unit_list(system), "unit")[unit]["to_base"] == pytest.approx(expected, rel=1e-11)


@pytest.mark.parametrize(
    ("system", "unit", "per_area", "per_volume", "to_base"),
    [
        ("us", "pt/ac", 16, 0, 16), ("us", "lb/ac", 16, 0, 16), ("us", "oz/ac", 1, 0, 1),
        ("us", "% v/v", 0, 1.28, 1), ("us", "lb/100 gal", 0, 0.16, 16), ("us", "fl oz/100 gal", 0, 0.01, 1),
        ("metric", "L/ha", 1000, 0, 1000), ("metric", "g/ha", 1, 0, 1), ("metric", "% v/v", 0, 10, 1),
        ("metric", "kg/100 L", 0, 10, 1000), ("metric", "mL/100 L", 0, 0.01, 1),
    ],
)
def test_rate_units_give_base_units(
    system: str, unit: str, per_area: float, per_volume: float, to_base: float
) -> None:
    """A rate of 1 gives the base units per area, or per spray volume, worked by hand."""
    row = by(reference_data.rate_units(system), "rate_unit")[unit]
    assert ((row["per_area"], row["per_volume"], row["to_base"])
            == pytest.approx((per_area, per_volume, to_base)))


@pytest.mark.parametrize("system", SYSTEMS)
def test_rate_units_keep_the_order_of_the_drop_down(system: str) -> None:
    """Rate units stand in the order people see, and each counts by area, by volume or by active ingredient,
    and by one alone.
    """
    rows = reference_data.rate_units(system)
    assert [row["rate_unit"] for row in rows] == units.rate_units(system)
    assert all(sum(row[key] != 0 for key in ("per_area", "per_volume", "per_mass")) == 1 for row in rows)


@pytest.mark.parametrize(
    ("system", "unit", "counts", "phase", "expected"),
    [
        ("us", "lb ae/gal", "ae", "liquid", 1 / 128), ("us", "% w/w", "", "dry", 0.01 / 16),
        ("us", "g/L", "", "liquid", 29.5735295625 / 1000 / 453.59237), ("us", "g/kg", "", "dry", 0.001 / 16),
        ("metric", "g ai/L", "ai", "liquid", 1e-6), ("metric", "g/kg", "", "dry", 1e-6),
        ("metric", "% w/w", "", "dry", 1e-5),
        ("metric", "lb ai/gal", "ai", "liquid", 0.45359237 / 3785.411784),
    ],
)
def test_content_units_give_mass_per_base_unit(
    system: str, unit: str, counts: str, phase: str, expected: float
) -> None:
    """Content 1 gives the mass of ingredient per base unit of product worked by hand."""
    row = by(reference_data.content_units(system), "content_unit")[unit]
    assert row["counts"] == counts
    assert row["phase"] == ("" if unit == "% w/w" else phase)
    assert row["factor"] == pytest.approx(expected, rel=1e-11)


@pytest.mark.parametrize(
    ("system", "unit", "counts", "expected"),
    [
        ("us", "lb ae/ac", "ae", 1), ("us", "oz ai/ac", "ai", 1 / 16),
        ("us", "kg/ha", "", 0.40468564224 / 0.45359237),
        ("metric", "kg ai/ha", "ai", 1), ("metric", "g/ha", "", 0.001),
        ("metric", "lb/ac", "", 0.45359237 / 0.40468564224),
    ],
)
def test_limit_units_become_plan_units(system: str, unit: str, counts: str, expected: float) -> None:
    """A limit of 1 becomes pounds per acre or kilograms per hectare."""
    row = by(reference_data.limit_units(system), "unit")[unit]
    assert row["counts"] == counts
    assert row["factor"] == pytest.approx(expected, rel=1e-10)


@pytest.mark.parametrize("system", SYSTEMS)
def test_lists_cover_the_units_people_may_type(system: str) -> None:
    """Every declared amount, content and limit unit has its row."""
    assert [row["unit"] for row in reference_data.unit_list(system)] == list(units.AMOUNT_UNITS)
    assert [row["content_unit"] for row in reference_data.content_units(system)] == list(CONTENT_UNITS)
    assert [row["unit"] for row in reference_data.limit_units(system)] == list(LIMIT_UNITS)


def test_factors_are_the_textbook_ones() -> None:
    """Divisors are 8.25 and 10; splits use 128, 32, 16 and 1000.

    Metric has no middle unit, so its step never fills.
    """
    (us,), (metric,) = reference_data.factors("us"), reference_data.factors("metric")
    numbers = ("work_rate_divisor", "liquid_step_1", "liquid_step_2", "dry_step_1", "base_per_volume",
               "dry_base_per_density")
    assert [us[key] for key in numbers] == [8.25, 128, 32, 16, 128, 0.125]
    assert [metric[key] for key in numbers] == [10, 1000, 1000, 1000, 1000, 1]
    assert (us["mass_unit"], metric["mass_unit"]) == ("lb/ac", "kg/ha")


def test_shipped_lists_can_be_changed_without_harm() -> None:
    """Changing a returned row does not change what the next caller gets."""
    reference_data.adding_steps()[0]["step"] = 99
    assert reference_data.adding_steps()[0]["step"] == 0


def test_shipped_files_have_no_stray_lines() -> None:
    """Every shipped list has full lines and no duplicate first column where that is the key."""
    folder = resources.files("workbook_builder").joinpath("data")
    for name in ("active_ingredients.csv", "herbicide_groups.csv", "old_groups.csv", "formulation_codes.csv"):
        lines = list(csv.reader(folder.joinpath(name).read_text("utf-8").splitlines()))
        assert {len(line) for line in lines} == {len(lines[0])}
        assert len({line[0] for line in lines}) == len(lines)


PUBLISHED = sorted((Path(__file__).parent / "published").glob("*.csv"))


def published(path: Path) -> list[dict[str, str]]:
    """Return the rows of one file of published check values."""
    return list(csv.DictReader(path.read_text("utf-8").splitlines()))


@pytest.mark.parametrize("path", PUBLISHED, ids=lambda path: path.stem)
def test_published_values_are_well_formed(path: Path) -> None:
    """Every check value has key=value inputs and answers, a tolerance, a source and a known grade."""
    for row in published(path):
        assert list(row) == ["id", "topic", "inputs", "expected", "tolerance", "source", "grade"]
        assert all(re.fullmatch(r"[a-z0-9_]+=[^=;]+", pair) for pair in row["expected"].split(";")), row["id"]
        assert all(re.fullmatch(r"([a-z0-9_]+=[^=;]+)?", pair)
                   for pair in row["inputs"].split(";")), row["id"]
        assert re.fullmatch(r"exact|(abs|rel)=[0-9.e-]+", row["tolerance"])
        assert row["source"]
        assert row["grade"] in {"found", "found second hand", "found-inputs", "computed",
                                "from memory", "derived"}


def test_published_values_are_many_and_unique() -> None:
    """There are over a thousand check values, each with an id of its own."""
    ids = [row["id"] for path in PUBLISHED for row in published(path)]
    assert len(ids) == len(set(ids)) > 1000


def test_group_lists_agree_with_published_groups() -> None:
    """The shipped groups of active ingredients and of old numbers equal the published check values."""
    actives = {row["active_ingredient"]: str(row["mode_group"]) for row in reference_data.active_list()}
    old = {str(row["old_group"]): row["new_group"] for row in reference_data.old_groups()}
    compared = 0
    for row in published(next(path for path in PUBLISHED if path.stem == "labels_groups")):
        key, _, name = row["inputs"].partition("=")
        value = row["expected"].partition("=")[2]
        if key == "active_ingredient":
            assert actives[name] == value
        elif key == "old_group":
            assert str(old[name]) == value.replace("depends on the ingredient", "None")
        compared += key in ("active_ingredient", "old_group")
    assert compared >= 30


def test_a_product_is_liquid_or_dry_by_its_formulation_first() -> None:
    """What a formulation says goes before how the product is sold; where neither says, nobody knows."""
    told = [form_of(product)
            for product in ({"formulation": "EC"}, {"formulation": "WG", "package_unit": "gal"},
                            {"package_unit": "lb"}, {"package_unit": "gal"}, {})]

    assert told == ["liquid", "dry", "dry", "liquid", ""]
