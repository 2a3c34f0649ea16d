"""Charts of the chosen spot pass: the estimate narrowing,
and the chance that the next fill finishes the field.
"""

from __future__ import annotations

from openpyxl.chart import Reference, ScatterChart, Series
from openpyxl.chart.marker import Marker
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.place import Placement, Spot
from workbook_builder.core.quantities import quantity
from workbook_builder.layout.charts import COLOURS, PutChart, cells_of, named_at, put, scatter, titled
from workbook_builder.planning import Plan

SIZE = (15.0, 6.8)
#: Point of the line of chances beside which its name stands, counted from 0, where the chance is less there.
LOW_POINT, LOW_CHANCE = 2, 0.6


def _add(chart: ScatterChart, spot: Spot, keys: tuple[str, str], title: str, colour: str) -> Series:
    across, up = keys
    series = Series(Reference(range_string=cells_of(spot, up)),
                    Reference(range_string=cells_of(spot, across)), title=title)
    series.smooth = False
    series.marker = Marker("circle", size=5)
    series.marker.graphicalProperties.solidFill = colour
    series.graphicalProperties.line.solidFill = colour
    series.graphicalProperties.line.width = 24000
    chart.series.append(series)
    return series


def narrowing(sheet: Worksheet, plan: Plan, placement: Placement, at: tuple[int, int]) -> tuple[int, int]:
    """Put the estimate of the chosen spot pass, step by step, below the log that narrows it."""
    spot, chart = placement.spots["step_facts"], scatter()
    series = (("chart_p10", "1 in 10 is less", COLOURS[4]), ("chart_mean", "Mean", COLOURS[0]),
              ("chart_p90", "Enough 9 times in 10", COLOURS[4]))
    for key, title, colour in series:
        _add(chart, spot, ("chart_step", key), title, colour)
    logged = _add(chart, spot, ("chart_load", "chart_logged"), "Logged load", COLOURS[3])
    logged.marker.symbol, logged.marker.size = "diamond", 9
    # A line has one fill: with two, spreadsheet programs offer to repair the file.
    logged.graphicalProperties.line.solidFill = None
    logged.graphicalProperties.line.noFill = True
    titled(chart, "Share of field sprayed, step by step", "1 experience, 2 scouting, 3 and on: loads",
           "Share of the field", ("0", "0%"))
    chart.x_axis.majorUnit, chart.x_axis.scaling.min, chart.y_axis.scaling.min = 1, 0, 0
    text = (
        "Line chart: mean, 10 % and 90 % quantile of the share of the field sprayed of the chosen spot pass "
        "after experience, scouting and each load; "
        "diamonds mark the share of each load logged. The figures stand in the table beside it."
    )
    return put(sheet, chart, at, "Share of field sprayed, step by step", text, SIZE)


def chance_by_fill(sheet: Worksheet, plan: Plan, placement: Placement,
                   at: tuple[int, int]) -> tuple[int, int]:
    """Put the chance that the next fill finishes the field, over its volume, below the tables."""
    spot, pick, chart = placement.spots["cost_curve"], placement.spots["spot_pick"], scatter()
    line = _add(chart, spot, ("volume", "chance_enough"), "Any fill", COLOURS[0])
    across, up = (pick.absolute(key) for key in ("advised_volume", "advised_chance"))
    point = Series(Reference(range_string=up), Reference(range_string=across), title="Advised")
    point.marker = Marker("diamond", size=12)
    point.marker.graphicalProperties.solidFill = COLOURS[3]
    point.graphicalProperties.line.noFill = True
    chart.series.append(point)
    # Names stand where a rising line leaves room: above its low begin, or below its end where it has none;
    # and right of the point advised.
    chances = [row["chance_enough"] for row in plan.tables["cost_curve"]]
    low = chances[LOW_POINT] == "" or chances[LOW_POINT] < LOW_CHANCE
    named_at(line, LOW_POINT if low else len(chances) - 1, "t" if low else "b")
    named_at(point, 0, "r")
    volume = quantity("volume").unit(plan.system, plan.inputs.currency)
    titled(chart, "Chance that the next fill finishes the field", f"Usable volume in the tank ({volume})",
           "Chance", ("#,##0", "0%"))
    chart.legend = None
    chart.y_axis.scaling.min, chart.y_axis.scaling.max = 0, 1
    text = ("Line chart: the chance that the next fill finishes the field rises with the usable volume in "
            "the tank; a diamond marks the volume and the chance after the fill that is advised. The figures "
            "of each fill stand in the table above it.")
    return put(sheet, chart, at, "Chance that the next fill finishes the field", text, SIZE)


SPOT_CHARTS: dict[str, PutChart] = {"narrowing": narrowing, "chance_by_fill": chance_by_fill}
