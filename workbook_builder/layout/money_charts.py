"""Charts of the money: cost over the share of the field sprayed, cost by field, payback of the machine."""

from __future__ import annotations

from openpyxl.chart import BarChart, Reference, Series
from openpyxl.chart.data_source import StrRef
from openpyxl.chart.label import DataLabelList
from openpyxl.chart.layout import Layout, ManualLayout
from openpyxl.chart.legend import LegendEntry
from openpyxl.chart.marker import Marker
from openpyxl.chart.series import SeriesLabel
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.place import Placement, column_letter, quoted
from workbook_builder.core.quantities import quantity
from workbook_builder.layout.charts import (
    COLOURS,
    LABEL,
    SHADES,
    PutChart,
    cells_of,
    lettering,
    named_at,
    put,
    scatter,
    titled,
)
from workbook_builder.planning import Plan

#: Parts of the cost of a field, per area, in stacking order.
STACK = ("products_area", "carrier_area", "running_area", "fee_area", "owning_area")
#: Room for fields typed later, in columns of the chart.
SPARE_FIELDS = 2
#: First and last line of the figures on what spotting may be worth, worst first.
NET_RANGE = ("together_p10", "together_p90")
#: Lines of the figures on what the spot passes cost, sprayed all over and as spotted.
SPOTTING = ("all_over", "as_spotted")
#: Format of an axis that tells no figures, since its bars do.
UNTOLD = ";;;"
#: Height of the two charts of the machine, which the first screen of a laptop shows [cm].
SIDE_BY_SIDE = 9.0
#: More machines than this make a chart nobody can read.
MOST_MACHINES = 4
#: Parts of the bars of figures moved, in stacking order, each with its shade and the row of its name, counted
#: from 0; and those of them that the legend names: some programs count its entries from the other end, and
#: then come upon one of each shade too.
SWING_PARTS = (("down", SHADES[1], 0), ("up", SHADES[4], 1), ("down_on", SHADES[1], 0),
               ("up_on", SHADES[4], 1))
NAMED_PARTS = (1, 2)
MARKS = ("none", "circle", "triangle", "square")


def _line(values: str, across: str, title: str, colour: str, dash: str = "solid",
          mark: str = "none") -> Series:
    series = Series(Reference(range_string=values), Reference(range_string=across), title=title)
    series.marker = Marker(mark, size=6, spPr=GraphicalProperties(solidFill=colour))
    series.smooth = False
    series.graphicalProperties.line.solidFill = colour
    series.graphicalProperties.line.width = 28000
    series.graphicalProperties.line.dashStyle = dash
    return series


def _figures(form: str) -> DataLabelList:
    """Return labels that write its figure beside every bar."""
    return DataLabelList(showVal=True, showSerName=False, showCatName=False, showLegendKey=False,
                         showPercent=False, numFmt=form, txPr=lettering(LABEL))


def _bars(names: str, figures: str, title: str, form: str) -> BarChart:
    """Return bars one below the other, the first on top, each with its name and its figure."""
    chart = BarChart()
    chart.type, chart.gapWidth, chart.legend = "bar", 40, None
    series = Series(Reference(range_string=figures), title=title)
    series.graphicalProperties.solidFill = COLOURS[0]
    series.invertIfNegative = False
    series.dLbls = _figures(form)
    chart.series.append(series)
    chart.set_categories(Reference(range_string=names))
    chart.x_axis.scaling.orientation, chart.y_axis.crosses = "maxMin", "max"
    return chart


def cost_over_share(sheet: Worksheet, plan: Plan, placement: Placement,
                    at: tuple[int, int]) -> tuple[int, int]:
    """Put the cost of the chosen pass over its share of the field sprayed beside the what-if table."""
    curve, chosen = placement.spots["spot_curve"], placement.spots["spot_chosen"]
    unit = quantity("money_per_area").unit(plan.system, plan.inputs.currency)
    chart, across = scatter(), cells_of(curve, "share")
    chart.series.append(_line(cells_of(curve, "spot_cost"), across, "Spot", COLOURS[0]))
    chart.series.append(_line(cells_of(curve, "broadcast_cost"), across, "Broadcast", COLOURS[1], "dash"))
    even, broadcast = (chosen.absolute(key) for key in ("break_even_share", "broadcast_cost"))
    point = Series(Reference(range_string=broadcast), Reference(range_string=even),
                   title="Spot costs as much")
    point.marker = Marker("circle", size=10)
    point.marker.graphicalProperties.solidFill = COLOURS[3]
    point.graphicalProperties.line.noFill = True
    chart.series.append(point)
    for series, last, place in zip(chart.series, (curve.rows - 1, curve.rows // 4, 0),
                                   ("l", "t", "b"), strict=True):
        named_at(series, last, place)
    chart.legend = None
    titled(chart, "Cost over the share of the field sprayed", "Share of field sprayed",
           f"Cost per field area ({unit})", ("0%", "#,##0.00"))
    chart.x_axis.scaling.min, chart.x_axis.scaling.max = 0, 1
    text = (
        "Line chart: cost per field area of the chosen spot pass rises in a straight line with the share of "
        "the field sprayed; broadcasting is a level line; "
        "a dot marks the share at which both cost the same. The figures stand in the table below it."
    )
    return put(sheet, chart, at, "Cost over the share of the field sprayed", text)


def cost_by_field(sheet: Worksheet, plan: Plan, placement: Placement, at: tuple[int, int]) -> tuple[int, int]:
    """Put a bar a field with what the season costs there per area, its figure beside it."""
    spot = placement.spots["cost_fields"]
    count = max(1, min(spot.rows, sum(row["field"] != "" for row in plan.tables["cost_fields"])))
    unit = quantity("money_per_area").unit(plan.system, plan.inputs.currency)
    chart = _bars(cells_of(spot, "field", 0, count), cells_of(spot, "cost_per_area", 0, count),
                  "Cost per area", "#,##0.00")
    titled(chart, "Cost of the season by field", "Field", f"Cost per area ({unit})", ("General", UNTOLD))
    chart.y_axis.scaling.min = 0
    # Room right of the bars, where their figures stand.
    tall = max(5.0, 2.3 + 0.6 * count)
    chart.layout = Layout(ManualLayout("inner", "edge", "edge", x=0.26, y=1.1 / tall, w=0.6,
                                       h=(tall - 2.6) / tall))
    text = ("Bars: what the season costs per area in every field, hire fees in. The figures stand in the "
            "table of costs by field.")
    return put(sheet, chart, at, "Cost of the season by field", text, (17.0, tall))


def full_cost_by_field(sheet: Worksheet, plan: Plan, placement: Placement,
                       at: tuple[int, int]) -> tuple[int, int]:
    """Put the stacked cost per area of every field below its table."""
    spot = placement.spots["full_fields"]
    filled = sum(row["field"] != "" for row in plan.tables["full_fields"])
    count = max(1, min(spot.rows, filled + SPARE_FIELDS))
    unit = quantity("money_per_area").unit(plan.system, plan.inputs.currency)
    chart = BarChart()
    chart.type, chart.grouping, chart.overlap, chart.gapWidth = "bar", "stacked", 100, 40
    for key, colour in zip(STACK, SHADES, strict=True):
        series = Series(Reference(range_string=cells_of(spot, key, 0, count)),
                        title=spot.table.by_key[key].header.removesuffix(" per area"))
        series.graphicalProperties.solidFill = colour
        series.graphicalProperties.line.solidFill = SHADES[0]
        chart.series.append(series)
    chart.set_categories(Reference(range_string=cells_of(spot, "field", 0, count)))
    titled(chart, "Full cost of the season by field", "Field", f"Cost per area ({unit})",
           ("General", "#,##0"))
    chart.x_axis.scaling.orientation = "maxMin"
    chart.y_axis.crosses, chart.y_axis.scaling.min = "max", 0
    # A name beside every bar; the title above them, figures, axis title and legend below them.
    tall = 4.6 + 0.38 * count
    chart.layout = Layout(ManualLayout("inner", "edge", "edge", x=0.34, y=1.0 / tall, w=0.6,
                                       h=(tall - 3.3) / tall))
    text = (
        "Stacked bars: for every field the season's cost per area, split into products, carrier, running the "
        "sprayer, spot fees and owning it. "
        "The figures stand in the table above."
    )
    return put(sheet, chart, at, "Full cost by field", text, (15.0, tall))


def _bars_of_form(placement: Placement, table: str, lines: tuple[str, str], title: str) -> BarChart:
    """Return bars of some lines of a form."""
    spot = placement.spots[table]
    first, last = (spot.row_of(key) for key in lines)
    values, sheet = spot.numbers[lines[0]], quoted(spot.sheet_of(lines[0]))
    names, figures = (f"{sheet}!${column_letter(column)}${first}:${column_letter(column)}${last}"
                      for column in (values - 1, values))
    return _bars(names, figures, title, "#,##0")


def spotting(sheet: Worksheet, plan: Plan, placement: Placement, at: tuple[int, int]) -> tuple[int, int]:
    """Put what the spot passes cost, and what they would if sprayed all over, below the fields."""
    chart = _bars_of_form(placement, "spot_season", SPOTTING, "Cost of the spot passes")
    unit = quantity("money").unit(plan.system, plan.inputs.currency)
    titled(chart, "Spotting against spraying it all", "", f"Cost of the season's spot passes ({unit})",
           ("General", UNTOLD))
    chart.x_axis.title, chart.y_axis.scaling.min = None, 0
    # Room right of the bars, where their figures stand.
    chart.layout = Layout(ManualLayout("inner", "edge", "edge", x=0.24, y=0.26, w=0.6, h=0.42))
    text = ("Bars: what the spot passes of the season cost as planned, fees in, below what they would cost "
            "if their fields were sprayed all over. The figures stand on the tab Cost.")
    return put(sheet, chart, at, "Spotting against spraying it all", text, (17.0, 3.8))


def net_of_season(sheet: Worksheet, plan: Plan, placement: Placement, at: tuple[int, int]) -> tuple[int, int]:
    """Put what spotting may be worth this season, from a weedy year to a clean one, below its figures."""
    chart = _bars_of_form(placement, "spot_season", NET_RANGE, "Net of spotting")
    unit = quantity("money").unit(plan.system, plan.inputs.currency)
    titled(chart, "Does spotting pay?", "", f"Net after fees ({unit})",
           ("General", UNTOLD))
    # Room right of the bars, where their figures stand.
    chart.layout = Layout(ManualLayout("inner", "edge", "edge", x=0.7, y=0.17, w=0.16, h=0.6))
    chart.x_axis.title, chart.x_axis.tickLblPos = None, "low"
    text = (
        "Bars: what spotting is worth this season after fees, from a year that is weedy everywhere to one "
        "that is clean everywhere; "
        "it pays where the bar lies right of nought. The figures stand above it."
    )
    return put(sheet, chart, at, "Net of spotting this season", text, (15.0, 4.7))


def payback_curve(sheet: Worksheet, plan: Plan, placement: Placement, at: tuple[int, int]) -> tuple[int, int]:
    """Put what each machine has paid back, year by year, beside the table."""
    spot, years = placement.spots["machine_years"], placement.room.slots["years"]
    names = [str(row["sprayer"]) for row in plan.tables["machine"]]
    drawn = [(number, name) for number, name in enumerate(names) if name][:MOST_MACHINES] or [(0, "")]
    chart = scatter()
    # Marks tell machines apart where colours do not show.
    for (number, name), colour, mark in zip(drawn, (COLOURS[0], *COLOURS[2:]), MARKS, strict=False):
        across, start = cells_of(spot, "year", number * years, years), f"{name}: " if len(drawn) > 1 else ""
        plain, discounted = (cells_of(spot, key, number * years, years)
                             for key in ("running", "running_discounted"))
        chart.series.append(_line(plain, across, f"{start}without interest", COLOURS[1] if len(drawn) == 1
                                  else colour, "dash"))
        chart.series.append(_line(discounted, across, f"{start}with interest", colour, mark=mark))
    unit = quantity("money").unit(plan.system, plan.inputs.currency)
    titled(chart, "Paid back so far", "Years", f"Less the premium ({unit})", ("0", "#,##0"))
    chart.x_axis.scaling.min, chart.x_axis.majorUnit = 0, 1
    chart.x_axis.tickLblPos = "low"
    if len(drawn) == 1:
        chart.legend = None
        # Room right of the lines, where the name of one stands.
        chart.layout = Layout(ManualLayout("inner", "edge", "edge", x=0.19, y=0.13, w=0.65, h=0.66))
        last = max((row["year"] for row in plan.tables["machine_years"][:years] if row["running"] != ""),
                   default=0)
        for series, place in zip(chart.series, ("t", "r"), strict=True):
            named_at(series, last, place)
    text = (
        "Line chart: what each machine of the list has paid back by the end of each year, less its price "
        "premium, with and without interest. "
        "It has paid for itself where its line crosses nothing. The figures stand in the table beside it."
    )
    # Of several machines the list of lines stands below them and takes a line of its own for each.
    return put(sheet, chart, at, "Payback of the machines", text,
               (20.0, SIDE_BY_SIDE + 1.3 * (len(drawn) - 1)))


def swings(sheet: Worksheet, plan: Plan, placement: Placement, at: tuple[int, int]) -> tuple[int, int]:
    """Put a bar for every figure that is moved, from what is left over with it moved down to what is left
    with it moved up, largest swing on top.
    """
    spot = placement.spots["machine_drawn"]
    unit = quantity("money").unit(plan.system, plan.inputs.currency)
    chart = BarChart()
    chart.type, chart.grouping, chart.overlap, chart.gapWidth = "bar", "stacked", 100, 40
    blank = Series(Reference(range_string=cells_of(spot, "blank")), title="Blank")
    blank.graphicalProperties.noFill = blank.graphicalProperties.line.noFill = True
    chart.series.append(blank)
    for key, shade, name in SWING_PARTS:
        series = Series(Reference(range_string=cells_of(spot, key)))
        series.tx = SeriesLabel(strRef=StrRef(cells_of(spot, "shade", name, 1)))
        series.invertIfNegative = False
        series.graphicalProperties.solidFill = shade
        series.graphicalProperties.line.solidFill = SHADES[0]
        chart.series.append(series)
    chart.set_categories(Reference(range_string=cells_of(spot, "figure")))
    titled(chart, "What matters most: one figure moved at a time", "",
           f"Left over per year ({unit}); the shades meet at what is left as entered", ("General", "#,##0"))
    chart.x_axis.title = None
    chart.legend.legendEntry = [LegendEntry(idx=number, delete=True)
                                for number in range(len(chart.series)) if number not in NAMED_PARTS]
    # Above the bars, where the first screen shows it and slanted figures of the scale reach nothing.
    chart.legend.position = "t"
    # A long name takes two lines, which leaves room for the figures below the bars.
    chart.layout = Layout(ManualLayout("inner", "edge", "edge", x=0.29, y=0.2, w=0.65, h=0.58))
    chart.x_axis.scaling.orientation, chart.x_axis.tickLblPos, chart.y_axis.crosses = "maxMin", "low", "max"
    text = (
        "Bars: what is left over per year of the first machine that can be counted, when one figure at a "
        "time is moved down and up by the swing of the assumptions, largest swing on top. A figure turns the "
        "answer where its bar crosses nothing. The figures stand in the table What matters most."
    )
    return put(sheet, chart, at, "What matters most", text, (16.0, SIDE_BY_SIDE))


MONEY_CHARTS: dict[str, PutChart] = {
    "cost_over_share": cost_over_share, "cost_by_field": cost_by_field,
    "full_cost_by_field": full_cost_by_field,
    "payback_curve": payback_curve, "swings": swings, "net_of_season": net_of_season, "spotting": spotting,
}
