"""Logs, boundaries and overlays as they come: every kind of file, and everything that may be wrong with them.
"""

from __future__ import annotations

import io
import json
import zipfile
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import shapefile
from map_help import PLANE, RING, STARTED, ZONE, codes, csv_text, logged, mapped, shape, simulated

from workbook_builder.check.problems import Problem
from workbook_builder.maps.fields import named_fields
from workbook_builder.maps.headers import header_table, shipped_table, told_headers
from workbook_builder.maps.logs import KINDS, read_log
from workbook_builder.maps.plane import Plane
from workbook_builder.maps.raster import ground_of, spread
from workbook_builder.maps.shapes import read_shapes
from workbook_builder.maps.simulate import placed
from workbook_builder.maps.tracks import cleaned, swaths
from workbook_builder.read.text_files import BadFile

DONE = simulated(every=2.0)
TEXT = csv_text(DONE)
HEAD, *LINES = TEXT.splitlines()


def refused(call: object, *arguments: object, **options: object) -> Problem:
    """Return the problem with which a file is refused."""
    with pytest.raises(BadFile) as caught:
        call(*arguments, **options)  # type: ignore[operator]
    return caught.value.problem


def whole(text: str, tmp_path: Path, **options: object) -> tuple[float, set[str], int]:
    """Return the share that a log tells, the codes of what is doubtful about it, and the rows that were used.
    """
    found = mapped(logged(tmp_path / "log.csv", text, **options))
    # Turns of the simulated machine take 15 s, which are gaps.
    return found.passes[0].share, codes(found.problems) - {"log-gaps"}, found.passes[0].rows_used


SHARE = 0.0


@pytest.fixture(scope="module", autouse=True)
def _share(tmp_path_factory: pytest.TempPathFactory) -> None:
    global SHARE
    SHARE = whole(TEXT, tmp_path_factory.mktemp("log"))[0]


def test_the_log_itself_is_without_doubt(tmp_path: Path) -> None:
    """A sound log raises no question and tells the share that was sprayed."""
    share, said, _ = whole(TEXT, tmp_path)

    assert said == set()
    assert share == pytest.approx(DONE.emitted / (420 * 360), rel=0.02)


def test_all_formats_tell_the_same(tmp_path: Path) -> None:
    """CSV with commas, semicolons and decimal commas, GeoJSON and a zipped shapefile hold one pass alike."""
    rows = pd.read_csv(io.StringIO(TEXT))
    semicolons = rows.to_csv(index=False, sep=";", decimal=",")
    features = [
        {"type": "Feature", "geometry": {"type": "Point", "coordinates": [row.lon, row.lat]},
         "properties": {"time": row.time, "width m": row[4], "section": row.section, "nozzle_share": row[6]}}
        for row in rows.itertuples()
    ]
    parts = {ending: io.BytesIO() for ending in ("shp", "shx", "dbf")}
    with shapefile.Writer(**parts, shapeType=shapefile.POINT) as writer:
        for name, kind, size, digits in (("time", "C", 30, 0), ("width", "N", 10, 3), ("section", "C", 4, 0),
                                         ("noz_share", "N", 10, 6)):
            writer.field(name, kind, size, digits)
        for row in rows.itertuples():
            writer.point(row.lon, row.lat)
            writer.record(row.time, row[4], str(row.section), row[6])
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for ending, part in parts.items():
            archive.writestr(f"log.{ending}", part.getvalue())
    table = {**shipped_table(), "noz share": ("nozzle_share", "")}
    (tmp_path / "log.zip").write_bytes(packed.getvalue())
    (tmp_path / "log.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": features}),
                                          "utf-8")
    logs = [
        logged(tmp_path / "semicolons.csv", semicolons), read_log(tmp_path / "log.geojson", table, "metric"),
        read_log(tmp_path / "log.zip", table, "metric"),
    ]

    assert [mapped(log).passes[0].share for log in logs] == pytest.approx([SHARE] * 3, rel=1e-4)


def test_gpx_tells_the_driven_area_only(tmp_path: Path) -> None:
    """GPX has neither width nor state: with the width of the boom its track gives the driven area,
    and no share.
    """
    middle = placed(simulated(every=2.0, section=36.0, drift=0.0).log, PLANE, STARTED, "UTC")
    points = "".join(f'<trkpt lat="{row.lat}" lon="{row.lon}"><time>{row.time}</time></trkpt>'
                     for row in middle.itertuples())
    text = (f'<?xml version="1.0"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><name>A'
            f'</name><trkseg>{points}</trkseg></trk></gpx>')
    log = logged(tmp_path / "track.gpx", text, boom=36.0)
    found = mapped(log).passes[0]

    assert found.kind == "positions"
    assert np.isnan(found.sprayed)
    assert found.driven / found.drawn > 0.97
    assert refused(logged, tmp_path / "track.gpx", text).code == "log-width"


@pytest.mark.parametrize(("titles", "system", "wanted"), [
    (["Latitude", "LONGITUDE", "Time stamp", "Swath width (ft)"], "metric",
     {"Latitude": ("lat", 1), "LONGITUDE": ("lon", 1), "Swath width (ft)": ("width", 0.3048)}),
    (["lat", "lon", "time", "width"], "us", {"lat": ("lat", 1), "lon": ("lon", 1), "time": ("time", 1),
                                             "width": ("width", 0.3048)}),
    (["Nozzles on [%]", "Volume gal", "Ground Speed mph"], "metric",
     {"Nozzles on [%]": ("nozzle_share", 0.01), "Volume gal": ("volume", 3.785411784)}),
], ids=["brackets", "units of the farm", "percent and gallons"])
def test_headers_are_told_by_the_table(titles: list[str], system: str,
                                       wanted: dict[str, tuple[str, float]]) -> None:
    """Headers match whatever the case, brackets and table say the unit, and the farm's units stand in."""
    found = told_headers(titles, shipped_table(), system)

    assert ({title: header.key for title, header in found.items()}
            == {title: key for title, (key, _) in wanted.items()})
    assert ({title: header.factor for title, header in found.items()}
            == pytest.approx({title: factor for title, (_, factor) in wanted.items()}))


def test_a_table_of_ones_own_adds_headers(tmp_path: Path) -> None:
    """A table of headers teaches new words.

    One that names no column of ours is refused with its row, one that is no text in words.
    """
    (tmp_path / "mine.csv").write_text("theirs,ours,unit\nBreite dm,width,m\nWo N,lat,\n", "utf-8")
    (tmp_path / "semicolons.csv").write_text("theirs;ours;unit\n\nBreite dm;width;m\nWo N;lat;\n", "utf-8")
    (tmp_path / "bad.csv").write_text("theirs,ours,unit\nBreite,widht,m\n", "utf-8")
    (tmp_path / "noise.csv").write_bytes(b"theirs,ours,unit\nBreite \x81,width,m\n")
    table = header_table(tmp_path / "mine.csv")

    assert told_headers(["Breite dm", "wo n", "lon"], table, "us").keys() == {"Breite dm", "wo n", "lon"}
    assert header_table(tmp_path / "semicolons.csv") == table
    assert refused(header_table, tmp_path / "noise.csv").code == "unreadable-file"
    assert (refused(header_table, tmp_path / "bad.csv").code,
            refused(header_table, tmp_path / "bad.csv").row) == ("map-headers", 2)


def test_swapped_coordinates_are_put_right(tmp_path: Path) -> None:
    """Latitude and longitude in each other's columns are noticed, swapped, and said so."""
    share, said, _ = whole(TEXT.replace("lat,lon", "lon,lat", 1), tmp_path)

    assert said == {"log-swapped"}
    assert share == pytest.approx(SHARE)


def test_projected_coordinates_are_refused(tmp_path: Path) -> None:
    """Metres in place of degrees are no WGS84, in logs and in boundaries."""
    rows = pd.read_csv(io.StringIO(TEXT)).assign(lat=4541000.0, lon=584000.0)
    ring = [[584000, 4541000], [585000, 4541000], [585000, 4542000], [584000, 4541000]]
    (tmp_path / "utm.geojson").write_text(json.dumps({"type": "Polygon", "coordinates": [ring]}), "utf-8")
    crs = {"type": "name", "properties": {"name": "urn:ogc:def:crs:EPSG::25832"}}
    (tmp_path / "named.geojson").write_text(json.dumps({"type": "FeatureCollection", "crs": crs,
                                                        "features": []}), "utf-8")

    assert refused(whole, rows.to_csv(index=False), tmp_path).code == "map-projected"
    assert refused(read_shapes, tmp_path / "utm.geojson").code == "map-projected"
    assert refused(read_shapes, tmp_path / "named.geojson").code == "map-projected"


def test_a_log_from_elsewhere_is_refused(tmp_path: Path) -> None:
    """A log that lies in no field names the nearest and how far it is."""
    rows = pd.read_csv(io.StringIO(TEXT))
    problem = refused(whole, rows.assign(lat=rows.lat + 0.5).to_csv(index=False), tmp_path)

    assert problem.code == "log-outside"
    assert "North, 55." in problem.message


def test_two_fields_are_split(tmp_path: Path) -> None:
    """A log over two fields is split by their boundaries, and says so.

    Together they hold what the whole one did.
    """
    left, right = (np.array(ring, float) for ring in ([[0, 0], [200, 0], [200, 360], [0, 360]],
                                                      [[200, 0], [420, 0], [420, 360], [200, 360]]))
    found = mapped(logged(tmp_path / "log.csv", TEXT), shapes=[shape("North", left), shape("South", right)],
                   passed="Spot")

    assert [each.shape.name for each in found.passes] == ["North", "South"]
    assert "log-split" in codes(found.problems)
    assert sum(each.sprayed for each in found.passes) == pytest.approx(SHARE * 420 * 360, rel=0.01)


@pytest.mark.parametrize(("change", "reason"), [
    (lambda lines: [*lines, *lines[200:260]], "60 standing twice"),
    (lambda lines: [*lines[:50],
                    *(",".join([each.split(",")[0], "0", "0", *each.split(",")[3:]])
                      for each in lines[50:60]), *lines[60:]], "10 at 0, 0"),
    (lambda lines: [*lines[:50],
                    *(",".join([each.split(",")[0], "", "", *each.split(",")[3:]]) for each in lines[50:60]),
                    *lines[60:]], "10 without position"),
    (lambda lines: [*lines, ",".join([lines[0].split(",")[0], "95.5", "12", *lines[0].split(",")[3:]])],
     "1 beyond the earth"),
], ids=["twice", "noughts", "blank", "beyond"])
def test_rows_that_say_nothing_are_counted(change: object, reason: str, tmp_path: Path) -> None:
    """Rows without use are left out, counted by reason, and change nothing else."""
    log = logged(tmp_path / "log.csv", "\n".join([HEAD, *change(LINES)]))  # type: ignore[operator]
    clean = cleaned(log, Plane(41.0, -102.0))
    share = mapped(log).passes[0].share

    assert reason in next(problem.message for problem in clean.problems if problem.code == "log-rows")
    assert share == pytest.approx(SHARE, rel=0.005)


def test_time_that_runs_backwards_is_sorted(tmp_path: Path) -> None:
    """Rows out of order are sorted and noted, and tell the same."""
    share, said, used = whole("\n".join([HEAD, *LINES[900:], *LINES[:900]]), tmp_path)

    assert said == {"log-order"}
    assert (share, used) == (pytest.approx(SHARE), whole(TEXT, tmp_path)[2])


def test_spikes_and_a_parked_machine_add_nothing(tmp_path: Path) -> None:
    """A position that jumps 300 m away and back is dropped.

    Twenty minutes of standing still add no ground and lose no volume.
    """
    rows = pd.read_csv(io.StringIO(csv_text(DONE, "volume")))
    rows.loc[rows.index[rows.section == 3][40], "lat"] += 0.0027
    moments = pd.to_datetime(rows["time"], utc=True)
    late = moments > moments.iloc[1200]
    stand = rows[moments == moments.iloc[1200]]
    held = [stand.assign(time=(moments.iloc[1200] + pd.Timedelta(seconds=part * 2)).isoformat(),
                         **{"volume l": 0.01}) for part in range(1, 600)]
    shifted = rows[late].assign(time=(moments[late]
                                      + pd.Timedelta(seconds=1200)).map(lambda each: each.isoformat()))
    log = logged(tmp_path / "log.csv", pd.concat([rows[~late], *held, shifted]).to_csv(index=False))
    clean, found = cleaned(log, Plane(41.0, -102.0)), mapped(log).passes[0]
    plain = mapped(logged(tmp_path / "plain.csv", csv_text(DONE, "volume"))).passes[0]

    assert clean.counts["jumping away and back"] == 1
    assert clean.counts["parked"] == 599 * 12
    assert found.driven == pytest.approx(plain.driven, rel=0.003)
    assert clean.rows["volume"].sum() == pytest.approx(log.rows["volume"].sum(), rel=1e-3)


def test_nothing_is_drawn_across_gaps(tmp_path: Path) -> None:
    """A minute without rows leaves ground that was not driven, and is listed."""
    moments = sorted({line.split(",")[0] for line in LINES})
    gone = set(moments[30:45])
    found = mapped(logged(tmp_path / "log.csv",
                          "\n".join([HEAD, *(line for line in LINES if line.split(",")[0] not in gone)])))

    assert "log-gaps" in codes(found.problems)
    assert found.passes[0].driven / found.passes[0].drawn < 0.97


def test_times_need_a_zone(tmp_path: Path) -> None:
    """Times without offset are refused without a zone, and with one are the moments they are there.

    Numbers are no times.
    """
    bare = TEXT.replace("-06:00", "")
    log, other = logged(tmp_path / "log.csv", bare, zone=ZONE), logged(tmp_path / "log.csv", TEXT)

    assert refused(logged, tmp_path / "log.csv", bare).code == "log-zone"
    assert refused(logged, tmp_path / "log.csv", bare, zone="Nowhere/None").code == "log-zone"
    assert refused(logged, tmp_path / "log.csv", f"{HEAD}\n17,41,-102,3,1,0.5\n",
                   zone=ZONE).code == "log-zone"
    assert (log.rows["seconds"] == other.rows["seconds"]).all()
    assert (log.zone, other.zone) == (ZONE, "")


def test_two_machines_are_kept_apart(tmp_path: Path) -> None:
    """Two machines mixed in one file are refused for their impossible speed,
    and kept apart by a column machine.
    """
    rows = pd.read_csv(io.StringIO(TEXT))
    far = rows.assign(lat=rows.lat.to_numpy()[::-1], lon=rows.lon.to_numpy()[::-1])
    both = pd.concat([rows.assign(machine="A"), far.assign(machine="B")])

    assert refused(whole, both.drop(columns="machine").to_csv(index=False), tmp_path).code == "log-machines"
    found = mapped(logged(tmp_path / "log.csv", both.to_csv(index=False))).passes[0]
    assert found.machine == "A + B"
    assert found.overlap / found.driven > 0.9


def test_width_stands_in_from_the_boom(tmp_path: Path) -> None:
    """Rows without a width get a section of the boom, with a note; without a boom they are refused."""
    rows = pd.read_csv(io.StringIO(TEXT)).drop(columns="width m")

    share, said, _ = whole(rows.to_csv(index=False), tmp_path, boom=36.0)
    assert (share, said) == (pytest.approx(SHARE), {"log-width"})
    assert refused(whole, rows.to_csv(index=False), tmp_path).code == "log-width"


def test_sections_as_text_lie_side_by_side(tmp_path: Path) -> None:
    """A text of sections from left to right is one strip a section: north-bound,
    the last one lies in the east.
    """
    lines = [f"2026-06-03T07:00:{second:02d}Z,{41.0005 + second * 4e-5:.6f},-101.998,000001"
             for second in range(40)]
    log = logged(tmp_path / "log.csv", "\n".join(["time,lat,lon,sections", *lines]), boom=36.0)
    plane = Plane(41.001, -101.998)
    strips = swaths(cleaned(log, plane).rows, log.kind)
    ground = ground_of(shape().on(plane))
    spread(ground, strips, strips.value)
    on = ground.most > 0
    where = ground.x + (np.flatnonzero(on.any(axis=0)).mean() + 0.5) * ground.side

    assert log.kind == "sections"
    assert where == pytest.approx(15.0, abs=0.3)
    assert on.sum() / (ground.times > 0).sum() == pytest.approx(1 / 6, rel=0.03)


def test_a_number_of_sections_needs_how_many_there_are(tmp_path: Path) -> None:
    """The number of sections that were on says something only beside how many there are."""
    lines = ["time,lat,lon,sections", "2026-06-03T07:00:00Z,41.001,-101.998,3",
             "2026-06-03T07:00:01Z,41.00104,-101.998,4"]
    counted = [lines[0] + ",section count", *(line + ",6" for line in lines[1:])]

    assert refused(logged, tmp_path / "log.csv", "\n".join(lines), boom=36.0).code == "log-values"
    assert (list(logged(tmp_path / "log.csv", "\n".join(counted), boom=36.0).rows["value"])
            == pytest.approx([3 / 6, 4 / 6]))


@pytest.mark.parametrize("text",
                         ["", "   \n", "lat,lon\n41,-102\n", "time,lat,lon\n",
                          '{"type": "FeatureCollection", "features": []}', "[1, 2]", "{", '{"features": 3}',
                          "<gpx></gpx>", "<gpx", "\x00\x01\x02", 'time,lat,lon\n"2026-01-01T00:00Z,41,-102\n',
                          "PK\x03\x04rubbish",
                          "time,lat,lon\n2026-01-01T00:00Z,41,-102,7\n2026-01-01T00:01Z,41,-102,8\n"])
def test_rubbish_is_refused_in_words(text: str, tmp_path: Path) -> None:
    """Whatever is no log is refused with a problem, and never with an error of some library."""
    problem = refused(logged, tmp_path / "log.csv", text, boom=36.0)

    assert problem.code in {"map-file", "map-headers", "log-zone", "broken-csv"}
    assert problem.fix


@pytest.mark.parametrize("change", [
    lambda text: text.replace(text.splitlines()[40].split(",")[0], "soon"),
    lambda text: text.replace(text.splitlines()[40], text.splitlines()[40] + ",7,7,7"),
    lambda text: text.replace(text.splitlines()[40].split(",")[1], "north", 1),
    lambda text: pd.read_csv(io.StringIO(text)).to_csv(index=False, sep=";",
                                                       decimal=",").replace("41,0012", "north", 3),
], ids=["moment", "line", "cell", "cell with decimal commas"])
def test_one_broken_cell_costs_no_more_than_its_row(change: object, tmp_path: Path) -> None:
    """A moment, line or number that cannot be read is counted, and the rest of the log is read as ever."""
    log = logged(tmp_path / "log.csv", change(TEXT))  # type: ignore[operator]
    found = mapped(log)

    assert found.passes[0].share == pytest.approx(SHARE, rel=0.03)
    assert "log-rows" in codes(found.problems)


def test_widths_and_boundaries_that_cannot_be_are_not_believed(tmp_path: Path) -> None:
    """A strip of a kilometre counts as without a width, and a boundary as large as a country is refused."""
    rows = pd.read_csv(io.StringIO(TEXT))
    log = logged(tmp_path / "log.csv",
                 rows.assign(**{"width m": rows["width m"].where(rows.index != 5,
                                                                 1000.0)}).to_csv(index=False), boom=36.0)

    assert log.rows["width"].max() == 3
    assert "1 rows have no width" in log.problems[0].message
    assert refused(named_fields, [shape("North", RING * 100)], ["North"],
                   "fields.geojson").code == "map-shape"


def packed(parts: dict[str, bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    """Return an archive of these parts."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", method) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return held.getvalue()


@pytest.mark.parametrize(("name", "data"), [
    ("bomb.zip", packed({"a.shp": b"\0" * 30_000_000, "a.dbf": b""})),
    ("out.zip", packed({"../a.shp": b"x", "../a.dbf": b"x"})), ("root.zip", packed({"/etc/a.shp": b"x"})),
    ("parts.zip", packed({f"{number}.txt": b"" for number in range(200)})),
    ("type.kml", b'<?xml version="1.0"?><!DOCTYPE kml [<!ENTITY a "b">]><kml></kml>'),
    ("type.gpx", '<?xml version="1.0" encoding="utf-16"?><!DOCTYPE gpx><gpx></gpx>'.encode("utf-16")),
])
def test_files_made_to_do_harm_are_left_unopened(name: str, data: bytes, tmp_path: Path) -> None:
    """Archives that flood memory or lead out of their folder, and document types,
    are refused for logs and boundaries.
    """
    (tmp_path / name).write_bytes(data)
    reader = read_shapes if "gpx" not in name else lambda path: logged(path, data, boom=36.0)

    assert refused(reader, tmp_path / name).code == "suspicious-file"


def test_boundaries_of_all_kinds_are_alike(tmp_path: Path) -> None:
    """GeoJSON, KML and a zipped shapefile give the same rings, with hole and name."""
    outer, hole = shape(ring=RING).rings[0], shape(ring=RING[::-1] * 0.2 + 50).rings[0]
    closed = [np.vstack([ring, ring[:1]]).tolist() for ring in (outer, hole)]
    (tmp_path / "a.geojson").write_text(json.dumps({"type": "Feature", "properties": {"Field": "north"},
                                                    "geometry": {"type": "Polygon", "coordinates": closed}}),
                                        "utf-8")
    rings = ["".join(f"{x},{y},0 " for x, y in ring) for ring in closed]
    boundary = "".join(f"<{kind}><LinearRing><coordinates>{ring}</coordinates></LinearRing></{kind}>"
                       for kind, ring in zip(("outerBoundaryIs", "innerBoundaryIs"), rings, strict=True))
    (tmp_path / "a.kml").write_text(f'<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark><name'
                                    f'>North</name><Polygon>{boundary}</Polygon></Placemark></Document'
                                    f'></kml>')
    parts = {ending: io.BytesIO() for ending in ("shp", "shx", "dbf")}
    with shapefile.Writer(**parts, shapeType=shapefile.POLYGON) as writer:
        writer.field("FIELD", "C", 20)
        writer.poly([closed[0][::-1], closed[1][::-1]])
        writer.record("NORTH")
    (tmp_path / "a.zip").write_bytes(packed({f"in/a.{ending}": part.getvalue()
                                             for ending, part in parts.items()}))
    areas = []
    for name in ("a.geojson", "a.kml", "a.zip"):
        fields, problems = named_fields(read_shapes(tmp_path / name)[0], ["North"], name)
        assert (fields[0].name, problems, len(fields[0].rings)) == ("North", [], 2)
        areas.append(sorted(ring.sum() for ring in fields[0].rings))

    assert areas[1] == pytest.approx(areas[0], abs=1e-9)
    assert areas[2] == pytest.approx(areas[0], abs=1e-9)


def test_a_projected_shapefile_is_refused(tmp_path: Path) -> None:
    """The part that names a projected system is read before any shape."""
    (tmp_path / "a.zip").write_bytes(packed({"a.shp": b"x", "a.dbf": b"x",
                                             "a.prj": b'PROJCS["ETRS89 / UTM zone 32N"]'}))

    assert refused(read_shapes, tmp_path / "a.zip").code == "map-projected"


def test_boundaries_of_no_field_are_named(tmp_path: Path) -> None:
    """A boundary that is no field of the farm is left out with the nearest name.

    One that encloses nothing is too.
    """
    fields, problems = named_fields([shape("North"), shape("Nroth"), shape("")], ["North"], "fields.geojson")
    line = np.array([[0, 0], [10, 10], [20, 20]], float)
    (tmp_path / "a.geojson").write_text(json.dumps({"type": "Polygon", "coordinates": [line.tolist()]}),
                                        "utf-8")

    assert [each.name for each in fields] == ["North"]
    assert [problem.code for problem in problems] == ["map-shape", "map-shape"]
    assert "North" in problems[0].fix
    assert refused(named_fields, [shape("Nroth")], ["North"], "fields.geojson").code == "map-shape"
    assert refused(read_shapes, tmp_path / "a.geojson").code == "map-file"


def test_kinds_are_told_by_their_columns(tmp_path: Path) -> None:
    """The most telling column decides: shares of nozzles, volume, sections, the boom, else positions."""
    row, found = "2026-06-03T07:00:00Z,41.001,-101.998", []
    for title, value in (("nozzle_share,volume,state", "0.2,3,on"), ("volume,state", "3,on"),
                         ("sections,state", "0110,on"), ("state", "off"), ("speed", "12")):
        found.append(logged(tmp_path / "log.csv", f"time,lat,lon,{title}\n{row},{value}\n", boom=36.0).kind)

    assert tuple(found) == KINDS


def test_shares_in_percent_and_odd_values_are_noted(tmp_path: Path) -> None:
    """Shares that go beyond 1 are read as percent, and what cannot be counts as not known; both are said."""
    row = "2026-06-03T07:00:{:02d}Z,41.001,-101.998,{}"
    percent = logged(tmp_path / "log.csv",
                     "\n".join(["time,lat,lon,nozzle share",
                                *(row.format(at, value) for at, value in enumerate((20, 55, -3)))]),
                     boom=36.0)
    odd = logged(tmp_path / "log.csv",
                 "\n".join(["time,lat,lon,state",
                            *(row.format(at, value) for at, value in enumerate(("on", "maybe", "off")))]),
                 boom=36.0)

    assert list(percent.rows["value"]) == pytest.approx([0.2, 0.55, np.nan], nan_ok=True)
    assert list(odd.rows["value"]) == pytest.approx([1, np.nan, 0], nan_ok=True)
    assert codes(percent.problems) == {"log-values", "log-width"}
    assert "1 rows have a state that cannot be" in " ".join(problem.message for problem in odd.problems)
