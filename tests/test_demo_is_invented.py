"""The demo farms are nobody's: no label figure of theirs is a published one,
and no product can be a registered one.
"""

from __future__ import annotations

import re
from collections import Counter
from functools import cache

import pytest
from demo_csv import FARMS, load
from label_figures import OF_ANY, PUBLISHED, Figure, of_demo, published, same
from oracles.rows import all_rows

from workbook_builder.features import BY_KEY
from workbook_builder.features.products.inputs import PESTICIDES
from workbook_builder.features.reference import data as reference_data

#: Figures the program itself stands in with; a demo that typed them would show nothing of its own.
SETTINGS = BY_KEY["assumptions"].by_key


@cache
def found() -> tuple[Figure, ...]:
    """Return the published figures, looked for once and not by a process that only hands tests out."""
    return tuple(published(all_rows()))


def own_figures() -> tuple[Figure, ...]:
    """Return the figures that the program offers where a label states none."""
    wind = [Figure("", "mph", float(SETTINGS[key].default_in("us")), key)
            for key in ("wind_low", "wind_high")]
    sulfate = reference_data.reference_rows("us")["agronomy_factors"][0]["usual_ams_floor"]
    return (*wind, Figure("", "lb/100 gal", float(sulfate), "usual_ams_floor"))


@pytest.mark.parametrize("folder", FARMS)
def test_no_label_figure_is_a_published_one(folder: str) -> None:
    """No strength, rate, limit, interval or weather limit of a demo product is one published for its
    ingredient, whatever the crop.
    """
    taken = {(figure.where, other.where) for figure in of_demo(load(folder))
             for other in (*found(), *own_figures()) if same(figure, other)}

    assert taken == set()


def test_published_figures_of_every_kind_are_compared() -> None:
    """Each kind has published figures, and the farms have figures of each,
    so that a renamed key leaves nothing out unseen.
    """
    kinds = {kind for _, kind, _ in PUBLISHED} | {"days to planting", "months to planting"}
    demo = Counter(figure.kind for folder in FARMS for figure in of_demo(load(folder)))

    assert kinds - {figure.kind for figure in found()} == set()
    assert kinds - set(demo) == set()
    assert ({figure.active for figure in found() if figure.kind not in OF_ANY}
            >= {"glyphosate", "2,4-d", "dicamba", "atrazine", "paraquat", "clethodim"})


@pytest.mark.parametrize(
    ("table", "product", "column", "value", "row"),
    [
        ("ingredients", "Bentazon 3.5 SL", "content", "4", "mixing-T22-bentazon"),
        ("label_limits", "Glyphosate 4.3 SL", "phi_days", "7", "labels-F26"),
        ("label_limits", "Two-way premix", "max_rate", "2.2069", "labels-F03"),
        ("plant_back", "Dicamba 3.2 SL", "interval", "15", "labels-B22-sorghum"),
        ("products", "Clethodim 1.8 EC", "rainfast_hours", "1", "labels-RF1"),
        ("weather_limits", "Dicamba 3.2 SL", "buffer_distance", "240", "labels-C16-240"),
        ("mixes", "AMS dry", "rate", "17", "mixing-A6"),
    ],
)
def test_a_published_figure_would_be_seen(table: str, product: str, column: str, value: str,
                                          row: str) -> None:
    """A published figure typed into the demo is named beside the row that states it."""
    farm = load("demo")
    line = next(line for line in farm[table] if line["product"] == product)
    line[column] = value

    assert row in {other.where for figure in of_demo(farm) for other in found() if same(figure, other)}


@pytest.mark.parametrize("folder", FARMS)
def test_registration_numbers_are_impossible(folder: str) -> None:
    """Every registration number begins with company 00000, which no company has (common practice,
    no source); adjuvants have none.
    """
    farm = load(folder)
    numbers = {line["product"]: line["registration_no"] for line in farm["products"]}

    assert all(re.fullmatch(r"00000-[0-9]{3}", number) for number in numbers.values() if number != "none")
    assert ({product for product, number in numbers.items() if number != "none"}
            == {line["product"] for line in farm["products"] if line["kind"] in PESTICIDES})
    assert (len({number for number in numbers.values() if number != "none"})
            == sum(number != "none" for number in numbers.values()))


@pytest.mark.parametrize("folder", FARMS)
def test_place_is_no_address(folder: str) -> None:
    """The farm lies at whole degrees, where the sun rises as it should and nobody lives in particular."""
    farm = load(folder)["farm"][0]

    assert float(farm["latitude"]).is_integer()
    assert float(farm["longitude"]).is_integer()
