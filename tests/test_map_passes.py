"""What logs tell of passes: honest shares of four kinds of log, hot spots, overlays, what comes back,
findings, exports, the command.
"""

from __future__ import annotations

import datetime as dt
import io
import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pandas as pd
import pytest
import shapely
from cli_help import run
from map_help import (
    CARRIER,
    PLAN,
    RING,
    ZONE,
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

from workbook_builder.build import build_inputs
from workbook_builder.check import ProblemsFound
from workbook_builder.commands import print_sheets
from workbook_builder.commands.map_logs import FILES, Wanted
from workbook_builder.commands.map_logs import mapped as command_mapped
from workbook_builder.features import BY_KEY
from workbook_builder.features.spray_map.definitions import ALONG_RUNS, EDGE, PATCH
from workbook_builder.many.runners import work_here
from workbook_builder.maps import fields as map_fields
from workbook_builder.maps.exports import as_geojson, as_kml
from workbook_builder.maps.files import LogTask, analysed_files, lost_task, map_task
from workbook_builder.maps.headers import shipped_table
from workbook_builder.maps.into_book import load_rows
from workbook_builder.maps.pages import drawing, map_page, scouting_page
from workbook_builder.maps.passes import Analysis, Farm
from workbook_builder.maps.plane import Plane
from workbook_builder.maps.simulate import Patch
from workbook_builder.maps.tracks import cleaned, swaths
from workbook_builder.planning import make_plan

DONE = simulated(drift=0.5)
#: Rows half as often.
QUICK = simulated(every=2.0)
FIELD = 420 * 360
TRUE = DONE.emitted / FIELD


@pytest.fixture(scope="module")
def nozzles(tmp_path_factory: pytest.TempPathFactory) -> Analysis:
    """The pass by a log of shares of nozzles, with two overlays: one over the first patch, one elsewhere."""
    layers = [shape("pit", np.array([[70, 160], [170, 160], [170, 240], [70, 240]], float), layer="drowned"),
              shape("hill", np.array([[200, 250], [400, 250], [400, 340], [200, 340]], float), layer="sand")]
    return mapped(logged(tmp_path_factory.mktemp("log") / "log.csv", csv_text(DONE)), overlays=layers)


@pytest.mark.parametrize(("kind", "whole_boom"), [("nozzles", False), ("volume", True), ("volume", False)])
def test_logs_that_measure_tell_the_share(kind: str, whole_boom: bool, tmp_path: Path) -> None:
    """Shares of nozzles and metered volume tell the share that was sprayed, within 2 %."""
    found = mapped(logged(tmp_path / "log.csv", csv_text(DONE, kind, whole_boom))).passes[0]

    assert found.kind == kind
    assert found.share == pytest.approx(TRUE, rel=0.02)
    assert found.share == pytest.approx(TRUE, rel=found.error(0.5))


@pytest.mark.parametrize("whole_boom", [False, True], ids=["sections", "boom"])
def test_on_and_off_never_make_a_share(whole_boom: bool, tmp_path: Path) -> None:
    """On means that any nozzle fired: no share is made of it,
    though counting it would tell several times the truth.
    """
    analysis = mapped(logged(tmp_path / "log.csv", csv_text(DONE, "state", whole_boom)))
    found, row = analysis.passes[0], told_of(analysis).tables()["map_passes"][0]
    counted = float(found.grid.amount.sum()) / FIELD

    assert counted > 4 * TRUE
    assert ((row["share"], row["sprayed_logged"], row["sprayed_area"], row["status"])
            == (None, None, None, "Not entered"))
    assert "log-kind" in codes(analysis.problems)
    assert all(spot["sprayed_area"] is None and spot["extra_sprayed"] is None and spot["cost"] is None
               for spot in told_of(analysis).tables()["hot_spots"])
    assert "Not entered" in told_of(analysis).in_words(found)


def test_the_volume_of_the_loads_makes_a_share_of_on_and_off(tmp_path: Path) -> None:
    """With the volume typed in the load log, the share is volume over carrier and field,
    whatever the log shows.
    """
    analysis = mapped(logged(tmp_path / "log.csv", csv_text(DONE, "state")))
    row = told_of(analysis, "metric",
                  load_log=loads(FIELD / 1e4, DONE.emitted * CARRIER)).tables()["map_passes"][0]

    assert row["share"] == pytest.approx(TRUE, rel=0.01)
    assert row["rests_on"] == "load log"


def test_volume_without_carrier_tells_no_share(tmp_path: Path) -> None:
    """A volume is an area only over a carrier rate; a pass without one is Not entered."""
    analysis = mapped(logged(tmp_path / "log.csv", csv_text(DONE, "volume")),
                      plan=(replace(PLAN[0], carrier=None),))
    row = told_of(analysis, "metric", passes={"carrier": None}).tables()["map_passes"][0]

    assert row["volume_logged"] == pytest.approx(DONE.emitted * CARRIER, rel=0.02)
    assert (row["share"], row["status"], analysis.passes[0].spots) == (None, "Not entered", ())


def test_shares_do_not_hang_on_the_machine(tmp_path: Path) -> None:
    """Curved runs, a headland and another boom tell their share within 2 % as well."""
    for seed, machine in enumerate(({"bend": 25.0}, {"headland": True},
                                    {"boom": 24.0, "section": 2.0, "direction": 90.0})):
        done = simulated(seed=seed, **machine)
        assert (mapped(logged(tmp_path / "log.csv", csv_text(done))).passes[0].sprayed
                == pytest.approx(done.emitted, rel=0.02))


def test_patches_are_found(nozzles: Analysis) -> None:
    """Both patches and nothing else are hot spots, near their middles, the one with more extra spray first.
    """
    found = nozzles.passes[0].spots
    truth = [shapely.Point(x, y) for x, y in ((120, 200), (300, 110))]
    seen = [shapely.Point(*(float(part)
                            for part in nozzles.passes[0].plane.back(np.array(spot.x), np.array(spot.y))))
            for spot in found]
    told = told_of(nozzles)
    rows, cost = told.tables()["hot_spots"], told.plan.tables["spot_uses"][0]["product_area"]

    assert len(seen) == len(truth) == 2
    assert [row["lies"] for row in rows] == [PATCH, PATCH]
    assert all(spot.stands_out for spot in found)
    assert rows[0]["extra_sprayed"] >= rows[1]["extra_sprayed"]
    assert rows[0]["cost"] == pytest.approx(cost * rows[0]["extra_sprayed"])
    assert cost > 0
    assert sum(row["share_of_extra"] for row in rows) == pytest.approx(1, abs=1e-3)
    assert rows[0]["scout_on"] == "2026-06-07"
    assert sorted(row["background_share"] for row in rows) == pytest.approx([0.05, 0.05], abs=0.01)


def test_a_field_without_patches_has_no_spots(tmp_path: Path) -> None:
    """Weeds spread alike over the field make no spot, at few weeds and at many."""
    for background in (0.03, 0.3):
        assert mapped(logged(tmp_path / "log.csv", csv_text(simulated(background, ())))).passes[0].spots == ()


def test_edges_and_strips_are_told(tmp_path: Path) -> None:
    """Weeds along the edge lie at the edge, and those of a missed strip along the runs."""
    done = simulated(0.05, (Patch(5, 180, 170, 10, 0, 0.8), Patch(230, 180, 150, 7, 0, 0.9)))
    spots = told_of(mapped(logged(tmp_path / "log.csv", csv_text(done)))).tables()["hot_spots"]

    assert sorted(spot["lies"] for spot in spots) == [EDGE, ALONG_RUNS]


def test_overlays_are_told_with_their_chance(nozzles: Analysis) -> None:
    """The pit over a patch goes together with spraying, the hill beside it does not.

    The spot says what covers it.
    """
    rows = {row["layer"]: row for row in told_of(nozzles).tables()["map_overlays"]}
    spots = told_of(nozzles).tables()["hot_spots"]

    assert (rows["drowned"]["says"], rows["sand"]["says"]) == ("goes together", "no sign")
    assert rows["drowned"]["share_inside"] > 4 * rows["drowned"]["share_outside"]
    assert all(row["p_adjusted"] >= row["p"] for row in rows.values())
    assert {spot["overlay"] for spot in spots} == {"drowned", None}


def test_little_ground_says_so(tmp_path: Path) -> None:
    """On a field of few independent pieces nothing is said to go together."""
    small = RING * 0.2
    done = simulated(0.05, (Patch(20, 40, 20, 15, 0, 0.9),), ring=small, boom=12.0)
    log = logged(tmp_path / "log.csv", csv_text(done))
    told = told_of(mapped(log, shapes=[shape(ring=small)], overlays=[shape("pit", small * 0.5, layer="pit")]))

    assert [row["says"] for row in told.tables()["map_overlays"]] == ["too little ground to tell"]


def test_what_comes_back_is_seen(tmp_path: Path) -> None:
    """The same patches in an earlier pass are seen before, with most of their ground in both.

    Other ones are not.
    """
    log = logged(tmp_path / "now.csv", csv_text(simulated(seed=5)))
    text = csv_text(simulated(seed=6)).replace("2026-06-03", "2025-06-04")
    other = csv_text(simulated(0.05, (Patch(60, 60, 30, 30, 0, 0.8),), seed=7)).replace(
        "2026-06-03", "2024-06-04")
    same = mapped(log, earlier=[logged(tmp_path / "then.csv", text)], passed="Spot")
    unlike = mapped(log, earlier=[logged(tmp_path / "before.csv", other)], passed="Spot")

    assert [len(each.passes) for each in (same, unlike)] == [1, 1]
    assert same.again[0].jaccard > 0.75
    assert same.again[0].p < 0.001
    assert set(same.passes[0].seen.values()) == {"Spot, 2025-06-04"}
    assert (unlike.again[0].jaccard, unlike.passes[0].seen) == (pytest.approx(0, abs=0.05), {})
    assert (told_of(same).map_recurrence()[0]["hot_in_both"]
            == pytest.approx(same.again[0].hot_both / 4046.8564224, abs=1e-3))


def test_a_dead_section_is_named(tmp_path: Path) -> None:
    """A section that never sprays is found by its number, and none on a sound machine."""
    for dead in ((), (4,), (0, 11)):
        analysis = mapped(logged(tmp_path / "log.csv", csv_text(simulated(dead=dead))))
        assert ([int(name) - 1 for name in analysis.passes[0].dead]
                == sorted(dead, key=lambda each: str(each + 1)))
        assert ("check its nozzles"
                in str(told_of(analysis).tables()["map_passes"][0]["finding"])) == bool(dead)


def test_overlap_is_counted_between_runs(tmp_path: Path) -> None:
    """Runs that overlap by 3 % of the boom are driven twice on about that much ground.

    Turns and bends add next to nothing.
    """
    found = mapped(logged(tmp_path / "log.csv", csv_text(simulated(overlap=1.08, drift=0.05)))).passes[0]
    bent = mapped(logged(tmp_path / "bent.csv",
                         csv_text(simulated(overlap=1.08, drift=0.05, bend=20.0)))).passes[0]

    assert found.overlap / found.driven == pytest.approx(0.03, abs=0.006)
    assert bent.overlap / bent.driven == pytest.approx(0.03, abs=0.02)


def test_findings_compare_with_the_plan(nozzles: Analysis, tmp_path: Path) -> None:
    """A share beyond the range that was expected, loads that differ and ground not driven are findings.

    What fits is none.
    """
    driven = nozzles.passes[0].driven / 4046.8564224
    volume = TRUE * FIELD / 4046.8564224 * 2.138
    sure = {"pressure_class": "Sure", "expected_share": 0.5, "evidence_area": 60.0}
    fits = told_of(nozzles, load_log=loads(driven, volume))
    differs = told_of(nozzles, load_log=loads(driven * 1.2, volume), pressure_classes=sure,
                      passes={"pressure_class": "Sure", "sprayed_share": None})
    lines = csv_text(DONE).splitlines()
    half = mapped(logged(tmp_path / "half.csv", "\n".join(lines[: len(lines) // 2])))

    assert (fits.tables()["map_passes"][0]["status"],
            fits.tables()["map_passes"][0]["finding"]) == ("OK", None)
    assert differs.tables()["map_passes"][0]["status"] == "Review"
    assert re.search(r"8\.\d % sprayed, where \d\d % to \d\d % was expected; \d+ gal less than planned, "
                     r"products for \$\d+; [\d.]+ ac driven by the log, [\d.]+ ac by the loads typed",
                     differs.tables()["map_passes"][0]["finding"])
    row = told_of(half).tables()["map_passes"][0]
    assert f"not driven, products for ${row['not_driven_cost']:.0f};" in row["finding"] + ";"
    assert (row["not_driven_cost"] == pytest.approx(row["not_driven"] * row["share"] * row["more_cost"]
                                                    / row["more_volume"] * 2.138, rel=1e-6))
    less = f"{-row['more_volume']:.0f} gal less than planned, products for ${-row['more_cost']:.0f}"
    assert less in row["finding"]


def test_the_pass_is_told_by_name_or_day(tmp_path: Path) -> None:
    """A log belongs to the pass it names, or to the one pass of its field about that day.

    Else it keeps a name of its own, with a note.
    """
    log = logged(tmp_path / "log.csv", csv_text(DONE))
    twins = (PLAN[0], replace(PLAN[0], passed="Second"))

    assert mapped(log).passes[0].planned.passed == "Spot"
    assert mapped(log, plan=twins, passed="second").passes[0].planned.passed == "Second"
    unsure = mapped(log, plan=twins)
    assert ((unsure.passes[0].planned.passed, codes(unsure.problems) - {"log-gaps"})
            == ("Log of 2026-06-03", {"log-pass"}))
    stranger = mapped(log, passed="Other")
    assert "Passes there: Spot" in next(problem.fix for problem in stranger.problems
                                        if problem.code == "log-pass")


def test_exports_hold_boundaries_and_spots(nozzles: Analysis) -> None:
    """GeoJSON follows RFC 7946 and KML its schema's order of rings: closed, turned right, in WGS84,
    of the table's area.
    """
    told = told_of(nozzles)
    features = json.loads(as_geojson(told))["features"]
    kinds = [feature["properties"]["kind"] for feature in features]
    marks = list(ElementTree.fromstring(as_kml(told)).iter("{http://www.opengis.net/kml/2.2}Placemark"))

    assert kinds == ["pass", "hot spot", "hot spot"]
    assert len(marks) == 3
    for feature in features:
        polygon = shapely.geometry.shape(feature["geometry"])
        parts = getattr(polygon, "geoms", [polygon])
        assert all(part.is_valid and part.exterior.is_ccw for part in parts)
        assert shapely.box(-102.001, 40.999, -101.99, 41.005).contains(polygon)
        metres = polygon.area * (111_050 * 84_110)
        assert (metres / 4046.8564224 == pytest.approx(feature["properties"].get("field_area_drawn")
                                                       or feature["properties"]["area"], rel=0.03))
    first = marks[0].find(".//{http://www.opengis.net/kml/2.2}outerBoundaryIs"
                          "//{http://www.opengis.net/kml/2.2}coordinates")
    assert first is not None
    points = (first.text or "").split()
    assert points[0] == points[-1]


def test_pages_need_nothing_else(nozzles: Analysis) -> None:
    """Map and scouting page load nothing from elsewhere, run no script, and hold title, numbers,
    spots and walking order.
    """
    told = told_of(nozzles)
    page, walk = map_page(told), scouting_page(told, gate=(41.0, -102.0))

    for text in (page, walk):
        assert not re.search(r'(src|href)="(?!data:)|<script|url\((?!#field-)|@import', text)
        assert "<svg" in text
        assert "The label is the law" in text
    assert "Sprayed 9% of 37 ac" in page
    assert "Going together is not a cause" in page
    assert walk.count('class="box"') == 2 * 7
    assert re.search(r"In this order from the gate and back: 0\.\d miles", walk)
    assert drawing(nozzles.passes[0], (), 400, 400).count("<circle") == 2


def test_logs_of_two_kinds_keep_their_own_spots(tmp_path: Path) -> None:
    """Two logs of one pass and field, one of shares and one of volume, make two pages,
    each with its own spots and layers only.
    """
    layers = [shape("pit", RING * 0.5, layer="drowned")]
    analysis = mapped(logged(tmp_path / "shares.csv", csv_text(DONE)),
                      logged(tmp_path / "volume.csv", csv_text(DONE, "volume")), overlays=layers)
    told = told_of(analysis)
    page, walk = map_page(told), scouting_page(told)

    assert [(made.kind, len(made.spots)) for made in analysis.passes] == [("nozzles", 2), ("volume", 2)]
    assert page.count('<td class="day">') == walk.count('<td class="num"><strong>') == 4
    assert page.count("<td>drowned</td>") == 2


def test_nobody_is_sent_in_before_the_field_opens(nozzles: Analysis) -> None:
    """The day to look again moves to when the plan lets people in, and a re-entry that is not known,
    or of another day, is said.
    """
    pages = {}
    for hours in (12.0, 200.0, None):
        told = told_of(nozzles, products={"rei_hours": hours}, passes={"start_time": dt.time(7, 0)})
        pages[hours] = (told.tables()["hot_spots"][0]["scout_on"], scouting_page(told))
    elsewhere = replace(nozzles, passes=tuple(replace(made, day="2026-06-05") for made in nozzles.passes))
    moved = scouting_page(told_of(elsewhere))

    assert [day for day, _ in pages.values()] == ["2026-06-07", "2026-06-13", "2026-06-07"]
    assert "Back in, by the plan: Fri 2026-06-12 08:00" in pages[200.0][1]
    assert "Back in, by the plan: not known: read the labels" in pages[None][1]
    assert "does not have this pass on 2026-06-05: read its labels" in moved


def test_names_in_logs_cannot_become_markup(tmp_path: Path) -> None:
    """A machine, layer or pass named like markup stays text in pages, KML and the drawing."""
    evil = '<script>alert(1)</script>&"'
    text = csv_text(DONE).splitlines()
    log = logged(tmp_path / "log.csv",
                 "\n".join([f"{text[0]},machine",
                            *(f'{line},"{evil.replace(chr(34), chr(34) * 2)}"' for line in text[1:])]))
    layer = shape(evil, RING * 0.5, layer=evil)
    told = told_of(mapped(log, overlays=[layer], passed=evil))
    page = map_page(told, [layer])

    assert "<script" not in page + scouting_page(told) + as_kml(told)
    assert ElementTree.fromstring(as_kml(told)) is not None
    assert json.loads(as_geojson(told))["features"][0]["properties"]["machine"] == evil


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a book, a log and a boundary."""
    folder = tmp_path_factory.mktemp("farm")
    (folder / "book.xlsx").write_bytes(build_inputs(spot_farm()).data)
    (folder / "log.csv").write_text(csv_text(DONE), "utf-8")
    ring = np.vstack([shape().rings[0], shape().rings[0][:1]]).tolist()
    (folder / "fields.geojson").write_text(json.dumps({"type": "Feature", "properties": {"field": "North"},
                                                       "geometry": {"type": "Polygon",
                                                                    "coordinates": [ring]}}), "utf-8")
    return folder


def test_the_command_writes_the_map(farm: Path) -> None:
    """The command writes every file, says what was sprayed, refuses to write over them,
    and gives JSON by itself.
    """
    asked = ("map", farm / "log.csv", "--fields", farm / "fields.geojson", "--book", farm / "book.xlsx",
             "-o", farm / "out")
    done, again, alone = (run(*asked, "--json", farm / "also.json"), run(*asked),
                          run(*asked[:-1], farm / "none", "--json", "-"))
    tables = json.loads((farm / "out" / FILES["json"]).read_text("utf-8"))

    assert (done.exit_code, again.exit_code, alone.exit_code) == (0, 2, 0), done.stderr + alone.stderr
    assert {path.name for path in (farm / "out").iterdir()} == set(FILES.values())
    assert ((farm / "out" / FILES["loads"]).read_text("utf-8").splitlines()[0]
            == "pass,field,load,area_covered,volume_sprayed")
    assert re.search(r"North, Spot, 2026-06-03: sprayed 3\.\d of 37\.4 ac, 8\.\d%, 2 hot spots", done.stdout)
    assert json.loads(alone.stdout) == json.loads((farm / "also.json").read_text("utf-8")) == tables
    assert not (farm / "none").exists()
    assert set(tables) == {"map_passes", "hot_spots", "map_overlays", "map_recurrence", "problems"}
    assert tables["map_passes"][0]["planned_share"] == 0.1
    assert all(spot["cost"] > 0 for spot in tables["hot_spots"])


def task_of(folder: Path, texts: list[str]) -> LogTask:
    """Return logs as files, to be mapped with one another."""
    paths = [folder / f"{number}.csv" for number in range(len(texts))]
    for path, text in zip(paths, texts, strict=True):
        path.write_text(text, "utf-8")
    farm = Farm((shape(), shape("South", RING + np.array([500.0, 0.0]))), PLAN, ZONE, passed="Spot")
    return LogTask(tuple((path, False) for path in paths), farm, shipped_table(), "metric", None)


def test_a_pass_in_two_logs_is_one_pass(tmp_path: Path) -> None:
    """Logs of one pass and field are mapped together, and tell what one log of both would."""
    head, *lines = csv_text(DONE).splitlines()
    half = len(lines) // 2
    parts = ["\n".join([head, *lines[:half]]), "\n".join([head, *lines[half:]])]
    whole = mapped(logged(tmp_path / "log.csv", csv_text(DONE))).passes[0]
    found, refused = analysed_files(task_of(tmp_path, parts), lambda tasks: map(map_task, tasks))

    assert refused == []
    assert [made.rows_read for made in found.passes] == [len(lines)]
    assert found.passes[0].share == pytest.approx(whole.share, rel=0.005)


@pytest.mark.nightly
def test_processes_tell_what_one_does(tmp_path: Path) -> None:
    """Two processes map logs as one does, in the same order.

    A log that cannot be used is named and takes no other with it.
    """
    year = [csv_text(DONE).replace("2026-06-03", day) for day in ("2026-06-03", "2026-06-05")]
    task = task_of(tmp_path, [*year, "rubbish"])
    here, bad = analysed_files(task, lambda tasks: work_here(tasks, 1, map_task, lost_task))
    there, worse = analysed_files(task, lambda tasks: work_here(tasks, 2, map_task, lost_task))

    assert told_of(here).tables() == told_of(there).tables()
    assert [problem.file for problem in bad] == [problem.file for problem in worse] == ["2.csv"]
    assert lost_task(task).refused is not None


@pytest.mark.nightly
def test_a_cluster_maps_the_same(farm: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The command writes the same bytes from one process, from two,
    and from a Dask scheduler with two workers: a pass in two logs, two other days, one earlier.
    """
    distributed = pytest.importorskip("distributed")
    head, *lines = csv_text(DONE).splitlines()
    texts = {"a": lines[:2000], "b": lines[2000:], "c": [line.replace("06-03", "06-20") for line in lines],
             "d": [line.replace("06-03", "07-20") for line in lines]}
    for name, text in texts.items():
        (tmp_path / f"{name}.csv").write_text("\n".join([head, *text]), "utf-8")
    (tmp_path / "old.csv").write_text("\n".join([head, *lines]).replace("2026-06-03", "2025-06-03"), "utf-8")

    def written(name: str, *options: str) -> dict[str, bytes]:
        done = run("map", *(f"{log}.csv" for log in texts), "--earlier", "old.csv", "--fields",
                   farm / "fields.geojson", "--book", farm / "book.xlsx", "-o", tmp_path / name, *options)
        assert done.exit_code == 0, done.stderr
        return {path.name: path.read_bytes() for path in (tmp_path / name).iterdir()}

    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None,
                                  local_directory=tmp_path / "dask") as cluster:
        # Logs are named as in the folder at hand, which is not that of the workers.
        monkeypatch.chdir(tmp_path)
        there = written("there", "--scheduler", cluster.scheduler_address)
    alone = written("alone", "--jobs", "1")

    assert len(json.loads(alone[FILES["json"]])["map_passes"]) >= 3
    assert written("two", "--jobs", "2") == alone
    assert there == alone


def test_loads_are_offered_where_none_is_typed(nozzles: Analysis) -> None:
    """Driven area and volume of the log make a row of the load log, in its keys and units,
    unless loads are typed.
    """
    [row] = load_rows(spot_farm("metric"), nozzles.passes)
    keys = {column.key for column in BY_KEY["load_log"].columns}

    assert set(row) <= keys
    assert row["volume_sprayed"] == pytest.approx(DONE.emitted * CARRIER, rel=0.02)
    assert row["area_covered"] == pytest.approx(FIELD / 1e4, rel=0.02)
    assert told_of(nozzles, "metric").loads_text().count("\n") == 2
    assert told_of(nozzles, "metric", load_log=loads(15.0, 25.0)).loads_text() == ""


def test_a_boom_behind_the_antenna_is_shifted(tmp_path: Path) -> None:
    """Logged ahead of the boom, strips of runs up and down the field lie apart by twice the distance.

    Saying how far puts them right.
    """
    lines = [f"2026-06-03T07:00:{second:02d}Z,{41.001 + second * 4e-5:.7f},-101.998,"
             f"{'on' if second == 20 else 'off'}" for second in range(40)]
    log = logged(tmp_path / "log.csv", "\n".join(["time,lat,lon,state", *lines]), boom=10.0)
    plane = Plane(41.001, -101.998)
    rows = cleaned(log, plane).rows
    plain, shifted = (swaths(rows, log.kind, behind).quads[19].mean(axis=0) for behind in (0.0, 6.0))

    assert shifted - plain == pytest.approx((0.0, -6.0), abs=0.01)


def moved(text: str, north: float) -> str:
    """Return a log as if it had been driven so much further north [deg]."""
    rows = pd.read_csv(io.StringIO(text))
    return str(rows.assign(lat=rows["lat"] + north).to_csv(index=False))


@pytest.mark.parametrize(("change", "refused", "said"), [
    (lambda text: moved(text, 0.0035), True,
     "all rows lie outside every field; the nearest is North, 0.2 km away"),
    (lambda text: moved(text, 0.0015), False,
     r"2,\d{3} of 5,\d{3} rows sprayed outside every field and count nowhere"),
    (lambda text: text.replace("-06:00", ""), False, f"times without an offset from UTC are read as {ZONE}"),
    (lambda text: "\n".join(text.splitlines()[:601:600]), True, "in no field do two rows follow one another"),
    (lambda text: text.replace("T07:05", "T08:05"), False,
     r"the longest \d\d\.\d min until 2026-06-03 14:05 UTC, 1\.0 min until 2026-06-03 13:06 UTC"),
    (lambda text: text, False,
     r"is split by their boundaries: North \(2,\d{3} rows\), South \(2,\d{3} rows\)"),
], ids=["beside the field", "half beside it", "zone of the farm", "one row", "gaps", "two fields"])
def test_what_is_odd_about_a_log_is_told_with_its_counts(
    change: Callable[[str], str], refused: bool, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the command says of a log that lies beside its field, has no offset, one row, gaps,
    or covers two fields: counts, and nothing made up.
    """
    (tmp_path / "log.csv").write_text(change(csv_text(QUICK)), "utf-8")
    halves = [shape("North", np.array([[0, 0], [210, 0], [210, 360], [0, 360]], float)),
              shape("South", np.array([[210, 0], [420, 0], [420, 360], [210, 360]], float))]
    shapes = halves if "split" in said else [shape()]
    monkeypatch.setattr(print_sheets, "planned", lambda book: (make_plan(spot_farm()), []))
    monkeypatch.setattr(map_fields, "named_fields", lambda *_: (shapes, []))
    (tmp_path / "fields.geojson").write_text(json.dumps({"type": "Feature", "properties": {"field": "North"},
                                                         "geometry": {
"type": "Polygon", "coordinates": [np.vstack([shape().rings[0], shape().rings[0][:1]]).tolist()]}}), "utf-8")
    wanted = Wanted((tmp_path / "log.csv",), tmp_path / "fields.geojson", passed="Spot")
    try:
        problems = command_mapped(wanted, tmp_path / "none").problems
    except ProblemsFound as found:
        assert refused
        problems = list(found.problems)
    else:
        assert not refused

    assert any(re.search(said, problem.message) for problem in problems), [
        problem.message for problem in problems]


@pytest.mark.parametrize(("changes", "code", "word"), [
    ({"--fields": "none.geojson"}, 1, "cannot be opened"), ({"--gate": "here"}, 2, "is not a place"),
    ({"--gate": "99,7"}, 2, "not on the earth"),
    ({"-o": "log.csv"}, 2, "is a file"), ({"--book": "none.xlsx"}, 1, "none.xlsx"),
    ({"--headers": "log.csv"}, 1, "theirs"),
])
def test_wrong_usage_is_said_in_words(changes: dict[str, str], code: int, word: str, farm: Path) -> None:
    """What cannot be read or meant ends with a sentence and the right exit code, and nothing written."""
    asked = {"--fields": "fields.geojson", "--book": "book.xlsx", "-o": "wrong", **changes}
    options = [part for name, value in asked.items()
               for part in (name, value if name == "--gate" else farm / value)]
    done = run("map", farm / "log.csv", *options)

    assert done.exit_code == code, done.stderr
    assert word in done.stderr
    assert not (farm / "wrong").exists()
