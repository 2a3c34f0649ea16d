"""Reading what an earlier workbook showed on its first sheet."""

from __future__ import annotations

from pathlib import Path
from xml.etree.ElementTree import ParseError

#: Letters of a text that are shown to recognise it by.
LONGEST_TOLD = 60
#: Texts that are told one by one.
MOST_TOLD = 30


def format_line(source: Path) -> list[str]:
    """Return the sentence that a source was written in another format than today's; none for today's, or for no workbook of ours."""
    from workbook_builder.file_format import FORMAT, stated_format
    from workbook_builder.marks import properties

    number, _ = stated_format(properties(source)) if source.is_file() else (None, ())
    return [f"Read: written by format {number}; read as {FORMAT}."] if number not in (None, FORMAT) else []


def typed_on_results(source: Path, data: bytes) -> list[str]:
    """Return where somebody typed text on a sheet that is made anew: text in a workbook of ours that the new one does not hold.

    Parameters
    ----------
    source : Path
        The earlier workbook.
    data : bytes
        The new one.
    """
    from workbook_builder.file_format import FORMAT, stated_format
    from workbook_builder.finish.parts import NotAWorkbook, read_parts, sheet_parts
    from workbook_builder.finish.sheet_cells import shared_strings, typed_texts
    from workbook_builder.marks import properties

    try:
        number, titles = stated_format(properties(source))
        parts = read_parts(source)
        # An earlier format has other words of ours on its sheets.
        sheets = {title: parts[part].decode("utf-8") for title, part in sheet_parts(parts).items() if title in titles and number == FORMAT}
        ours = set(shared_strings(read_parts(data)))
        texts = shared_strings(parts)
        found = [(title, place, text) for title, xml in sheets.items() for place, text in typed_texts(xml, texts) if text.strip() and text not in ours]
    except (NotAWorkbook, OSError, KeyError, UnicodeDecodeError, ParseError):
        return []
    lines = [f"Could not place: typed on the result sheet {title}, cell {place}: {text[:LONGEST_TOLD]!r}" for title, place, text in found]
    # Headers of ours change with the units and the currency of the farm, all at once.
    more = f"Could not place: {len(lines):,} texts on result sheets that were typed there, or are headers in the units of before"
    return lines if len(lines) <= MOST_TOLD else [more]


def earlier_figures(source: Path) -> dict[str, object] | None:
    """Return the figures of a workbook's first sheet by column key; None when it was not built by us, or another program wrote its parts otherwise.

    The values are those stored in the file, so they are what a person saw last.
    """
    from workbook_builder.finish.parts import NotAWorkbook, read_parts, sheet_parts
    from workbook_builder.finish.sheet_cells import cell_values, shared_strings
    from workbook_builder.tables import BY_KEY

    if not source.is_file():
        return None
    try:
        parts = read_parts(source)
        part = sheet_parts(parts)[BY_KEY["glance"].sheet_title]
        cells = cell_values(parts[part].decode("utf-8"), shared_strings(parts))
    except (NotAWorkbook, KeyError, UnicodeDecodeError, ParseError):
        return None
    keys = {title: column.key for column in BY_KEY["glance"].columns for title in (column.header, *column.was)}
    found: dict[str, object] = {}
    for place, value in cells.items():
        if place[0] == "A" and place[1:].isdigit() and value in keys:
            found.setdefault(keys[str(value)], cells.get(f"B{place[1:]}"))
    return found
