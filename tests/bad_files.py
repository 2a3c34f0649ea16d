"""Files that nobody should have to read, made small and by name: each case says what reading must say of it.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from openpyxl import Workbook, load_workbook
from test_read_builders import farm, write_book, write_folder

#: Makes the file in a folder and returns the path to read.
Make = Callable[[Path], Path]
Parts = dict[str, bytes]

SHEET = "xl/worksheets/sheet2.xml"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
HEADER = ("field", "area", "crop", "planting_date", "notes")


@cache
def _sound() -> Parts:
    with TemporaryDirectory() as folder, zipfile.ZipFile(write_book(Path(folder, "sound.xlsx"),
                                                                    farm())) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def sound_parts() -> Parts:
    """Return the parts of a sound small book, to change."""
    return dict(_sound())


def packed(parts: Parts) -> bytes:
    """Return parts as a zip."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return data.getvalue()


def plain_file(data: bytes, name: str = "book.xlsx") -> Make:
    """Return what writes these bytes."""

    def make(folder: Path) -> Path:
        (folder / name).write_bytes(data)
        return folder / name

    return make


def spoilt(change: Callable[[Parts], object]) -> Make:
    """Return what writes a sound book with its parts changed."""

    def make(folder: Path) -> Path:
        parts = sound_parts()
        change(parts)
        return plain_file(packed(parts))(folder)

    return make


def without(part: str) -> Make:
    """Return what writes a sound book that lacks a part."""
    return spoilt(lambda parts: parts.pop(part))


def swapped(part: str, old: bytes, new: bytes) -> Make:
    """Return what writes a sound book with bytes of a part replaced; a test asks that they were there."""

    def change(parts: Parts) -> None:
        assert old in parts[part], f"{part} holds no {old!r}"
        parts[part] = parts[part].replace(old, new, 1)

    return spoilt(change)


def with_part(part: str, content: bytes) -> Make:
    """Return what writes a sound book with one part added or replaced."""
    return spoilt(lambda parts: parts.update({part: content}))


def text_cell(reference: str, text: str) -> str:
    """Return a cell that holds text."""
    return f'<c r="{reference}" t="inlineStr"><is><t xml:space="preserve">{text}</t></is></c>'


def fields_markup(cells: str = "", rows: str = "", tail: str = "", head: str = "",
                  header: tuple[str, ...] = HEADER) -> str:
    """Return the sheet of fields with one sound field in row 2, some of its cells given otherwise."""
    titles = "".join(text_cell(f"{letter}1", title)
                     for letter, title in zip("ABCDEFGH", header, strict=False))
    usual = {"A2": text_cell("A2", "Bench"), "B2": '<c r="B2"><v>80.5</v></c>',
             "C2": text_cell("C2", "sunflower")}
    kept = "".join(cell for place, cell in usual.items() if f'r="{place}"' not in cells)
    creek = text_cell("A3", "Creek") + '<c r="B3"><v>120</v></c>' + text_cell("C3", "fallow")
    return (
        f'<worksheet xmlns="{MAIN}">{head}<sheetData><row r="1">{titles}</row><row r="2">{kept}{cells}</row>'
        f'<row r="3">{creek}</row>{rows}</sheetData>{tail}</worksheet>'
    )


def fields(cells: str = "", rows: str = "", tail: str = "", head: str = "",
           header: tuple[str, ...] = HEADER) -> Make:
    """Return what writes a book with such a sheet of fields."""
    return with_part(SHEET, fields_markup(cells, rows, tail, head, header).encode())


def edited(change: Callable[[Workbook], object]) -> Make:
    """Return what writes a sound book with something changed through the workbook library."""

    def make(folder: Path) -> Path:
        path = write_book(folder / "book.xlsx", farm())
        book = load_workbook(path)
        change(book)
        book.save(path)
        return path

    return make


def shown(sheet: str, reference: str, value: float, number_format: str) -> Make:
    """Return what writes a sound book with a number in a format of its own."""

    def change(book: Workbook) -> None:
        cell = book[sheet][reference]
        cell.value, cell.number_format = value, number_format

    return edited(change)


def csv_file(data: bytes, name: str = "fields.csv") -> Make:
    """Return what writes a sound folder with one file replaced."""

    def make(folder: Path) -> Path:
        source = write_folder(folder / "farm", farm())
        (source / name).write_bytes(data)
        return source

    return make


def with_dangling_drawing(folder: Path) -> Path:
    """A sheet that shows a drawing which its links name and nobody wrote."""
    space = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    link = f'<Relationship Id="rId1" Type="{space}/drawing" Target="../drawings/drawing9.xml"/>'

    def change(parts: Parts) -> None:
        parts[SHEET] = fields_markup(tail=f'<drawing xmlns:r="{space}" r:id="rId1"/><legacyDrawing '
                                          f'xmlns:r="{space}" r:id="rId1"/>').encode()
        parts["xl/worksheets/_rels/sheet2.xml.rels"] = (f'<Relationships '
                                                        f'xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{link}</Relationships>').encode()

    return spoilt(change)(folder)


def made_strict(parts: Parts) -> None:
    """Give every part the names of Strict Open XML."""
    parts[SHEET] = fields_markup().encode()
    for name, content in parts.items():
        parts[name] = re.sub(rb"http://schemas.openxmlformats.org/(spreadsheetml|officeDocument|drawingml)"
                             rb"/2006/", rb"http://purl.oclc.org/ooxml/\1/", content)


def broken_crc(folder: Path) -> Path:
    """A sound zip with one byte of the data of one part turned over."""
    parts = sound_parts()
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_STORED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    raw = bytearray(data.getvalue())
    at = raw.index(b"Bench")
    raw[at] ^= 0x20
    return plain_file(bytes(raw))(folder)


def cut_short(share: float) -> Make:
    """A sound book with its end missing."""

    def make(folder: Path) -> Path:
        data = packed(sound_parts())
        return plain_file(data[: int(len(data) * share)])(folder)

    return make


def lying_size(folder: Path) -> Path:
    """A part that unpacks to far more than the zip's directory says."""
    data = bytearray(packed({**sound_parts(), SHEET: b" " * 30_000_000}))
    size = (30_000_000).to_bytes(4, "little")
    while size in data:
        data[data.index(size) : data.index(size) + 4] = (4000).to_bytes(4, "little")
    return plain_file(bytes(data))(folder)


def many_parts(folder: Path) -> Path:
    """A book with more parts than any program writes."""
    return spoilt(lambda parts: parts.update({f"xl/media/{number}.txt": b""
                                              for number in range(10_100)}))(folder)


def ten_floods(folder: Path) -> Path:
    """Many parts, each below the size that is looked at, together too much."""
    flood = b" " * (9 * 1024 * 1024)
    data = io.BytesIO(packed(sound_parts()))
    deflated = zlib.compressobj(9, zlib.DEFLATED, -15)
    assert len(deflated.compress(flood) + deflated.flush()) < 20_000
    with zipfile.ZipFile(data, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/0.xml", flood)
        first = archive.getinfo("xl/media/0.xml")
        # Further names for the same bytes, as the densest floods are made.
        for number in range(1, 130):
            twin = zipfile.ZipInfo(f"xl/media/{number}.xml")
            for key in ("compress_size", "file_size", "CRC", "header_offset", "compress_type", "flag_bits"):
                setattr(twin, key, getattr(first, key))
            archive.filelist.append(twin)
    return plain_file(data.getvalue())(folder)


def flagged_as_encrypted(folder: Path) -> Path:
    """A zip whose parts are marked as encrypted."""
    data = bytearray(packed(sound_parts()))
    at = 0
    while (at := data.find(b"PK\x01\x02", at)) >= 0:
        data[at + 8] |= 1
        at += 4
    return plain_file(bytes(data))(folder)


def nested_zip(folder: Path) -> Path:
    """Zips in a zip, forty deep."""
    data = b"end"
    for _ in range(40):
        data = packed({"book.xlsx": data})
    return plain_file(data)(folder)


def twin_parts(folder: Path) -> Path:
    """A zip that holds the same part twice."""
    data = io.BytesIO(packed(sound_parts()))
    with zipfile.ZipFile(data, "a") as archive:
        archive.filelist.append(archive.getinfo(SHEET))
        archive._didModify = True  # type: ignore[attr-defined]
    return plain_file(data.getvalue())(folder)


def folder_named_as_book(folder: Path) -> Path:
    """A folder whose name ends like a workbook's."""
    (folder / "x.xlsx").mkdir()
    return folder / "x.xlsx"


def link_loop(folder: Path) -> Path:
    """Two links that lead to each other."""
    (folder / "a.xlsx").symlink_to(folder / "b.xlsx")
    (folder / "b.xlsx").symlink_to(folder / "a.xlsx")
    return folder / "a.xlsx"


def dead_link(folder: Path) -> Path:
    """A link to nothing."""
    (folder / "a.xlsx").symlink_to(folder / "gone.xlsx")
    return folder / "a.xlsx"


def looping_table(folder: Path) -> Path:
    """A folder in which one table is a link to itself."""
    source = write_folder(folder / "farm", farm())
    (source / "fields.csv").unlink()
    (source / "fields.csv").symlink_to("fields.csv")
    return source


def folder_as_table(folder: Path) -> Path:
    """A folder in which a folder bears the name of a table."""
    source = write_folder(folder / "farm", farm())
    (source / "fields.csv").unlink()
    (source / "fields.csv").mkdir()
    return source


def pipe(folder: Path) -> Path:
    """A named pipe, which would be waited on for ever."""
    import os

    os.mkfifo(folder / "book.xlsx")
    return folder / "book.xlsx"


def piped_table(folder: Path) -> Path:
    """A folder in which one table is a named pipe."""
    import os

    source = write_folder(folder / "farm", farm())
    (source / "fields.csv").unlink()
    os.mkfifo(source / "fields.csv")
    return source


def old_book(kind: bytes = b"Workbook") -> bytes:
    """Return the head of an old binary file."""
    return b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500) + kind.decode().encode("utf-16-le") + bytes(2000)


def deep(tags: int) -> str:
    """Return markup nested this deep."""
    return "<extLst>" + "<ext>" * tags + "</ext>" * tags + "</extLst>"


#: Stored as numbers by programs that do not look; none of them can be calculated with.
FALSE_NUMBERS = ("NaN", "nan", "-NaN", "INF", "-INF", "Infinity", "1e999", "-1E+999", "1.#QNAN",
                 "eighty", "9" * 5000)
#: Written where a CSV file should hold a number.
FALSE_TEXTS = ("NaN", "nan", "inf", "-INF", "Infinity", "1e999", "-1E999", "1.#IND", "NaN %", "9" * 5000)


def false_cell(sheet: int, reference: str, text: str, formula: str = "") -> Make:
    """Return what writes a sound book in which one cell stores this as a number,
    or as the result of a formula.
    """
    part, cell = f"xl/worksheets/sheet{sheet}.xml", re.compile(rf'<c r="{reference}".*?</c>')
    told = f'<c r="{reference}">{formula and f"<f>{formula}</f>"}<v>{text}</v></c>'

    def change(parts: Parts) -> None:
        assert cell.search(parts[part].decode()), f"no cell {reference}"
        parts[part] = cell.sub(told, parts[part].decode(), count=1).encode()

    return spoilt(change)
