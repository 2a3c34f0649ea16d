"""Charts: which sheet carries which, and how one is put there with a text for those who cannot see it.

A chart is native and reads from cells, so it follows every change.  The library has no
place for the alternative text; an anchor that writes it does the job.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from openpyxl.chart import BarChart, ScatterChart
from openpyxl.chart.label import DataLabel, DataLabelList
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText
from openpyxl.drawing.line import LineProperties
from openpyxl.drawing.spreadsheet_drawing import OneCellAnchor
from openpyxl.drawing.text import CharacterProperties, Paragraph, ParagraphProperties
from openpyxl.utils.units import cm_to_EMU
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.core.place import Placement, Spot, quoted
from workbook_builder.layout.parts import INK, RULE
from workbook_builder.planning import Plan

COLOURS = ("37424D", "B5763F", "1F5F8B", "93344A", "8A939B")
#: Sizes of the title of a chart, and of all else in it [points].
TITLE, LABEL = 12.0, 11.0
#: Shades of one hue for parts that are stacked, told apart in grey too.
SHADES = ("2F3B44", "5F6F7B", "8D9CA7", "BCC7CF", "E4E9ED")
#: Rough size of a default cell, to know how far a chart reaches.
ROW_CM, COLUMN_CM = 0.53, 1.7


#: Takes sheet, plan, placement, and row and column of the upper left corner; adds the chart and returns the
#: last row and column it reaches.
PutChart = Callable[[Worksheet, Plan, Placement, tuple[int, int]], tuple[int, int]]


class DescribedAnchor(OneCellAnchor):  # type: ignore[misc]
    """An anchor that gives its chart a name and a description."""

    tagname = "oneCellAnchor"
    __elements__ = OneCellAnchor.__elements__

    def __init__(self, name: str, description: str) -> None:
        super().__init__()
        self.__dict__["label"] = (name, description)

    def __setattr__(self, key: str, value: Any) -> None:
        """Describe the frame of the chart as it is put in."""
        if key == "graphicFrame" and value is not None:
            place = value.nvGraphicFramePr.cNvPr
            place.name, place.descr = self.__dict__["label"]
        super().__setattr__(key, value)


def put(
    sheet: Worksheet, chart: Any, at: tuple[int, int], name: str, description: str,
    size: tuple[float, float] = (17.0, 8.5)
) -> tuple[int, int]:
    """Put a chart on a sheet and describe it; return the last row and column it reaches.

    Parameters
    ----------
    sheet : Worksheet
    chart : openpyxl chart
    at : (int, int)
        Row and column of its upper left corner.
    name, description : str
        What a screen reader says.
    size : tuple of float
        Width and height [cm].
    """
    row, column = at
    anchor = DescribedAnchor(name, description)
    anchor._from.row, anchor._from.col = row - 1, column - 1
    anchor.ext.width, anchor.ext.height = (cm_to_EMU(length) for length in size)
    chart.anchor = anchor
    sheet.add_chart(chart)
    return row + int(size[1] / ROW_CM) + 1, column + int(size[0] / COLUMN_CM) - 2


def scatter() -> ScatterChart:
    """Return a chart of lines over a scale."""
    chart = ScatterChart()
    chart.scatterStyle = "lineMarker"
    return chart


def titled(chart: Any, title: str, across: str, up: str, formats: tuple[str, str]) -> None:
    """Give a chart its title, axis titles and number formats, and show its axes."""
    chart.title, chart.x_axis.title, chart.y_axis.title = title, across, up
    for words, size, bold in ((chart.title, TITLE, True), (chart.x_axis.title, LABEL, False),
                              (chart.y_axis.title, LABEL, False)):
        if words is not None:
            words.overlay = False
            for paragraph in words.tx.rich.p:
                paragraph.pPr.defRPr = _type(size, bold)
    for axis in (chart.x_axis, chart.y_axis):
        axis.txPr = lettering(LABEL)
    chart.x_axis.delete = chart.y_axis.delete = False
    if isinstance(chart, BarChart):
        # Every bar is named, however little room there is.
        chart.x_axis.tickLblSkip = 1
    chart.x_axis.number_format, chart.y_axis.number_format = formats
    chart.x_axis.majorGridlines = None
    chart.y_axis.majorGridlines.spPr = GraphicalProperties(ln=LineProperties(solidFill=RULE))
    if chart.legend is not None:
        chart.legend.position = "b"
        chart.legend.txPr = lettering(LABEL)


def _type(size: float, bold: bool = False) -> CharacterProperties:
    return CharacterProperties(sz=round(100 * size), b=bold, solidFill=INK)


def lettering(size: float) -> RichText:
    """Return how all words of a part of a chart are set, size in [points]."""
    return RichText(p=[Paragraph(pPr=ParagraphProperties(defRPr=_type(size)),
                                 endParaRPr=CharacterProperties(sz=round(100 * size)))])


def named_at(series: Any, point: int, place: str = "t") -> None:
    """Write the name of a series beside one of its points, counted from 0; then the chart needs no legend."""
    shown = {"showVal": False, "showCatName": False, "showLegendKey": False, "showPercent": False}
    label = DataLabel(idx=point, dLblPos=place, showSerName=True, txPr=lettering(LABEL), **shown)
    series.dLbls = DataLabelList(dLbl=[label], showSerName=False, **shown)


def cells_of(spot: Spot, key: str, first: int = 0, count: int | None = None) -> str:
    """Return the absolute range of some rows of a column, as a chart names it."""
    last = first + (spot.rows if count is None else count) - 1
    sheet, letter = quoted(spot.sheet_of(key)), spot.letters[key]
    return f"{sheet}!${letter}${spot.first_row + first}:${letter}${spot.first_row + last}"
