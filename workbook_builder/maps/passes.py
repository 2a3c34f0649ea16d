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

#: Half of the usual nozzle spacing of 20 in [m]: by so much a width may be wrong at each end; common practice, no source.
HALF_SPACING = 0.254
#: Drift of a receiver without correction [m] where nobody says, common practice, no source.
USUAL_DRIFT = 2.0


@dataclass(frozen=True)
class Planned:
    """What the book says about a pass on a field.

    Attributes
    ----------
    passed, field : str
    day : date or None
    carrier : float or None
        [L/m2]
    boom : float or None
        Width [m].
    behind : float or None
        Boom behind the antenna [m]; None where nobody says.
    """

    passed: str
    field: str
    day: date | None = None
    carrier: float | None = None
    boom: float | None = None
    behind: float | None = None


@dataclass(frozen=True)
class OverlayTest:
    """Whether a layer goes together with spraying in one pass and field.

    Attributes
    ----------
    layer : str
    share_inside, share_outside : float
        Of the ground inside and outside of it that was sprayed.
    area_inside : float
        [m2]
    r, effective_n, p, p_adjusted : float
        See :func:`workbook_builder.maps.statistics.correlation`; adjusted over all layers tested at once.
    """

    layer: str
    share_inside: float
    share_outside: float
    area_inside: float
    r: float
    effective_n: float
    p: float
    p_adjusted: float = float("nan")


@dataclass(frozen=True)
class Again:
    """Two passes or years of one field beside one another.

    Attributes
    ----------
    field, first, second : str
    jaccard : float
        Hot in both over hot in either.
    r, effective_n, p : float
    hot_both : float
        [m2]
    """

    field: str
    first: str
    second: str
    jaccard: float
    r: float
    effective_n: float
    p: float
    hot_both: float


@dataclass(frozen=True)
class FieldPass:
    """One pass on one field, as the log tells it; areas in m2, volume in L.

    Attributes
    ----------
    shape : Shape
    plane : Plane
    rings : tuple of array
        Boundary [m].
    planned : Planned
    day : str
    machine : str
    kind : str
    grid : Grid
        Cells of 12 m.  Its amounts are areas where the log measures them, else what was on.
    eye : Grid
        The same in cells for the eye: `ACROSS` along the side of a square as large, none narrower than what the log tells apart.
    squares : Grid
        At most `SQUARES` along each side, for the map in a workbook; ground sprayed twice counts twice, as in `sprayed`.
    boom : float
        Width [m]: that of the plan, else of all sections side by side.
    start : (x, y)
        Where the sprayer came in [m].
    drawn, driven, overlap, blind : float
        Area within the boundary; driven at least once; driven again by another run; driven with nothing known.
    volume, sprayed : float
        NaN where the log does not say.  Ground sprayed twice counts twice, as it does in the tank.
    spots : tuple of Spot
    overlays : tuple of OverlayTest
    spot_cover : mapping
        Rank of a spot -> layer that covers most of it, and how much.
    dead : tuple of str
        Sections that sprayed next to nothing.
    seen : mapping
        Rank of a spot -> pass in which it was hot before.
    rows_read, rows_used : int
    earlier : bool
        Whether it is of an earlier log, only compared with.
    """

    shape: Shape
    plane: Plane
    rings: tuple[Floats, ...]
    planned: Planned
    day: str
    machine: str
    kind: str
    grid: Grid
    eye: Grid
    squares: Grid
    boom: float
    start: tuple[float, float]
    drawn: float
    driven: float
    overlap: float
    blind: float
    volume: float
    sprayed: float
    rows_read: int
    rows_used: int
    spots: tuple[spots.Spot, ...] = ()
    overlays: tuple[OverlayTest, ...] = ()
    spot_cover: Mapping[int, tuple[str, float]] = field(default_factory=dict)
    dead: tuple[str, ...] = ()
    seen: Mapping[int, str] = field(default_factory=dict)
    earlier: bool = False

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
        """Return Moran's I of the shares of 12 m cells that share a side: 1 all in patches, about 0 scattered."""
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
        # Along the boundary a strip is known to the drift, and to a nozzle of every section or boom that lies across it.
        edge = (np.hypot(USUAL_DRIFT if drift is None else drift, HALF_SPACING)) * around / 2 / self.drawn
        return float(np.hypot(HALF_SPACING * 2 / self.boom, edge))


@dataclass(frozen=True)
class Analysis:
    """All that logs tell.

    Attributes
    ----------
    passes : tuple of FieldPass
        In the order of fields and days; those of earlier logs are not among them.
    again : tuple of Again
    problems : tuple of Problem
    earlier : tuple of FieldPass
        Those of earlier logs.
    """

    passes: tuple[FieldPass, ...]
    again: tuple[Again, ...]
    problems: tuple[Problem, ...]
    earlier: tuple[FieldPass, ...] = ()


@dataclass(frozen=True)
class Farm:
    """What logs are read against.

    Attributes
    ----------
    fields : tuple of Shape
        Boundaries by the farm's names.
    plan : tuple of Planned
    zone : str
        Time zone in which days begin.
    overlays : tuple of Shape
    passed : str
        Name of the pass, where neither log nor day tell it.
    behind : float or None
        Boom behind the position that is logged [m], whatever the plan says.
    """

    fields: tuple[Shape, ...]
    plan: tuple[Planned, ...]
    zone: str
    overlays: tuple[Shape, ...] = ()
    passed: str = ""
    behind: float | None = None
