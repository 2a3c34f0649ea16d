"""The ground of the spray map: plane, cells and statistics against reference libraries."""

from __future__ import annotations

import warnings
from itertools import pairwise

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from map_help import grid_of, source
from pyproj import Geod, Transformer

from workbook_builder.maps.hot_spots import boxed, extent, joined, labelled, second_opinion, to_boundary
from workbook_builder.maps.pages import walking_order
from workbook_builder.maps.plane import Plane, in_rings, outline, ring_area
from workbook_builder.maps.raster import covered, gridded, ground_of, inside_of, reach, spread
from workbook_builder.maps.simulate import Machine, make_world, spray
from workbook_builder.maps.statistics import adjusted, correlation, local_g, moran, normal_tail
from workbook_builder.maps.tracks import swaths


@pytest.mark.parametrize("latitude", [0.0, 12.3, 41.0, -33.5, 52.0, 78.0])
@pytest.mark.parametrize(("kilometres", "limit"), [(1.0, 1e-7), (3.2, 1e-7), (10.0, 1e-6)])
def test_area_on_the_plane_is_the_geodesic_area(latitude: float, kilometres: float, limit: float) -> None:
    """Areas of ragged fields up to 10 km agree with pyproj's geodesic area."""
    random = source(int(latitude * 10 + kilometres) % 997)
    angle = np.sort(random.random(17)) * 2 * np.pi
    radius = kilometres / 2 * (0.5 + 0.5 * random.random(17)) / 111.2
    lat, lon = latitude + radius * np.sin(angle), 18.0 + radius * np.cos(angle) / np.cos(np.radians(latitude))
    area = ring_area(*Plane(latitude, 18.0).forward(lat, lon))

    assert area == pytest.approx(Geod(ellps="WGS84").polygon_area_perimeter(lon, lat)[0], rel=limit)


def test_the_plane_is_that_of_pyproj() -> None:
    """Places on the plane agree with pyproj's to a thousandth of a millimetre, and so does the way back."""
    judge = Transformer.from_crs("EPSG:4326", "+proj=laea +lat_0=41 +lon_0=-102 +ellps=WGS84", always_xy=True)
    lat, lon = 41 + source(1).random(50) - 0.5, -102 + source(2).random(50) - 0.5
    x, y = Plane(41.0, -102.0).forward(lat, lon)

    assert np.array([x, y]) == pytest.approx(np.array(judge.transform(lon, lat)), abs=1e-6)
    assert np.array(Plane(41.0, -102.0).back(x, y)) == pytest.approx(np.array([lat, lon]), abs=1e-11)


def test_places_come_back_from_the_plane() -> None:
    """Forward and back gives the place to a millionth of a second of arc, across the seam of longitudes too.
    """
    lat, lon = np.array([41.0, 41.05, -12.0]), np.array([-102.0, -102.09, -101.9])
    plane = Plane(41.0, -102.0)
    found = plane.back(*plane.forward(lat, lon))
    seam = Plane(-17.0, 179.99).forward(np.array([-17.0]), np.array([-179.99]))[0][0]

    assert found[0] == pytest.approx(lat, abs=1e-10)
    assert found[1] == pytest.approx(lon, abs=1e-10)
    assert seam == pytest.approx(Geodesic.WGS84.Inverse(-17, 179.99, -17, -179.99)["s12"], rel=1e-6)


@pytest.mark.parametrize("machine", [
    Machine(drift=1.0), Machine(drift=1.0, bend=30), Machine(boom=24, section=24, direction=20),
    Machine(headland=True, drift=1.5),
], ids=["straight", "curved", "slanting", "headland"])
def test_driven_ground_is_the_union_of_strips(machine: Machine) -> None:
    """Cells cover what shapely's union of all strips within the field covers, to a thousandth.

    The two share no code.
    """
    ring = np.array([[0, 0], [410, 30], [380, 300], [150, 330], [140, 200], [0, 210]], float)
    world = make_world([ring], 0.1, [], source(3))
    strips = swaths(grid_of(spray(world, machine, source(4)).log), "nozzles")
    ground = ground_of([ring])
    within = reach(ground, strips)
    spread(ground, strips, strips.value)
    polygons = shapely.make_valid(shapely.polygons(strips.quads))
    field = shapely.Polygon(ring)
    union = shapely.intersection(shapely.union_all(polygons), field).area

    assert ground.inside.sum() * ground.cell_area == pytest.approx(field.area, rel=1e-3)
    assert (ground.times > 0).sum() * ground.cell_area == pytest.approx(union, rel=1e-3)
    assert within.sum() == pytest.approx(shapely.area(shapely.intersection(polygons, field)).sum(), rel=1e-3)


def test_strips_that_share_an_edge_share_no_cell() -> None:
    """Cells are counted by their middle: two neighbours cover each cell of a field once,
    wherever the edge between them lies.
    """
    for cut in (10.0, 10.25, 10.5, 12.345):
        quads = np.array([[[0, 0], [cut, 3], [cut, 30], [0, 30]], [[cut, 3], [40, 0], [40, 30], [cut, 30]]],
                         float)
        cells = covered(quads, (40, 50))[1]
        assert len(np.unique(cells)) == len(cells)
        assert len(cells) == pytest.approx(shapely.area(shapely.polygons(quads)).sum(), abs=35)


def test_holes_are_not_in_the_field() -> None:
    """A pond in a field, and a field of two parts, are told by the odd number of rings around a cell."""
    outer, pond, part = (np.array(shapely.box(*box).exterior.coords)[:-1]
                         for box in ((0, 0, 60, 40), (10, 10, 20, 30), (70, 0, 80, 10)))
    inside = inside_of([outer, pond, part], (50, 90))
    x, y = np.meshgrid(np.arange(90) + 0.5, np.arange(50) + 0.5)

    assert inside.sum() == 60 * 40 - 10 * 20 + 10 * 10
    assert (in_rings(x.ravel(), y.ravel(), [outer, pond, part]) == inside.ravel()).all()


def test_larger_cells_hold_what_the_small_ones_held() -> None:
    """Nothing is lost or added when cells are summed up, and of ground sprayed twice the larger share counts.
    """
    ground = ground_of([np.array([[0, 0], [50, 0], [50, 35], [0, 35]], float)])
    ground.times[:] = ground.inside
    ground.amount[:], ground.most[:] = 0.7 * ground.inside, 0.5 * ground.inside
    for side in (5.0, 7.3, 12.0, 60.0):
        grid = gridded(ground, side)
        assert ((grid.area.sum(), grid.driven.sum(), grid.amount.sum())
                == pytest.approx((50 * 35, 50 * 35, 0.5 * 50 * 35), rel=1e-6))


def test_local_g_is_that_of_esda() -> None:
    """Gi* of a grid with its eight neighbours agrees with esda to rounding, and chances with it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from esda.getisord import G_Local
        from libpysal.weights import lat2W
    shares = source(5).random((9, 12))
    grid = grid_with(shares)
    weights = lat2W(9, 12, rook=False)
    judge = G_Local(shares.ravel(), weights, star=True, permutations=0, transform="B")

    assert second_opinion(grid)[0].ravel() == pytest.approx(judge.Zs, abs=1e-12)
    assert normal_tail(np.abs(judge.Zs)) == pytest.approx(judge.p_norm, abs=1e-12)


def grid_with(shares: np.ndarray) -> object:
    """Return a grid of whole cells of 12 m with these shares."""
    from workbook_builder.maps.raster import Grid

    whole = np.full(shares.shape, 144.0)
    return Grid(12.0, 0.0, 0.0, whole, whole, shares * 144)


@pytest.mark.parametrize(("name", "column", "published"),
                         [("columbus", "CRIME", 0.50018856), ("sids2", "SIDR79", 0.16655745)])
def test_moran_of_open_data(name: str, column: str, published: float) -> None:
    """Moran's I of two open data sets that libpysal ships: neighbours by common border or corner,
    each row of weights adding to one.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        libpysal = pytest.importorskip("libpysal")
        folder = libpysal.examples.get_path(f"{name}.dbf")
        values = np.array(libpysal.io.open(folder).by_col(column), float)
        weights = libpysal.io.open(libpysal.examples.get_path({"columbus": "columbus.gal",
                                                               "sids2": "sids2.gal"}[name])).read().full()[0]
    weights = weights / weights.sum(axis=1, keepdims=True)

    assert (moran(values, weights @ (values - values.mean()), weights.sum(axis=1))
            == pytest.approx(published, abs=1e-8))


def test_adjusted_chances_are_those_of_scipy() -> None:
    """Benjamini and Hochberg's adjusted chances agree with scipy's."""
    from scipy.stats import false_discovery_control

    chances = source(6).random(200) ** 3

    assert adjusted(chances) == pytest.approx(false_discovery_control(chances), abs=1e-15)


def test_correlation_of_unlike_ground_is_the_plain_one() -> None:
    """Where neighbours are not alike, r is Pearson's, every cell stands for itself and the chance is scipy's.
    """
    from scipy.stats import pearsonr

    one, other, valid = source(7).random((30, 40)), source(8).random((30, 40)), np.ones((30, 40), bool)
    valid[:5, :9] = False
    r, effective, p = correlation(one, other, valid)
    judge = pearsonr(one[valid], other[valid])

    assert r == pytest.approx(judge[0], abs=1e-12)
    assert effective == pytest.approx(valid.sum(), rel=0.1)
    assert p == pytest.approx(judge[1], abs=0.03)


def test_smooth_ground_stands_for_few_pieces() -> None:
    """Where neighbours are alike, cells count as far fewer pieces,
    and chance alone rarely seems to go together.
    """
    false, pieces = 0, []
    for seed in range(60):
        random = source(100 + seed)
        maps = [boxed(boxed(boxed(random.random((34, 34)))))[3:-3, 3:-3] for _ in range(2)]
        _, effective, p = correlation(*maps, np.ones((28, 28), bool))
        pieces.append(effective)
        false += p < 0.05

    assert np.median(pieces) < 28 * 28 / 5
    assert false <= 8


def test_cells_that_touch_by_a_corner_belong_together() -> None:
    """Labels agree with scipy's, with all eight neighbours."""
    from scipy.ndimage import label

    hot = source(9).random((40, 50)) < 0.3
    labels, count = labelled(hot)
    judge, wanted = label(hot, np.ones((3, 3)))

    assert count == wanted
    assert len({(a, b) for a, b in zip(labels[hot], judge[hot], strict=True)}) == count


def test_outlines_enclose_their_cells() -> None:
    """Outlines of scattered cells are valid polygons with holes, outer rings counterclockwise,
    of the cells' own area.
    """
    cells = np.argwhere(source(10).random((25, 30)) < 0.55)
    polygons = [shapely.Polygon(rings[0], rings[1:]) for rings in outline(cells)]
    boxes = shapely.union_all([shapely.box(column, row, column + 1, row + 1) for row, column in cells])

    assert all(polygon.is_valid and polygon.exterior.is_ccw for polygon in polygons)
    assert all(not hole.is_ccw for polygon in polygons for hole in polygon.interiors)
    assert sum(polygon.area for polygon in polygons) == len(cells)
    assert shapely.union_all(polygons).symmetric_difference(boxes).area == 0


def test_pieces_in_one_line_are_joined() -> None:
    """Three pieces of a strip with gaps of up to five cells become one.

    A patch beside and a piece far off stay by themselves.
    """
    strip = [np.array([(row, 4) for row in rows]) for rows in (range(6), range(9, 20), range(25, 31))]
    patch, far = (np.array([(r, c) for r in range(5, 11) for c in range(12, 18)]),
                  np.array([(row, 4) for row in range(45, 50)]))
    found = sorted(len(piece) for piece in joined([*strip, patch, far]))
    long, wide, bearing = extent(np.array([(row, 2.0) for row in range(20)]))

    assert found == [5, 23, 36]
    assert (long, wide, bearing) == pytest.approx((20, 1, 0), abs=1e-6)


def test_distance_to_the_boundary() -> None:
    """The distance to the nearest boundary is shapely's."""
    ring = np.array([[0, 0], [90, 10], [70, 80], [10, 60]], float)
    for place in source(11).random((20, 2)) * 90:
        assert (to_boundary(*place, [ring])
                == pytest.approx(shapely.Polygon(ring).exterior.distance(shapely.Point(place)), abs=1e-9))


def test_walking_order_is_short() -> None:
    """The way to ten spots and back is never longer than by rank,
    and within a quarter of the shortest of all orders of six.
    """
    from itertools import permutations

    for seed in range(8):
        places = [tuple(place) for place in source(20 + seed).random((6, 2)) * 800]
        order, long = walking_order((0.0, 0.0), places)
        ways = [[(0.0, 0.0), *(places[at] for at in each), (0.0, 0.0)] for each in permutations(range(6))]
        lengths = [sum(float(np.hypot(*np.subtract(a, b))) for a, b in pairwise(way)) for way in ways]
        assert sorted(order) == list(range(6))
        assert long <= lengths[0] + 1e-9
        assert long <= 1.25 * min(lengths)


def test_local_g_of_equal_ground_is_nought() -> None:
    """Where nothing differs nothing stands out, instead of dividing by nought."""
    weights = np.ones((6, 6))

    assert (local_g(np.full(6, 2.0), weights @ np.full(6, 2.0), weights.sum(axis=1), weights.sum(axis=1))
            == 0).all()
