"""What an earlier workbook of ours says of itself, what it showed,
and what was typed where the program writes.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING
from xml.etree.ElementTree import ParseError

from openpyxl.utils import coordinate_to_tuple, get_column_letter

from workbook_builder.core.place import behind
from workbook_builder.features import BY_KEY
from workbook_builder.features.tabs import SEASON
from workbook_builder.file_format import FORMAT, properties_in, stated_format
from workbook_builder.finish.parts import NotAWorkbook, Parts, read_parts, sheet_parts
from workbook_builder.finish.sheet_cells import cell_formulas, cell_values, shared_strings, typed_texts
from workbook_builder.read.headers import split_unit

if TYPE_CHECKING:
    from workbook_builder.build import Built

#: Letters of a text that are shown to recognise it by.
LONGEST_TOLD = 60
#: Texts that are told one by one.
MOST_TOLD = 30
#: What the sheet behind the first tab was called before.
FORMERLY = ("Behind season",)


class Earlier:
    """A source as it was before it is built anew; its file is unpacked once.

    Parameters
    ----------
    source : Path
        What is built from: only a workbook holds anything of ours.
    """

    def __init__(self, source: Path) -> None:
        self._parts: Parts = {}
        if source.is_file():
            try:
                self._parts = read_parts(source)
            except (NotAWorkbook, OSError):
                return

    @cached_property
    def _stated(self) -> tuple[int | None, list[str]]:
        """Number of its format, and the titles of sheets that nobody types into."""
        try:
            return stated_format(properties_in(self._parts))
        except ParseError:
            return None, []

    @cached_property
    def _sheets(self) -> dict[str, str]:
        """Title -> markup of its sheets; none where another program wrote its parts otherwise."""
        try:
            return {title: self._parts[part].decode("utf-8")
                    for title, part in sheet_parts(self._parts).items()}
        except (KeyError, UnicodeDecodeError, ParseError):
            return {}

    def format_line(self) -> list[str]:
        """Return the sentence that it was written in another format than today's.

        None for today's, or for no workbook of ours.
        """
        number, _ = self._stated
        return ([f"Read: written by format {number}; read as {FORMAT}."]
                if number not in (None, FORMAT) else [])

    def typed_on_results(self, built: Built) -> list[str]:
        """Return where somebody typed on a sheet that is made anew:
        text in it that the new workbook does not hold, and numbers over formulas.

        Parameters
        ----------
        built : Built
            The new workbook.
        """
        number, titles = self._stated
        # An earlier format has other words of ours on its sheets.
        ours_too = {*titles, *built.placement.front}
        sheets = {title: xml for title, xml in self._sheets.items() if title in ours_too and number == FORMAT}
        if not sheets:
            return []
        made = read_parts(built.data)
        ours, texts = set(shared_strings(made)), shared_strings(self._parts)
        found = [
            (title, place, text) for title, xml in sheets.items() for place, text in typed_texts(xml, texts)
            if text.strip() and text not in ours and not _may_be_typed(built, title, place)
        ]
        lines = [f"Could not place: typed among the results of {title}, cell {place}: {text[:LONGEST_TOLD]!r}"
                 for title, place, text in found]
        # Headers of ours change with the units and the currency of the farm, all at once.
        more = (f"Could not place: {len(lines):,} texts on result sheets that were typed there, or are "
                f"headers in the units of before")
        tabs = {title: made[part].decode("utf-8") for title, part in sheet_parts(made).items()
                if title in sheets and title in built.placement.front}
        over = [
            f"Could not place: typed over a formula of {title}, cell {place}: {value:.15g}"
            for title, xml in tabs.items()
            for place, value in _typed_over(cell_formulas(xml), cell_formulas(sheets[title]),
                                            cell_values(sheets[title], texts))
        ]
        return [*(lines if len(lines) <= MOST_TOLD else [more]), *over[:MOST_TOLD]]

    def figures(self) -> dict[str, object] | None:
        """Return the figures of its first sheet by column key; None when it was not built by us.

        The values are those stored in the file, so they are what a person saw last.
        """
        first = BY_KEY["glance"]
        titles = [title for title in (first.sheet_title, SEASON, behind(SEASON), *FORMERLY)
                  if title in self._sheets]
        if not titles:
            return None
        keys = {title: column.key for column in first.columns for title in (column.header, *column.was)}
        found: dict[str, object] = {}
        for title in titles:
            cells = cell_values(self._sheets[title], shared_strings(self._parts))
            for place, value in cells.items():
                key = keys.get(split_unit(value)[0]) if isinstance(value, str) else None
                row, column = coordinate_to_tuple(place)
                # A figure stands right of its name, or above it where it is shown large.
                for beside in (f"{get_column_letter(column + 1)}{row}",
                               f"{get_column_letter(column)}{row - 1}"):
                    if key is not None and isinstance(cells.get(beside), (int, float)):
                        found.setdefault(key, cells[beside])
        return found


def _typed_over(ours: Iterable[str], before: Container[str],
                values: Mapping[str, object]) -> Iterator[tuple[str, object]]:
    """Yield the numbers of a sheet of before that stand where a formula of ours does,
    next to one in the same column.
    """
    for place in ours:
        if place not in before and type(values.get(place)) is float:
            row, column = coordinate_to_tuple(place)
            if any(f"{get_column_letter(column)}{beside}" in before for beside in (row - 1, row + 1)):
                yield place, values[place]


def _may_be_typed(built: Built, title: str, place: str) -> bool:
    """Whether a cell of a tab belongs to a table that people type into, or stands right of all that is ours,
    where their own columns do.
    """
    pieces = built.placement.sheets[title].pieces if title in built.placement.front else []
    row, column = coordinate_to_tuple(place)
    typed = [piece for piece in pieces if piece.table.is_typed]
    if (typed and row >= min(piece.header_row for piece in typed)
        and column > max(piece.last_column for piece in pieces)):
        return True
    return any(piece.column <= column <= piece.last_column and row >= piece.header_row for piece in typed)
