"""The chart of what matters most of the machine: its bars tell the figures of the table,
on any side of nothing, and stand beside the payback.
"""

from __future__ import annotations

import io
from itertools import pairwise
from typing import Any

import pytest
from openpyxl import load_workbook

from workbook_builder.build import Built
from workbook_builder.features.machine.definitions import swing_bar
from workbook_builder.layout.charts import cells_of
from workbook_builder.layout.money_charts import NAMED_PARTS, SWING_PARTS
from workbook_builder.planning import make_plan
from workbook_builder.verify import edited

#: Places of the parts in the stack, the blank one before them, by shade.
DOWN, UP = (1, 3), (2, 4)


def lies(parts: tuple[float, ...]) -> list[tuple[float, float]]:
    """Return from where to where each part of a stacked bar lies: those above nothing grow up from nothing,
    the others down.
    """
    above = below = 0.0
    found = []
    for part in parts:
        if part >= 0:
            found.append((above, above + part))
            above += part
        else:
            found.append((below + part, below))
            below += part
    return found


def shade(parts: tuple[float, ...], places: tuple[int, ...]) -> tuple[float, float]:
    """Return from where to where one shade of a bar reaches, and see that it has no hole."""
    spans = sorted(span for place, span in enumerate(lies(parts)) if place in places and span[0] != span[1])
    for before, after in pairwise(spans):
        assert before[1] == pytest.approx(after[0], abs=1e-6)
    return (spans[0][0], spans[-1][1]) if spans else (0.0, 0.0)


def plain(place: str) -> str:
    """Return a range without the quotes around its sheet, which the library always writes."""
    return place.replace("'", "")


def machine_charts(built: Built) -> list[Any]:
    """Return the charts of the tab Machine as a program reads them: the payback, and what matters most."""
    return load_workbook(io.BytesIO(built.data))["Machine"]._charts


@pytest.mark.parametrize(
    ("low", "entered", "high"),
    [(2, 5, 9), (9, 5, 2), (-3, 5, 9), (9, 5, -3), (-9, -5, -2), (-2, -5, -9), (-9, -5, 3), (3, -5, -9),
     (0, 5, 9), (9, 5, 0), (-4, 0, 4), (4, 0, -4), (5, 5, 9), (2, 5, 5), (-9, -5, -5), (-5, -5, -2)],
)
def test_shades_meet_at_what_is_entered(low: float, entered: float, high: float) -> None:
    """On any side of nothing one shade reaches from what is left as entered to what is left moved down,
    the other to what is left moved up.
    """
    parts = swing_bar(low, entered, high)

    for end, places in ((low, DOWN), (high, UP)):
        if end != entered:
            assert shade(parts, places) == (min(end, entered), max(end, entered))
        else:
            assert [parts[place] for place in places] == [0, 0]


def test_nothing_moved_draws_no_bar() -> None:
    """A figure that changes nothing has no bar, and what stays blank ends where the others meet."""
    assert swing_bar(5, 5, 5) == (5, 0, 0, 0, 0)


def test_bars_tell_the_figures_of_the_table(farm: Built) -> None:
    """Every bar of the file lies between the two figures of its row of the table, largest swing first."""
    ranked = [row for row in farm.plan.tables["machine_ranked"] if row["row"] != ""][:8]
    chart, spot = machine_charts(farm)[1], farm.placement.spots["machine_drawn"]
    keys = ["blank", *(key for key, *_ in SWING_PARTS)]
    names = chart.series[0].cat.strRef

    assert [plain(series.val.numRef.f) for series in chart.series] == [plain(cells_of(spot, key))
                                                                       for key in keys]
    assert plain(names.f) == plain(cells_of(spot, "figure"))
    assert [point.v for point in names.strCache.pt] == [row["figure"] for row in ranked]
    points = [[float(point.v) for point in series.val.numRef.numCache.pt] for series in chart.series]
    for row, *parts in zip(ranked, *points, strict=True):
        for key, places in (("low", DOWN), ("high", UP)):
            ends = sorted((row[key], row["as_entered"]))
            if ends[1] - ends[0] > 1e-6:
                assert shade(tuple(parts), places) == pytest.approx(ends)
    assert [row["size"] for row in ranked] == sorted((row["size"] for row in ranked), reverse=True)


def test_legend_names_each_shade_once(farm: Built) -> None:
    """The legend keeps one part of each shade, counted from either end, and names it with the machine."""
    chart = machine_charts(farm)[1]
    away = {entry.idx for entry in chart.legend.legendEntry if entry.delete}
    kept = [number for number in range(len(chart.series)) if number not in away]
    machine = farm.plan.tables["machine_ranked"][0]["sprayer"]
    told = [series.tx.strRef.strCache.pt[0].v for series in chart.series[1:]]

    assert tuple(kept) == NAMED_PARTS
    for numbers in (kept, [len(chart.series) - 1 - number for number in kept]):
        assert {told[number - 1] for number in numbers} == {f"{machine}, figure moved down",
                                                            f"{machine}, figure moved up"}


def test_first_machine_that_can_be_counted_is_drawn(metric: Built) -> None:
    """When the first machine lacks a figure the bars are those of the second one, and none without any."""
    first, second = (row["sprayer"] for row in metric.plan.tables["machine"][:2])
    without = edited(metric.plan.inputs, "machine", 0, "price_premium", None)
    neither = edited(without, "machine", 1, "price_premium", None)
    drawn, other, none = (make_plan(inputs, metric.plan.room).tables
                          for inputs in (metric.plan.inputs, without, neither))

    for tables, machine in ((drawn, first), (other, second)):
        rows = [row for row in tables["machine_ranked"] if row["sprayer"] == machine]
        assert [(row["low"], row["high"]) for row in tables["machine_drawn"]] == [(row["low"], row["high"])
                                                                                  for row in rows]
        assert tables["machine_drawn"][0]["shade"] == f"{machine}, figure moved down"
    assert {row[key] for row in none["machine_drawn"] for key in ("figure", "blank", "down", "up")} == {""}


def test_charts_of_the_machine_stand_side_by_side(farm: Built) -> None:
    """Neither chart covers the other: the payback ends before the column in which the bars begin."""
    from workbook_builder.layout.chart_room import _wide

    sheet = load_workbook(io.BytesIO(farm.data))["Machine"]
    payback, bars = (chart.anchor for chart in sheet._charts)
    between = sum(_wide(sheet, number) for number in range(payback._from.col + 1, bars._from.col + 1))

    assert payback._from.row == bars._from.row
    assert between > 0
    assert payback.ext.width < between
