"""CSV files: which encoding, which delimiter, which cells."""

from __future__ import annotations

import codecs
import csv
import io
import stat
from pathlib import Path

from workbook_builder.check.problems import WARNING, Problem
from workbook_builder.core.columns import Table
from workbook_builder.read.grid import MOST_COLUMNS, MOST_ROWS, Grid
from workbook_builder.read.headers import header_score
from workbook_builder.read.numbers import brief, decimal_sign

#: No table of a farm comes near this.
LARGEST_FILE = 200 * 1024 * 1024
DELIMITERS = (",", ";", "\t")
ZIP_MARK = b"PK\x03\x04"


class BadFile(ValueError):
    """A file that cannot be read, with the problem that says why."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem)
        self.problem = problem


def read_bytes(path: Path) -> bytes:
    """Return the bytes of a file, refusing files too large to be an input.

    Raises
    ------
    BadFile
        When the file cannot be opened or is larger than `LARGEST_FILE`.
    """
    try:
        about = path.stat()
        size = about.st_size
        if not (stat.S_ISREG(about.st_mode) or stat.S_ISDIR(about.st_mode)):
            # Reading a pipe or a device may never end.
            fix = "Give a file with the contents in it"
            raise BadFile(Problem("unreadable-file", "it is a pipe or a device, not a file",
                                  path.name, fix=fix))
        if size > LARGEST_FILE:
            message = f"the file is {size / 1e6:.0f} MB large"
            fix = f"Keep inputs below {LARGEST_FILE // (1024 * 1024)} MB"
            raise BadFile(Problem("file-too-large", message, path.name, fix=fix))
        return path.read_bytes()
    except OSError as error:
        reason = error.strerror or type(error).__name__
        fix = "Close the file in other programs and check that you may read it"
        message = f"the file cannot be opened ({reason})"
        raise BadFile(Problem("unreadable-file", message, path.name, fix=fix)) from error


def decode(data: bytes) -> tuple[str, bool]:
    """Return the text of a CSV file, and whether its encoding is sure:
    UTF-8 or UTF-16 with or without a mark,
    else Windows Latin.

    Raises
    ------
    UnicodeDecodeError
        When the bytes are none of these.
    """
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return data.decode("utf-16"), True
    # Latin letters in UTF-16 leave every other byte blank.
    head = data[:400]
    if len(head) >= 4 and head[1::2].count(0) > len(head) // 4:
        return data.decode("utf-16-le"), True
    if len(head) >= 4 and head[0::2].count(0) > len(head) // 4:
        return data.decode("utf-16-be"), True
    try:
        return data.decode("utf-8-sig"), True
    except UnicodeDecodeError:
        return data.decode("cp1252"), False


def read_csv(path: Path, table: Table | None) -> tuple[Grid, list[Problem]]:
    """Return the cells of a CSV file, all as text, and what is doubtful about it.

    Parameters
    ----------
    path : Path
    table : Table, optional
        Table the file holds; its headers tell which delimiter is the right one.

    Raises
    ------
    BadFile
        When the file cannot be read, decoded or split into cells.
    """
    data = read_bytes(path)
    if data.startswith(ZIP_MARK):
        message = "the file is a workbook or zip, not CSV text"
        raise BadFile(Problem("unreadable-file", message, path.name, fix="Save it as CSV"))
    try:
        text, is_sure = decode(data)
    except UnicodeDecodeError as error:
        raise BadFile(_not_text(path)) from error
    if "\0" in text:
        raise BadFile(_not_text(path))
    # Spreadsheet programs may write a first line such as sep=; for one another.
    first, _, rest = text.partition("\n")
    told = first.strip("\r").strip(" ")
    is_told = told[:4].lower() == "sep=" and told[4:] in DELIMITERS
    delimiter, text, skipped = (told[4], rest, 1) if is_told else (sniff(text, table), text, 0)
    cells, lines = _split(path, text, delimiter)
    decimal_comma = False if delimiter == "," else decimal_sign(cell for row in cells for cell in row)
    if delimiter == ";":
        # Semicolons come with a decimal comma, unless every sign that can only be of decimals is a point.
        decimal_comma = decimal_comma is not False
    grid = Grid(path.name, "", cells, [line + skipped for line in lines], decimal_comma=decimal_comma)
    return grid, [] if is_sure else _doubtful_letters(grid)


def _doubtful_letters(grid: Grid) -> list[Problem]:
    """Return a warning with the first text whose letters depend on the encoding that was guessed."""
    texts = ((line, cell) for line, row in zip(grid.rows, grid.cells, strict=True) for cell in row
             if not cell.isascii())
    line, cell = next(texts, (None, ""))
    message = (f"the file is not in UTF-8 and is read as Windows Latin, in which its first letters beyond "
               f"the English ones are {brief(cell)!r}")
    return [Problem("doubtful-encoding", message, grid.file, row=line, severity=WARNING,
                    fix="If that is wrong, save it as CSV in UTF-8")]


def _not_text(path: Path) -> Problem:
    fix = "Save it as CSV in UTF-8"
    return Problem("unreadable-file", "the file is not text in UTF-8, UTF-16 or Windows Latin",
                   path.name, fix=fix)


def sniff(text: str, table: Table | None) -> str:
    """Return the delimiter under which the first lines name most columns of the table."""
    lines = [line for line in text.splitlines()[:40] if line.strip()][:15]

    def score(delimiter: str) -> tuple[int, int]:
        rows = [line.replace('"', "").split(delimiter, MOST_COLUMNS)[:MOST_COLUMNS] for line in lines]
        named = max((header_score([*row], table) for row in rows), default=0) if table else 0
        return named, max((len(row) for row in rows), default=0)

    return max(DELIMITERS, key=score)


def _split(path: Path, text: str, delimiter: str) -> tuple[list[list[str]], list[int]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    cells: list[list[str]] = []
    lines: list[int] = []
    started = 1
    try:
        for row in reader:
            if len(row) > MOST_COLUMNS:
                message = f"the line has {len(row)} cells; at most {MOST_COLUMNS} are read"
                raise BadFile(Problem("too-many-columns", message, path.name, row=started,
                                      fix="Check which sign separates the cells"))
            if started > MOST_ROWS:
                message = f"the file has lines below line {MOST_ROWS}"
                raise BadFile(Problem("too-many-rows", message, path.name, row=started,
                                      fix="Delete what stands further down"))
            cells.append([cell.strip() for cell in row])
            lines.append(started)
            started = reader.line_num + 1
    except csv.Error as error:
        message = f"the line cannot be split into cells ({error})"
        fix = "Check the quotes: each one that opens must close, and quotes inside text are doubled"
        raise BadFile(Problem("broken-csv", message, path.name, row=started, fix=fix)) from error
    return cells, lines
