"""The tab Spray map: what the command writes into a workbook, what stays, and what follows from it by hand.
"""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace
from importlib import resources
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from cli_help import run
from demo_maps import FOLDERS, demo_maps
from farms_strategy import build_small
from map_help import (
    PATCHES,
    PLAN,
    codes,
    csv_text,
    loads,
    logged,
    mapped,
    shape,
    simulated,
    spot_farm,
    told_of,
)

from workbook_builder.build import read_and_check
from workbook_builder.core.inputs import Inputs
from workbook_builder.features.spray_map import columns
from workbook_builder.features.spray_map.definitions import (
    lies,
    loads_finding,
    scout_day,
    sprayed_area,
    square,
)
from workbook_builder.features.spray_map.inputs import LOG_KINDS, NOTED, SIDE
from workbook_builder.maps.analysis import SQUARES
from workbook_builder.maps.into_book import with_map
from workbook_builder.maps.logs import KINDS
from workbook_builder.maps.passes import Analysis
from workbook_builder.planning import make_plan
from workbook_builder.theme import MAP_SHADES, contrast


@pytest.fixture(scope="module")
def analysis(tmp_path_factory: pytest.TempPathFactory) -> Analysis:
    """A pass over a field with two patches, by shares of nozzles."""
    return mapped(logged(tmp_path_factory.mktemp("log") / "log.csv", csv_text(simulated(drift=0.5))),
                  passed="Spot")


@pytest.mark.parametrize("units", ["metric", pytest.param("us", marks=pytest.mark.nightly)])
def test_the_shipped_maps_are_those_of_the_shipped_logs(units: str) -> None:
    """The maps in the invented farms are what mapping their simulated logs gives (made anew by ``python -m
    tests.demo_maps``).
    """
    folder = resources.files("workbook_builder") / "data" / FOLDERS[units]

    for file, text in demo_maps(units).items():
        assert (folder / file).read_text("utf-8") == text, file


def test_the_command_writes_the_tab(tmp_path: Path) -> None:
    """A workbook as target is a copy of the book with the map on its tab, of which JSON says the same.

    Notes and loads stay as they are in a second run.
    """
    (tmp_path / "book.xlsx").write_bytes(build_small(spot_farm()).data)
    (tmp_path / "log.csv").write_text(csv_text(simulated(drift=0.5)), "utf-8")
    ring = [[float(part) for part in point] for point in (*shape().rings[0], shape().rings[0][0])]
    (tmp_path / "fields.json").write_text(json.dumps({"type": "Feature", "properties": {"field": "North"},
                                                      "geometry": {"type": "Polygon",
                                                                   "coordinates": [ring]}}), "utf-8")
    asked = ("map", tmp_path / "log.csv", "--fields", tmp_path / "fields.json", "--book")
    first = run(*asked, tmp_path / "book.xlsx", "-o", tmp_path / "one.xlsx", "--json", tmp_path / "map.json")
    inputs, problems = read_and_check(tmp_path / "one.xlsx")
    rows = [dict(row) for row in inputs.rows("hot_spots")]
    rows[1].update(cause="drowned out", looked_on=dt.date(2026, 6, 8))
    (tmp_path / "noted.xlsx").write_bytes(build_small(replace(inputs,
                                                              tables={**inputs.tables,
                                                                      "hot_spots": rows})).data)
    second = run(*asked, tmp_path / "noted.xlsx", "-o", tmp_path / "two.xlsx", "--html")
    after, _ = read_and_check(tmp_path / "two.xlsx")
    planned = run("check", tmp_path / "two.xlsx", "--json", tmp_path / "plan.json")

    assert (first.exit_code, second.exit_code, planned.exit_code,
            problems) == (0, 0, 0, []), first.stderr + second.stderr
    assert "Load log: 1 row added" in first.stdout
    assert "Load log" not in second.stdout
    assert (tmp_path / "two_spray_map.html").is_file()
    assert [row.get("cause") for row in after.rows("hot_spots")] == [None, "drowned out"]
    assert list(after.filled("load_log")) == list(inputs.filled("load_log"))
    told, plan = (json.loads((tmp_path / name).read_text("utf-8")) for name in ("map.json", "plan.json"))
    assert told["map_passes"] == plan["map_passes"]
    assert [{**row, "cause": None, "looked_on": None} for row in plan["hot_spots"]] == told["hot_spots"]
    assert plan["map_recurrence"] == told["map_recurrence"] == []


def noted(inputs: Inputs, **cells: object) -> Inputs:
    """Return inputs whose first hot spot was typed into."""
    rows = [dict(row) for row in inputs.rows("hot_spots")]
    rows[0].update(cells)
    return replace(inputs, tables={**inputs.tables, "hot_spots": rows})


def test_notes_go_with_their_place(analysis: Analysis) -> None:
    """A note stays with the spot nearest its place, whatever its rank.

    One whose spot is gone keeps a row of its own, and that is said.
    """
    inputs, none = with_map(spot_farm(), analysis)
    moved = with_map(noted(inputs, cause="seep", rank=2, lat=inputs.rows("hot_spots")[0]["lat"] + 1e-4),
                     analysis)
    gone, said = with_map(noted(inputs, cause="seep", lat=41.5), analysis)

    assert none == moved[1] == []
    assert [row.get("cause") for row in moved[0].rows("hot_spots")] == ["seep", None]
    assert ([(row.get("rank"), row.get("cause")) for row in gone.rows("hot_spots")]
            == [(1, None), (2, None), (None, "seep")])
    assert [problem.code for problem in said] == ["map-spot-gone"]
    plan = make_plan(gone)
    assert [row["extra_sprayed"] == "" for row in plan.tables["hot_spot_facts"]] == [False, False, True]


def test_the_squares_are_those_of_the_pass(analysis: Analysis) -> None:
    """The squares of a map add up to the area driven and sprayed within 0.1 %, north on top,
    and none is left out.
    """
    told = told_of(analysis, sprayers={"boom_width": 30.0})
    row, made = told.plan.tables["map_checks"][0], analysis.passes[0]
    drawn = [cells[f"square_{number:02d}"] for cells in told.plan.tables["map_drawing"]
             for number in range(1, SIDE + 1)]

    assert row["squares_driven"] == pytest.approx(told.units.area(made.driven), rel=1e-3)
    assert row["squares_sprayed"] == pytest.approx(told.units.area(made.sprayed), rel=1e-3)
    assert max(made.squares.area.shape) <= SQUARES == SIDE
    hottest = max(range(len(drawn)), key=lambda at: drawn[at] or 0)
    assert any(spot["map_row"] - 2 <= hottest // SIDE + 1 <= spot["map_row"] + 2
               and abs(hottest % SIDE + 1 - spot["map_column"]) <= 2 for spot in told.spot_rows(made))
    # The first patch lies further north than the second.
    assert PATCHES[0].y > PATCHES[1].y
    north, south = sorted(told.spot_rows(made), key=lambda spot: -spot["lat"])
    assert north["map_row"] < south["map_row"]


def test_what_a_log_finds_is_told_where_it_is_put_right(analysis: Analysis) -> None:
    """A dead section goes to the tab Sprayer, a log to be looked at to its map,
    and hot spots nobody looked at to the early look.
    """
    dead = replace(analysis, passes=(replace(analysis.passes[0], dead=("3", "4")),))
    plan, sound = told_of(dead).plan, told_of(analysis, load_log=loads(37.4, 6.9)).plan
    inputs = told_of(dead).plan.inputs
    looked = make_plan(noted(inputs, looked_on=dt.date(2026, 6, 8)))

    causes = {row["cause"]: (row["where"], row["finding"]) for row in plan.tables["causes"] if row["count"]}
    assert causes["Log of a spot pass to be looked at"][0] == "Spray map"
    assert causes["Section of a sprayer that sprayed nothing"] == (
        "Sprayer", "Spot, North: section 3, 4 sprayed next to nothing: check nozzles, strainers and valve "
                   "before the next pass")
    assert (not {"Log of a spot pass to be looked at", "Section of a sprayer that sprayed nothing"}
            & {row["cause"] for row in sound.tables["causes"] if row["count"]})
    assert (plan.tables["follow_up"][0]["spots"], looked.tables["follow_up"][0]["spots"]) == (2, 1)
    assert plan.tables["follow_up"][0]["early_look"] == plan.tables["pass_times"][0]["last_day"] + 4
    assert make_plan(spot_farm()).tables["follow_up"][0]["early_look"] == ""


def test_the_boom_is_shifted_by_its_sprayer(tmp_path: Path) -> None:
    """How far the boom is behind the antenna is taken from the sprayer of the pass.

    Said on the command it holds instead, and nobody saying it is noted.
    """
    log = logged(tmp_path / "log.csv", csv_text(simulated()))
    by_plan = [mapped(log, plan=(replace(PLAN[0], behind=behind),)) for behind in (6.0, None)]
    by_word = mapped(log, behind=6.0)

    assert np.array_equal(by_plan[0].passes[0].grid.amount, by_word.passes[0].grid.amount)
    assert not np.array_equal(by_plan[1].passes[0].grid.amount, by_word.passes[0].grid.amount)
    assert ["log-antenna" in codes(found.problems) for found in (*by_plan, by_word)] == [False, True, False]


def test_history_takes_earlier_seasons(analysis: Analysis) -> None:
    """The log of an earlier season becomes a row of the history, once, and none of this season's does."""
    last = replace(analysis.passes[0], day="2025-06-04", earlier=True)
    inputs, _ = with_map(spot_farm(), replace(analysis, earlier=(last,)))
    again, _ = with_map(inputs, replace(analysis, earlier=(last,)))

    assert ([(row["season"], row["pass"], row["field"]) for row in inputs.rows("spot_history")]
            == [(2025, "Spot", "North")])
    assert inputs.rows("spot_history")[0]["share"] == pytest.approx(last.share, abs=1e-4)
    assert again.rows("spot_history") == inputs.rows("spot_history")


def test_sprayed_area_by_hand() -> None:
    """Nozzles tell their area; 90 gal at 9 gal/ac are 10 ac, metered or typed as loads.

    On and off alone tell none.
    """
    assert sprayed_area(12.5, 90, 90, 9) == 12.5
    assert sprayed_area("", 90, 180, 9) == 10
    assert sprayed_area("", "", 90, 9) == 10
    assert sprayed_area("", "", 0, 9) == ""
    assert sprayed_area("", 90, 90, "") == ""


def test_a_square_by_hand() -> None:
    """Half of a square sprayed shows 50, twice sprayed never over 100, and one hardly driven nothing."""
    assert square(0.1, 0.05, 0.002, 1) == 50
    assert square(0.1, 0.25, 0.002, 1) == 100
    assert square(0.1, 0.08, 0.002, 0.25) == 20
    assert square(0.001, 0.001, 0.002, 1) == square(0.1, "", 0.002, 1) == ""


def test_where_a_spot_lies_by_hand() -> None:
    """Nearer the boundary than half the boom is the edge.

    Seven times as long as wide along the runs a strip, across them a patch.
    """
    assert lies(50, 69.7, 12, 0, 6, 10) == "edge"
    assert lies(69.7, 69.7, 7, 10, 6, 10) == "strip along the runs"
    assert lies(100, 69.7, 7, 11, 6, 10) == lies(100, 69.7, 6, 0, 6, 10) == "patch"


def test_nobody_looks_before_the_field_opens() -> None:
    """Four days later is the 5th.

    A field that opens on the 8th at noon is looked at on the 9th; sprayed two days late, on the 11th.
    """
    first = 46174.0
    assert scout_day(first, 4, "", "") == first + 4
    assert scout_day(first, 4, first + 1.5, first) == first + 4
    assert scout_day(first, 4, first + 7.5, first) == first + 8
    assert scout_day(first + 2, 4, first + 7.5, first) == first + 10


def test_log_and_loads_are_compared() -> None:
    """101 ac typed against 130 ac driven is said, 128 ac is not.

    A volume is compared only where the log tells one.
    """
    assert (loads_finding(130, 101, 412, 400, "log", 0.05, "ac", "gal")
            == "; 130 ac driven by the log, 101 ac by the loads typed")
    assert (loads_finding(130, 128, 450, 412, "log", 0.05, "ac", "gal")
            == "; 450 gal sprayed by the log, 412 by the loads typed")
    assert loads_finding(130, 128, 450, 412, "load log", 0.05, "ac", "gal") == ""


def test_shades_keep_their_order_in_grey() -> None:
    """Each class of the map is darker than the one before, and its number is read at 4.5 to 1 (WCAG 2.2,
    success criterion 1.4.3).
    """
    fills = [contrast(fill, "FFFFFF") for _, fill, _ in MAP_SHADES]

    assert fills == sorted(fills)
    assert all(later / sooner > 1.1 for sooner, later in pairwise(fills))
    assert [fill for _, fill, ink in MAP_SHADES if contrast(fill, ink) < 4.5] == []


def test_a_book_without_a_map_holds_no_cells_for_it() -> None:
    """Nothing mapped, no table of the map is in the workbook; its words are those of the reader of logs."""
    assert not {table.key for table in columns.TABLES} & set(build_small(spot_farm()).placement.spots)
    assert LOG_KINDS == KINDS
    assert set(NOTED) <= set(columns.HOT_SPOTS.by_key)
