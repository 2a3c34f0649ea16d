"""Logs and boundaries damaged at random, with seeds: they are read or refused in words,
and never break the program.
"""

from __future__ import annotations

import io
import json
import random
import zipfile
from collections import Counter
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import shapefile
from map_help import RING, csv_text, logged, mapped, shape, simulated, told_of

from workbook_builder.maps.shapes import read_shapes
from workbook_builder.read.text_files import BadFile

WORDS = (b"nan", b"inf", b"-inf", b"1e308", b"-1e9", b"0", b"", b"null", b"999999", b"\xff", b"2026-13-45",
         b'"', b",", b"\n", b"[", b"{}", b"181", b"on", b"0101")
#: The start of a log: damage is found, or not, in any row.
ROWS = pd.read_csv(io.StringIO(csv_text(simulated(every=6.0, section=12.0)))).head(90)
CSV = ROWS.to_csv(index=False).encode()


def shapefile_of(rows: pd.DataFrame) -> bytes:
    """Return rows as a zipped shapefile."""
    parts, held = {ending: io.BytesIO() for ending in ("shp", "shx", "dbf")}, io.BytesIO()
    with shapefile.Writer(**parts, shapeType=shapefile.POINT) as writer:
        writer.field("time", "C", 30)
        writer.field("state", "C", 4)
        for row in rows.itertuples():
            writer.point(row.lon, row.lat)
            writer.record(row.time, "on")
    with zipfile.ZipFile(held, "w") as archive:
        for ending, part in parts.items():
            archive.writestr(f"log.{ending}", part.getvalue())
    return held.getvalue()


def sound_files() -> dict[str, bytes]:
    """Return one sound file of every kind."""
    points = [{"type": "Feature", "geometry": {"type": "Point", "coordinates": [row.lon, row.lat]},
               "properties": {"time": row.time, "state": "on"}} for row in ROWS.itertuples()]
    track = "".join(f'<trkpt lat="{row.lat}" lon="{row.lon}"><time>{row.time}</time></trkpt>'
                    for row in ROWS[ROWS["section"] == 1].itertuples())
    ring = np.vstack([shape().rings[0], shape().rings[0][:1]]).tolist()
    corners = " ".join(f"{x},{y},0" for x, y in ring)
    return {
        "log.csv": CSV, "commas.csv": ROWS.to_csv(index=False, sep=";", decimal=",").encode(),
        "log.geojson": json.dumps({"type": "FeatureCollection", "features": points}).encode(),
        "log.gpx":
            f'<?xml version="1.0"?><gpx version="1.1"><trk><trkseg>{track}</trkseg></trk></gpx>'.encode(),
        "log.zip": shapefile_of(ROWS),
        "fields.geojson": json.dumps({"type": "Feature", "properties": {"field": "North"},
                                      "geometry": {"type": "Polygon", "coordinates": [ring]}}).encode(),
        "fields.kml": f"<kml><Placemark><name>North</name><Polygon><LinearRing><coordinates>{corners}"
                      f"</coordinates></LinearRing></Polygon></Placemark></kml>".encode(),
    }


def damaged(data: bytes, chance: random.Random) -> bytes:
    """Return a file with a few places changed, lost or doubled."""
    held = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 5))):
        at, kind = chance.randrange(len(held)), chance.random()
        if kind < 0.25:
            held[at] = chance.randrange(256)
        elif kind < 0.75:
            held[at : at + chance.randrange(1, 12)] = chance.choice(WORDS)
        elif kind < 0.85:
            del held[at : at + chance.randrange(1, 60)]
        elif kind < 0.93:
            held[at:at] = held[: chance.randrange(1, 200)]
        else:
            del held[at:]
        held = held or bytearray(b"x")
    return bytes(held)


def tried(name: str, data: bytes, folder: Path) -> str:
    """Read a file with all that follows; return whether it was read or refused."""
    try:
        if name.startswith("fields"):
            (folder / name).write_bytes(data)
            analysis = mapped(logged(folder / "log.csv", CSV, zone="UTC"),
                              shapes=read_shapes(folder / name)[0], passed="Spot")
        else:
            analysis = mapped(logged(folder / name, data, boom=30.0, zone="UTC"), passed="Spot",
                              overlays=[shape("wet", RING * 0.5, layer="wet")])
        json.dumps(told_of(analysis).tables(), allow_nan=False)
    except BadFile as refused:
        return "refused" if refused.problem.message and refused.problem.fix else "refused without a word"
    return "read"


@pytest.mark.parametrize("tries", [20, pytest.param(100, marks=pytest.mark.nightly)])
@pytest.mark.parametrize("name", sound_files())
def test_damage_never_breaks_the_program(name: str, tries: int, tmp_path: Path) -> None:
    """Damaged copies of a file of each kind are read, or refused with a problem that says what would be
    right.
    """
    sound = sound_files()[name]
    came_of = Counter(tried(name, damaged(sound, random.Random(seed)), tmp_path) for seed in range(tries))

    assert tried(name, sound, tmp_path) == "read"
    assert came_of["refused"] > 0
    assert came_of["refused"] + came_of["read"] == tries
