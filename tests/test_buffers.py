"""Exclusion zones by droplets and height, and the downwind buffer that a label wants."""

from __future__ import annotations

import re
from typing import Any
from xml.etree import ElementTree

import pytest
from agreement import differences
from printing_help import plain
from small_farm import first, small_farm, small_plan

from workbook_builder.features import VIEWS
from workbook_builder.features.buffers.definitions import WINDS, downwind, exclusion_zone
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.posting import posting_notices

CFR = ("40 CFR 170.405(a)(1), current text, final rule effective 3 December 2024 (found); cases computed "
       "from it")
MEDIUM, FINE, COARSE = 4, 3, 5


@pytest.mark.parametrize(("discharge", "droplets", "height", "zone"), [
    ("boom", COARSE, 20, 25), ("boom", FINE, 20, 100), ("", COARSE, 8, 0), ("boom", FINE, 8, 100),
    ("aircraft", COARSE, 120, 100), ("boom", MEDIUM, 12, 0),
    ("boom", MEDIUM, 12.1, 25), ("air blast", COARSE, 8, 100), ("fog", COARSE, 8, 100), ("boom", "", 8, 100),
    ("boom", COARSE, "", 25),
])
def test_exclusion_zone(discharge: str, droplets: Any, height: Any, zone: float) -> None:
    """The zone by the rule, exactly at 12 inches too; what is not known never narrows it."""
    assert exclusion_zone(discharge, droplets, height, 100, 25, 12) == zone, CFR


def test_the_zone_follows_the_nozzle_of_the_pass() -> None:
    """A nozzle that makes coarse droplets at the pressure of the pass narrows the zone,
    in feet and in metres.
    """
    nozzle = {"sprayer": "Boom", "nozzle": "Coarse one", "size": "04", "spacing": 20.0, "low_pressure": 5.0,
              "high_pressure": 200.0, "droplet": "C"}
    zones = [
        first(small_plan(nozzles=cells, sprayers={"speed": 12.0, "boom_width": 90.0,
                                                  "release_height": height}), "buffers")["exclusion_zone"]
        for cells, height in ((nozzle, 20.0), ({**nozzle, "droplet": "F"}, 20.0), (nozzle, 12.0), ({}, 12.0))
    ]

    assert zones == [25, 100, 0, 100]
    assert first(small_plan("metric"), "buffers")["exclusion_zone"] == pytest.approx(30.48)


@pytest.mark.parametrize("kind", ["herbicide", "insecticide", "fungicide", "growth regulator"])
def test_every_pesticide_has_a_zone(kind: str) -> None:
    """The zone is that of every kind of pesticide; a mix without one has none."""
    assert first(small_plan(products={"kind": kind}), "buffers")["exclusion_zone"] == 100
    assert first(small_plan(products={"kind": "adjuvant"},
                            ingredients={"product": None, "active_ingredient": None}),
                 "buffers")["exclusion_zone"] == ""


@pytest.mark.parametrize(("kept", "status"), [(None, "Not entered"), (239, "Not allowed"), (240, "OK")])
def test_downwind_buffer(kept: float | None, status: str) -> None:
    """A buffer of 240 ft (label of 2020, Hartzler, Iowa State Univ.

    Extension, found) against what is left unsprayed.
    """
    plan = small_plan(weather_limits={"product": "Product", "buffer_distance": 240},
                      passes={"wind_from": "SW", "buffer_kept": kept})
    (row,) = VIEWS["buffers"](plan)

    assert (row["status"], row["downwind_buffer"], row["downwind_side"]) == (status, 240, "NE")
    assert first(small_plan(), "buffers")["status"] == ""
    assert [downwind(wind) for wind in WINDS] == ["S", "SW", "W", "NW", "N", "NE", "E", "SE"]


def test_the_notice_says_how_far_to_keep() -> None:
    """Who reads the notice at the field learns the zone, and the buffer with its side."""
    told = plain(posting_notices(small_plan(weather_limits={"product": "Product", "buffer_distance": 240},
                                            passes={"wind_from": "SW"}), Choice()))

    assert "Nobody nearer than 100 ft to the sprayer while it works" in told
    assert "Leave 240 ft unsprayed downwind (NE)" in told


@pytest.mark.parametrize(("wind", "edges"),
                         [("N", {"S"}), ("NE", {"S", "W"}), ("W", {"E"}), ("SE", {"N", "W"}), (None, set())])
def test_the_notice_draws_what_it_says(wind: str | None, edges: set[str]) -> None:
    """The sketch shades the edges of the field across from the wind, draws the zone around the sprayer,
    says that it is none to scale, and all of it in words too.
    """
    page = posting_notices(small_plan(weather_limits={"product": "Product", "buffer_distance": 240},
                                      passes={"wind_from": wind}), Choice())
    (drawn,) = (ElementTree.fromstring(text) for text in re.findall("<svg.*?</svg>", page, re.DOTALL))
    boxes = [{key: float(each.get(key)) for key in ("x", "y", "width", "height")}
             for each in drawn.iter("rect") if each.get("fill") == "#bbb"]
    field, *strips = [{key: float(each.get(key)) for key in ("x", "y", "width", "height")}
                      for each in drawn.iter("rect") if each.get("fill") == "#fff"] + boxes
    at_edge = {"N": lambda box: box["y"] == field["y"] and box["width"] == field["width"],
               "W": lambda box: box["x"] == field["x"] and box["height"] == field["height"],
               "S": lambda box: box["y"] + box["height"] == field["y"] + field["height"]
               and box["width"] == field["width"], "E": lambda box: box["x"] + box["width"] == field["x"]
               + field["width"] and box["height"] == field["height"]}

    assert {edge for edge, lies in at_edge.items() if any(map(lies, strips))} == edges
    assert {"North", "nobody within 100 ft", f"240 ft {'unsprayed' if wind else 'downwind'}",
            "sketch, not to scale", f"wind {wind or '?'}"} <= {each.text for each in drawn.iter("text")}
    assert drawn.get("role") == "img"
    assert ("240 ft unsprayed along "
            + (f"its downwind side, {downwind(wind)}" if wind else "the downwind side, which is not known")
            in str(drawn.get("aria-label")))


def test_no_sketch_where_there_is_nothing_to_keep_off() -> None:
    """A mix without a pesticide has no zone and no sketch, and a name is never markup."""
    assert "<svg" not in posting_notices(small_plan(products={"kind": "adjuvant"},
                                                    ingredients={"product": None, "active_ingredient": None}),
                                         Choice())
    assert "<b>&" not in posting_notices(small_plan(fields={"field": "<b>&"}, passes={"field": "<b>&"}),
                                         Choice())


def test_the_engine_agrees_on_buffers() -> None:
    """Sheet and plan agree with a buffer, a wind and a nozzle, and without."""
    farm = small_farm(weather_limits={"product": "Product", "buffer_distance": 110},
                      passes={"wind_from": "W", "buffer_kept": 90},
                      sprayers={"release_height": 20.0, "discharge": "boom", "speed": 12.0})

    assert differences(farm, "IronCalc") == []
