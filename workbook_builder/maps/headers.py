"""Which column of a log is which: by an editable table of headers."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from itertools import count
from pathlib import Path

from workbook_builder.check.problems import Problem
from workbook_builder.core.units import factor
from workbook_builder.read.headers import plain, split_unit
from workbook_builder.read.text_files import BadFile, read_csv

KEYS = (
    "lat", "lon", "time", "date", "clock", "state", "sections", "section_count", "nozzle_share", "volume",
    "width", "speed", "heading",
    "section", "section_offset", "machine", "pass",
)
#: What a number of each key is counted in within the program.
COUNTED_IN = {"width": "m", "section_offset": "m", "volume": "L", "speed": "km/h"}
#: What it is counted in where neither header nor table says.
USUAL = {"us": {"width": "ft", "section_offset": "ft", "volume": "gal", "speed": "mph"}, "metric": COUNTED_IN}
#: How units are written in headers of logs, beside the labels of the program.
SPELLED = {"feet": "ft", "meters": "m", "metres": "m", "kmh": "km/h", "kph": "km/h", "gallons": "gal",
           "liters": "L", "litres": "L", "l": "L", "percent": "%"}


@dataclass(frozen=True)
class Header:
    """A column of a log: our key, and what its numbers are multiplied by."""

    key: str
    factor: float = 1.0


@cache
def shipped_table() -> Mapping[str, tuple[str, str]]:
    """Return the headers that are known from the start: theirs -> ours, unit."""
    text = resources.files("workbook_builder").joinpath("data/map_headers.csv").read_text("utf-8")
    return _table(list(csv.reader(text.splitlines())), count(1), "map_headers.csv")


def header_table(path: Path | None) -> Mapping[str, tuple[str, str]]:
    """Return the shipped headers and those of a table of one's own, which win.

    Raises
    ------
    BadFile
        When the table cannot be read, names a column that there is not, or a unit that does not fit.
    """
    if path is None:
        return shipped_table()
    grid, _ = read_csv(path, None)
    return {**shipped_table(), **_table(grid.cells, grid.rows, path.name)}


def _table(cells: Sequence[list[str]], lines: Iterable[int], file: str) -> dict[str, tuple[str, str]]:
    found = {}
    filled = [(at, row) for at, row in zip(lines, cells, strict=False) if row]
    for at, row in filled[1:]:
        line = dict(zip(filled[0][1], row, strict=False))
        theirs, ours, unit = (line.get(key, "").strip() for key in ("theirs", "ours", "unit"))
        fits = (not unit or (ours == "nozzle_share" and unit == "%")
                or (ours in COUNTED_IN and _converts(unit, COUNTED_IN[ours])))
        if ours not in KEYS or not theirs or not fits:
            message = (f"{theirs!r} cannot be {ours!r} in {unit!r}" if unit
                       else f"{theirs!r} cannot be {ours!r}")
            raise BadFile(Problem("map-headers", message, file, row=at,
                                  fix=f"Use the columns theirs, ours and unit; ours is one of "
                                      f"{', '.join(KEYS)}"))
        found[_worded(theirs)] = (ours, unit)
    return found


def told_headers(titles: Iterable[str], table: Mapping[str, tuple[str, str]],
                 system: str) -> dict[str, Header]:
    """Return title -> our key and factor for those columns of a log that are known; the first of a key wins.

    Parameters
    ----------
    titles : iterable of str
        As they stand in the log.
    table : mapping
        From :func:`header_table`.
    system : str
        Unit system of the farm, for numbers whose unit nobody says.
    """
    found: dict[str, Header] = {}
    for title in titles:
        name, unit = split_unit(title)
        ours, known = table.get(_worded(title)) or table.get(_worded(name)) or ("", "")
        if ours and ours not in {header.key for header in found.values()}:
            found[title] = Header(ours, _factor(ours, SPELLED.get(unit.casefold(), unit) or known, system))
    return found


def _worded(title: str) -> str:
    return plain(str(title).replace("-", " ").replace(".", " "))


def _factor(key: str, unit: str, system: str) -> float:
    if key == "nozzle_share":
        return 0.01 if unit == "%" else 1.0
    if key not in COUNTED_IN:
        return 1.0
    return factor(unit if _converts(unit, COUNTED_IN[key]) else USUAL[system][key], COUNTED_IN[key])


def _converts(unit: str, into: str) -> bool:
    try:
        factor(unit, into)
    except (KeyError, TypeError):
        return False
    return True
