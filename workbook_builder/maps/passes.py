"""What is known of one pass on one field, and of a farm whose logs are read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from workbook_builder.check.problems import Problem
from workbook_builder.maps import hot_spots as spots
from workbook_builder.maps.plane import Floats, Plane
from workbook_builder.maps.raster import Grid
from workbook_builder.maps.shapes import Shape
from workbook_builder.maps.statistics import moran

#: Half of the usual nozzle spacing of 20 in [m]: by so much a width may be wrong at each end; common
#: practice, no source.
HALF_SPACING = 0.254
#: Drift of a receiver without correction [m] where nobody says, common practice, no source.
USUAL_DRIFT = 2.0


@dataclass(frozen=True)
class Planned:
    """What the book says about a pass on a field."""

    passed: str
    field: str
    day: date | None = None
    carrier: float | None = None  # [L/m2]
    boom: float | None = None  # Width [m]
    behind: float | None = None  # Boom behind the antenna [m]; None where nobody says


@dataclass(frozen=True)
class OverlayTest:
    """Whether a layer goes together with spraying in one pass and field."""

    layer: str
    #: Of the ground inside and outside of it that was sprayed
    share_inside: float
    share_outside: float
    area_inside: float  # [m2]
    #: See :func:`workbook_builder.maps.statistics.correlation`; adjusted over all layers tested at once
    r: float
    effective_n: float
    p: float
    p_adjusted: float = float("nan")


@dataclass(frozen=True)
class Again:
    """Two passes or years of one field beside one another."""

    field: str
    first: str
    second: str
    jaccard: float  # Hot in both over hot in either
    r: float
    effective_n: float
    p: float
    hot_both: float  # [m2]


@dataclass(frozen=True)
class FieldPass:
    """One pass on one field, as the log tells it; areas in m2, volume in L."""

    shape: Shape
    plane: Plane
    rings: tuple[Floats, ...]  # Boundary [m]
    planned: Planned
    day: str
    machine: str
    kind: str
    grid: Grid  # Cells of 12 m.  Its amounts are areas where the log measures them, else what was on.
    #: The same in cells for the eye: `ACROSS` along the side of a square as large, none narrower than what
    #: the log tells apart
    eye: Grid
    #: At most `SQUARES` along each side, for the map in a workbook; ground sprayed twice counts twice, as in
    #: `sprayed`
    squares: Grid
    boom: float  # Width [m]: that of the plan, else of all sections side by side
    start: tuple[float, float]  # (x, y): Where the sprayer came in [m]
    #: Area within the boundary; driven at least once; driven again by another run; driven with nothing known
    drawn: float
    driven: float
    overlap: float
    blind: float
    #: NaN where the log does not say.  Ground sprayed twice counts twice, as it does in the tank.
    volume: float
    sprayed: float
    rows_read: int
    rows_used: int
    spots: tuple[spots.Spot, ...] = ()
    overlays: tuple[OverlayTest, ...] = ()
    # Rank of a spot -> layer that covers most of it, and how much
    spot_cover: Mapping[int, tuple[str, float]] = field(default_factory=dict)
    dead: tuple[str, ...] = ()  # Sections that sprayed next to nothing
    seen: Mapping[int, str] = field(default_factory=dict)  # Rank of a spot -> pass in which it was hot before
    earlier: bool = False  # Whether it is of an earlier log, only compared with

    @property
    def key(self) -> tuple[str, ...]:
        """Return what tells it from other passes: field, pass, kind of log, and for earlier ones the year."""
        return (self.shape.name, self.planned.passed, self.kind, self.day[:4] if self.earlier else "")

    @property
    def share(self) -> float:
        """Return the share of the field that was sprayed; NaN where the log does not measure it."""
        return self.sprayed / self.drawn

    @property
    def name(self) -> str:
        """Return pass and day."""
        return f"{self.planned.passed}, {self.day}"

    def clumping(self) -> float:
        """Return Moran's I of the shares of 12 m cells that share a side: 1 all in patches,
        about 0 scattered.
        """
        valid, share = spots.cell_shares(self.grid)
        if valid.sum() < 3:
            return float("nan")
        apart = np.where(valid, share - share[valid].mean(), 0.0)

        def beside(part: Floats) -> Floats:
            wide = np.pad(part, 1)
            return np.asarray(wide[:-2, 1:-1] + wide[2:, 1:-1] + wide[1:-1, :-2] + wide[1:-1, 2:])

        return moran(share[valid], beside(apart)[valid], beside(valid.astype(float))[valid])

    def error(self, drift: float | None) -> float:
        """Return by which part the share may be wrong for width and drift; see docs/spray-map-study.md.

        Parameters
        ----------
        drift : float or None
            Of the receiver [m]; `USUAL_DRIFT` where nobody says.
        """
        around = sum(float(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).sum()) for ring in self.rings)
        # Along the boundary a strip is known to the drift, and to a nozzle of every section or boom that lies
        # across it.
        edge = (np.hypot(USUAL_DRIFT if drift is None else drift, HALF_SPACING)) * around / 2 / self.drawn
        return float(np.hypot(HALF_SPACING * 2 / self.boom, edge))


@dataclass(frozen=True)
class Analysis:
    """All that logs tell."""

    passes: tuple[FieldPass, ...]  # In the order of fields and days; those of earlier logs are not among them
    again: tuple[Again, ...]
    problems: tuple[Problem, ...]
    earlier: tuple[FieldPass, ...] = ()  # Those of earlier logs


@dataclass(frozen=True)
class Farm:
    """What logs are read against."""

    fields: tuple[Shape, ...]  # Boundaries by the farm's names
    plan: tuple[Planned, ...]
    zone: str  # Time zone in which days begin
    overlays: tuple[Shape, ...] = ()
    passed: str = ""  # Name of the pass, where neither log nor day tell it
    behind: float | None = None  # Boom behind the position that is logged [m], whatever the plan says
