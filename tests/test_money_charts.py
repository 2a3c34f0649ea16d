"""The charts of the money: they show data without calculating, and say in words what they show."""

from __future__ import annotations

import io
import re
from functools import lru_cache
from itertools import pairwise

import pytest
from openpyxl import Workbook, load_workbook

from workbook_builder.build import Built
from workbook_builder.features.tabs import TABS
from workbook_builder.finish.parts import read_parts
from workbook_builder.layout.money_charts import MONEY_CHARTS


@lru_cache(maxsize=1)
def opened(data: bytes) -> Workbook:
    """Return a workbook, read once for the tests that only look."""
    return load_workbook(io.BytesIO(data))


@pytest.mark.parametrize("sheet",
                         [tab.title for tab in TABS
                          if any(block.chart in MONEY_CHARTS for block in tab.blocks)])
def test_charts_carry_their_points(farm: Built, sheet: str) -> None:
    """Every series of every chart holds at least one stored point."""
    charts = opened(farm.data)[sheet]._charts

    assert charts
    for chart in charts:
        for series in chart.series:
            values = series.yVal if series.yVal is not None else series.val
            assert values.numRef.numCache.pt, series.tx


def test_charts_are_described(farm: Built) -> None:
    """Every chart has a name of its own and a sentence for those who cannot see it."""
    drawings = [data.decode() for name, data in read_parts(farm.data).items()
                if re.fullmatch(r"xl/drawings/drawing[0-9]+\.xml", name)]
    described = [match for xml in drawings
                 for match in re.findall(r'<(?:xdr:)?cNvPr id="[0-9]+" name="([^"]+)" descr="([^"]+)"', xml)]

    assert len(described) == sum(xml.count("graphicFrame>") // 2 for xml in drawings) >= len(MONEY_CHARTS)
    assert len({name for name, _ in described}) == len(described)
    assert all(len(text) > 80 for _, text in described)


def test_crossing_is_where_the_lines_cross(demo: Built) -> None:
    """The dot of the what-if chart stands where spot and broadcast cost the same."""
    chosen, curve = demo.plan.tables["spot_chosen"][0], demo.plan.tables["spot_curve"]
    dearer = [row["share"] for row in curve if row["spot_cost"] > row["broadcast_cost"]]
    cheaper = [row["share"] for row in curve if row["spot_cost"] <= row["broadcast_cost"]]

    assert max(cheaper) <= chosen["break_even_share"] <= min(dearer)


def test_two_way_table_holds_the_plan_at_its_own_price(demo: Built) -> None:
    """The column at the product cost entered is broadcast less spot, each to a ten-thousandth,
    and dearer product gains more.
    """
    for row in demo.plan.tables["spot_curve"]:
        assert row["net_step_3"] == pytest.approx(row["broadcast_cost"] - row["spot_cost"], abs=1.1e-4)
        assert row["share"] == 1 or row["net_step_1"] < row["net_step_3"] < row["net_step_5"]


def test_another_chosen_pass_moves_the_curve(demo: Built) -> None:
    """Choosing a pass and field shows that pass."""
    from workbook_builder.planning import make_plan
    from workbook_builder.verify import edited

    row = next(row for row in reversed(demo.plan.tables["spot_against_broadcast"]) if row["on"])
    inputs = edited(edited(demo.plan.inputs, "spot_choice", 0, "pass", row["pass"]), "spot_choice", 0,
                    "field", row["field"])

    chosen = make_plan(inputs, demo.plan.room).tables["spot_chosen"][0]
    assert (chosen["start"], chosen["break_even_share"]) == (row["start"], row["break_even_share"])


def test_every_machine_is_drawn(farm: Built) -> None:
    """The payback chart holds two lines a machine, up to four machines, each over its own years."""
    sheet = opened(farm.data)["Machine"]
    names = [row["sprayer"] for row in farm.plan.tables["machine"] if row["sprayer"]]
    ranges = [series.yVal.numRef.f for series in sheet._charts[0].series]

    assert len(ranges) == len(set(ranges)) == 2 * min(4, max(1, len(names)))


def test_axes_say_what_they_measure(farm: Built) -> None:
    """Every chart has a title and says with its unit what its figures are.

    One series alone needs no legend, nor do series named beside their lines.
    """
    charts = [chart for sheet in opened(farm.data).worksheets for chart in sheet._charts]

    assert charts
    for chart in charts:
        told = "".join(run.t for paragraph in chart.y_axis.title.tx.rich.p for run in paragraph.r)
        title = "".join(run.t for paragraph in chart.title.tx.rich.p for run in paragraph.r)
        named = [series for series in chart.series if series.dLbls is not None
                 and any(label.showSerName for label in series.dLbls.dLbl)]
        assert told
        assert title
        assert title.endswith("by field") <= (chart.x_axis.title is not None), title
        assert (chart.legend is None) == (len(chart.series) == 1 or len(named) == len(chart.series)), title


def test_stacked_costs_are_told_apart_in_grey(farm: Built) -> None:
    """The parts of a stacked bar grow lighter one by one, so that a grey print keeps them apart."""
    chart = next(chart for chart in opened(farm.data)["Cost"]._charts if len(chart.series) == 5)
    grey = [sum(int(series.graphicalProperties.solidFill.srgbClr[at : at + 2], 16) for at in (0, 2, 4)) / 3
            for series in chart.series]

    assert all(later - earlier >= 30 for earlier, later in pairwise(grey))
