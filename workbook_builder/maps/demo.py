"""The log of the invented farms: simulated from fields, patches and machines that are invented too."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from workbook_builder.maps.plane import Floats, Plane
from workbook_builder.maps.simulate import Machine, Patch, make_world, placed, spray

FOLDER = "map"
BOUNDARIES, LAYERS = "fields.geojson", "overlays.geojson"


@dataclass(frozen=True)
class DemoField:
    """A field that stands nowhere."""

    name: str
    #: South-west corner [deg]
    latitude: float
    longitude: float
    ring: tuple[tuple[float, float], ...]  # Boundary from there [m]
    direction: float  # Of the runs [deg]
    patches: tuple[Patch, ...]  # Weedy ground [m from the corner]
    background: float  # Share of the rest with weeds
    layers: tuple[tuple[str, str, tuple[tuple[float, float], ...]], ...] = ()  # Layer -> ring [m]

    @property
    def plane(self) -> Plane:
        """Return the plane that the figures are drawn on."""
        return Plane(self.latitude, self.longitude)


@dataclass(frozen=True)
class DemoPass:
    """A pass over some fields, one log."""

    name: str
    file: str
    started: str
    zone: str
    machine: Machine
    fields: tuple[DemoField, ...]
    #: Weeds left of those of the field, as a part of their share.
    keeps: float = 1.0
    #: Every so many of the patches of each field is there: one that was sprayed well does not come back.
    every: int = 1


_STRIP = DemoField(
    "Long Strip", 41.0102, -102.0303, ((0, 0), (331, 0), (331, 1592), (0, 1592)), 0.0,
    (Patch(140, 1290, 80, 50, 20, 0.92), Patch(235, 420, 60, 40, 110, 0.85), Patch(6, 700, 620, 9, 0, 0.75),
     Patch(205, 900, 34, 26, 0, 0.8)), 0.2,
    (
        ("drowned out", "the low end", ((70, 1200), (205, 1190), (225, 1380), (85, 1390))),
        ("lighter soil", "the knoll", ((60, 180), (180, 160), (220, 300), (90, 330))),
    ),
)
_CORNER = DemoField(
    "Corner", 41.0289, -102.0291, ((0, 0), (452, 0), (452, 290), (332, 428), (0, 428)), 90.0,
    (Patch(226, 8, 215, 15, 90, 0.9), Patch(330, 250, 50, 38, 45, 0.85)), 0.16,
    (("road ditch", "along the road", ((0, 0), (452, 0), (452, 26), (0, 26))),),
)
_STONE = DemoField(
    "Stone Corner", 52.0105, 18.0211, ((0, 0), (430, 0), (410, 200), (250, 300), (0, 310)), 90.0,
    (Patch(120, 190, 60, 36, 60, 0.9), Patch(330, 60, 40, 25, 0, 0.8)), 0.17,
    (("drowned out", "the hollow", ((60, 140), (180, 150), (185, 240), (70, 235))),),
)

_WIDE = Machine(boom=30.48, section=7.62, speed=5.36, every=3.0, overlap=0.3, drift=0.5)
_TRAILED = Machine(boom=26.0, section=6.5, speed=2.64, every=3.0, overlap=0.25, drift=0.5)

PASSES = {
    "us": (
        DemoPass("Fallow spot", "fallow_spot.csv", "2026-06-03T07:00:00", "America/Denver", _WIDE,
                 (_STRIP, _CORNER)),
        DemoPass("Late fallow spot", "late_fallow_spot.csv", "2026-07-18T07:30:00", "America/Denver", _WIDE,
                 (_STRIP, _CORNER), 0.6, 2),
    ),
    "metric": (DemoPass("Fallow spot", "fallow_spot.csv", "2026-05-05T08:00:00", "Europe/Warsaw",
                        _TRAILED, (_STONE,)),),
}


def demo_map_files(units: str) -> dict[str, bytes]:
    """Return file name -> content of simulated logs, boundaries and overlays for one invented farm."""
    passes = PASSES[units]
    fields = tuple(dict.fromkeys(field for each in passes for field in each.fields))
    boundaries = [_polygon(field, field.ring, {"field": field.name, "note": "invented"}) for field in fields]
    layers = [_polygon(field, ring, {"layer": layer, "name": name, "note": "invented"}) for field in fields
              for layer, name, ring in field.layers]
    files = {BOUNDARIES: _collection(boundaries), LAYERS: _collection(layers)}
    return {**files, **{each.file: _log(each, seed, units).encode() for seed, each in enumerate(passes, 1)}}


def demo_map_names(units: str) -> list[str]:
    """Return the names of these files, without making them."""
    return [BOUNDARIES, LAYERS, *(each.file for each in PASSES[units])]


def _log(each: DemoPass, seed: int, units: str) -> str:
    """Return the log of one pass: a row a section every three seconds."""
    chance = np.random.Generator(np.random.PCG64(seed))
    foot = 0.3048 if units == "us" else 1.0
    lines = [f"time,lat,lon,width {'ft' if units == 'us' else 'm'},section,nozzle share,machine"]
    start = 0.0
    for field in each.fields:
        # A patch comes back in its place; what stands beside it does so only in part.
        patches = [replace(patch, share=patch.share * (0.5 + each.keeps / 2))
                   for patch in field.patches[:: each.every]]
        world = make_world([np.array(field.ring, float)], field.background * each.keeps, patches, chance)
        machine = replace(each.machine, direction=field.direction)
        log = spray(world, machine, chance).log
        rows = placed(log.assign(seconds=log["seconds"] + start), field.plane, each.started, each.zone)
        start = float(log["seconds"].max()) + start + 1500
        wide = rows["width"].iloc[0] / foot
        lines += [
            f"{time},{lat:.6f},{lon:.6f},{wide:g},{section},{share:.3f},Invented sprayer"
            for time, lat, lon, section, share in zip(rows["time"], rows["lat"], rows["lon"], rows["section"],
                                                      rows["nozzle_share"], strict=True)
        ]
    return "\n".join(lines) + "\n"


def _polygon(field: DemoField, ring: tuple[tuple[float, float], ...], said: dict[str, str]) -> dict[str, Any]:
    points: Floats = np.array([*ring, ring[0]], float)
    lat, lon = field.plane.back(points[:, 0], points[:, 1])
    places = [[round(float(x), 7), round(float(y), 7)] for x, y in zip(lon, lat, strict=True)]
    return {"type": "Feature", "properties": said, "geometry": {"type": "Polygon", "coordinates": [places]}}


def _collection(features: list[dict[str, Any]]) -> bytes:
    lines = ",\n".join(json.dumps(feature) for feature in features)
    return f'{{"type": "FeatureCollection", "features": [\n{lines}\n]}}\n'.encode()
