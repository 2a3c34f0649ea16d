"""The look: colours, fonts and number formats, made once per workbook and shared by cells."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from openpyxl.workbook import Workbook

from workbook_builder.core.columns import CHECK, INPUT, SETTING, WORKING, Column
from workbook_builder.core.quantities import WRAPPED, quantity
from workbook_builder.layout.parts import INK, alignment, border, fill, font, underlined, unlocked
from workbook_builder.theme import DEFAULT_THEME, MAP_SHADES, Theme

HEADER_FILL = DEFAULT_THEME.colours.main
INPUT_FILL = "FBF0E3"
#: Rows still to be typed are tinted less, so that what is there stands out.
SPARE_FILL = "FDF9F3"
PALE = "F3F4F6"

#: Status word -> (text colour, fill colour); the word itself always stands in the cell.
STATUS_COLOURS = {
    "Not allowed": ("FFFFFF", "8A2430"),
    "Not entered": ("6B1F2A", "FFFFFF"),
    "Review": ("6B1F2A", "F1D3D6"),
    "OK": ("5A636B", ""),
}

#: Letter of a day ahead -> (text colour, fill colour): sprayed, closed, closed for a time nobody knows.
DAY_COLOURS = {"S": (MAP_SHADES[4][2], MAP_SHADES[4][1]), "C": (MAP_SHADES[2][2], MAP_SHADES[2][1]),
               "?": STATUS_COLOURS["Not entered"]}

#: Kind of table -> colour of the theme that its tab wears.
TAB_COLOURS = {"input": "input", "setting": "input", "result": "main", "working": "working",
               "reference": "working"}

_FORMS = {
    "text": "General", "name": "General", "code": "General", "date": "yyyy\\-mm\\-dd", "time": "hh:mm",
    "moment": "yyyy\\-mm\\-dd hh:mm", "whole": "0",
    "share": "0%",
}


#: How much of its colour the band behind a header keeps.
HEADER_TINT = 0.14


def tint(colour: str, share: float) -> str:
    """Return a colour mixed with white."""
    return "".join(f"{round(255 - (255 - int(colour[at : at + 2], 16)) * share):02X}" for at in (0, 2, 4))


def number_format(column: Column) -> str:
    """Return the number format of a column from its quantity kind and digits."""
    kind = quantity(column.quantity)
    if kind.form in ("text", "name") and column.role in (INPUT, SETTING):
        return "@"
    if kind.form in _FORMS and column.digits is None:
        return _FORMS[kind.form]
    digits = kind.digits if column.digits is None else column.digits
    if kind.form == "share":
        return "0." + "0" * digits + "%"
    return "#,##0" + ("." + "0" * digits if digits else "")


@dataclass
class Look:
    """Styles of one workbook, kept as openpyxl style arrays so that cells share them."""

    book: Workbook
    theme: Theme = DEFAULT_THEME

    def __post_init__(self) -> None:
        self._made: dict[tuple[Any, ...], Any] = {}
        self._bench = self.book.create_sheet("look")

    def close(self) -> None:
        """Drop the scratch sheet the styles were made on."""
        self.book.remove(self._bench)

    def _style(self, key: tuple[Any, ...], **parts: Any) -> Any:
        if key not in self._made:
            cell = self._bench.cell(1, 1)
            for name, part in parts.items():
                setattr(cell, name, part)
            self._made[key] = cell._style
            del self._bench._cells[(1, 1)]
        return self._made[key]

    def style(self, key: tuple[Any, ...], **parts: Any) -> Any:
        """Return a style made of these parts; the same key gives the same style again."""
        return self._style(key, **parts)

    def tab(self, kind: str) -> str:
        """Return the colour of the tab of a sheet that opens with a table of this kind."""
        return str(getattr(self.theme.colours, TAB_COLOURS[kind]))

    def title(self) -> Any:
        """Style of a sheet's title."""
        return self._style(("title",), font=font(16, bold=True, color=self.theme.colours.main))

    def heading(self) -> Any:
        """Style of a further table's heading."""
        return self._style(("heading",), font=font(13, bold=True, color=self.theme.colours.main))

    def sentence(self) -> Any:
        """Style of the sentence below a title."""
        return self._style(("sentence",), font=font(11, color=INK))

    def banner(self) -> Any:
        """Style of the farm line."""
        return self._style(("banner",), font=font(11, italic=True, color="5A636B"))

    def link(self, vertical: str = "top") -> Any:
        """Style of a link to another sheet."""
        return self._style(("link", vertical),
                           font=font(11, underline="single", color=self.theme.colours.link),
                           alignment=alignment(vertical=vertical))

    def answer(self) -> Any:
        """Style of the sentence a tab opens with."""
        return self._style(("answer",), font=font(20, bold=True, color=self.theme.colours.main),
                           alignment=alignment(vertical="center"))

    def quiet(self, wrap: bool = False) -> Any:
        """Style of words that stand back, broken into lines where asked."""
        return self._style(("quiet", wrap), font=font(11, color="5A636B"),
                           alignment=alignment(vertical="top", wrap=wrap))

    def tile(self, column: Column) -> Any:
        """Style of a figure shown large."""
        number = number_format(column)
        return self._style(("tile", number), font=font(20, bold=True, color=INK), number_format=number,
                           alignment=alignment("left", "center"))

    def header(self, column: Column) -> Any:
        """Style of a column's header: a pale band with a line below, in the colour of what stands under it.
        """
        colours = self.theme.colours
        ink = {INPUT: colours.input, SETTING: colours.input,
               WORKING: colours.working}.get(column.role, colours.main)
        words, mark = quantity(column.quantity).form in ("text", "name"), column.quantity == "day_mark"
        return self._style(
            ("header", ink, words, mark),
            font=font(11, bold=True, color=ink),
            fill=fill(tint(ink, HEADER_TINT)),
            alignment=alignment("center" if mark else "left" if words else "right", "bottom", not mark,
                                int(words and not mark)),
            border=underlined(ink),
        )

    def label(self, big: bool = False) -> Any:
        """Style of a form's label."""
        return self._style(
            ("label", big), font=font(13 if big else 11, color=INK),
            alignment=alignment(vertical="center")
        )

    def note(self, big: bool = False, wrap: bool = False) -> Any:
        """Style of a form's unit and note, broken into lines where asked."""
        return self._style(
            ("note", big, wrap), font=font(13 if big else 10 if wrap else 11, color="5A636B"),
            alignment=alignment("left", "center", wrap, 1),
        )

    def body(self, column: Column, big: bool = False, spare: bool = False, whole: bool = False) -> Any:
        """Style of a data cell of a column.

        Spare for one in a row that nobody has typed yet, whole for text that must not be cut.
        """
        typed = column.role in (INPUT, SETTING)
        form = quantity(column.quantity).form
        words, mark = form in ("text", "name"), column.quantity == "day_mark"
        long = column.quantity in WRAPPED and not typed
        parts: dict[str, Any] = {
            "font": font(14 if big else 11, bold=big or (column.role == CHECK and not long), color=INK),
            "number_format": number_format(column),
            "alignment": alignment(
                "center" if mark else "left" if words else "right", "center", long, int(words and not mark),
                shrink=whole and words and not long,
            ),
            "border": border(sides=typed),
        }
        if typed:
            parts["fill"] = fill(SPARE_FILL if spare else INPUT_FILL)
            parts["protection"] = unlocked()
        elif column.role == WORKING:
            parts["fill"] = fill(PALE)
        key = ("body", typed, column.role == WORKING, column.role == CHECK, words, long,
               number_format(column), big, spare, whole, mark)
        return self._style(key, **parts)

    def quoted(self, style: Any) -> Any:
        """Return a style with the quote prefix set, for text that must never become a formula."""
        key = ("quoted", tuple(style))
        if key not in self._made:
            from copy import copy

            marked = copy(style)
            marked.quotePrefix = 1
            self._made[key] = marked
        return self._made[key]


