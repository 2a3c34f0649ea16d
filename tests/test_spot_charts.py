"""The chart of the next fill marks the fill that is advised."""

from __future__ import annotations

import io
from typing import Any

import pytest
from openpyxl import load_workbook

from workbook_builder.build import Built
from workbook_builder.features.shares.beta import told_chance
from workbook_builder.planning import Again

TITLE = "Chance that the next fill finishes the field"


def chance_chart(built: Built) -> Any:
    """Return the chart as a program reads it."""
    return next(chart for chart in load_workbook(io.BytesIO(built.data))["Spot pass"]._charts
                if "".join(run.t for part in chart.title.tx.rich.p for run in part.r) == TITLE)


def test_point_stands_at_the_advised_fill(farm: Built) -> None:
    """The one point of the second series is the volume and the chance of the choice advised in the plan,
    and says so beside it.
    """
    line, point = chance_chart(farm).series
    spot = farm.placement.spots["spot_pick"]
    advised = next(row for row in farm.plan.tables["spot_options"] if row["advised"] == "yes")
    pick = farm.plan.tables["spot_pick"][0]

    assert [axis.numRef.f.replace("'", "") for axis in (point.xVal, point.yVal)] == [
        spot.absolute(key).replace("'", "") for key in ("advised_volume", "advised_chance")]
    [[across], [up]] = ([float(each.v) for each in axis.numRef.numCache.pt]
                        for axis in (point.xVal, point.yVal))
    assert across == pytest.approx(max(advised["volume"], pick["available"]))
    assert up == pytest.approx(min(0.999, max(0.001, 1 - advised["chance_short"])))
    assert point.tx.v == "Advised"
    assert [label.idx for label in point.dLbls.dLbl if label.showSerName] == [0]
    assert point.marker.symbol != line.marker.symbol
    assert point.marker.size > line.marker.size


def test_point_follows_every_spot_pass(farm: Built) -> None:
    """Of every spot pass with something left to spray the point has the volume advised and, of what is in the
    tank after the fill, the chance; it lies on the scale of the chart.
    """
    choose, seen = Again(farm.plan, "spot_load_choice", ("spot_pick", "spot_options")), 0
    for spot in farm.plan.tables["spot_passes"]:
        if "" in (spot["pass"], spot["next_fill"]) or not spot["full_volume"]:
            continue
        [[pick], options] = choose(**{"pass": spot["pass"], "field": spot["field"]})
        advised = next(row for row in options if row["advised"] == "yes")
        assert pick["advised_volume"] == pytest.approx(max(advised["volume"], spot["available"]))
        assert pick["advised_volume"] == pytest.approx(
            max(0, spot["in_tank"] + advised["fill"] - (spot["unusable"] or 0)))
        assert pick["advised_chance"] == told_chance(pick["advised_volume"] / spot["full_volume"], spot["a"],
                                                     spot["b"], 0.999)
        seen += 1
    assert seen >= 2


def test_no_point_where_nothing_is_advised(farm: Built) -> None:
    """Without such a pass there is neither a volume nor a chance that the scale of the chart reaches."""
    choose = Again(farm.plan, "spot_load_choice", ("spot_pick",))
    [[pick]] = choose(**{"pass": "none such", "field": "nowhere"})

    assert (pick["advised_volume"], pick["advised_chance"]) == ("", -1)
    assert chance_chart(farm).y_axis.scaling.min == 0
