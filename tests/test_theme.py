"""Theme files: colours dark enough to read, logos that are only pictures, clear refusals."""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest
from cli_help import METRIC, SMALL, run
from openpyxl import load_workbook

from workbook_builder.build import Built, build_source
from workbook_builder.logo import MOST_BYTES, LogoRefused, read_logo
from workbook_builder.printing import Choice, documents
from workbook_builder.theme import DEFAULT_THEME, Colours, ThemeRefused, contrast, read_theme

SVG = ('<svg xmlns="http://www.w3.org/2000/svg" width="20" height="10"><rect width="20" height="10" '
       'fill="#123456"/></svg>')


def png(width: int = 4, height: int = 2, body: bytes | None = None, colour: int = 0) -> bytes:
    """Return a small valid PNG."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    header = struct.pack(">IIBBBBB", width, height, 8, colour, 0, 0, 0)
    rows = (b"\0" + b"\x40" * width) * height
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header)
            + chunk(b"IDAT", zlib.compress(rows) if body is None else body) + chunk(b"IEND", b""))


def theme_file(folder: Path, text: str) -> Path:
    """Write a theme file."""
    path = folder / "theme.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_default_colours_are_legible() -> None:
    """Every default colour reaches 4.5 to 1 against white."""
    assert all(contrast(colour, "FFFFFF") >= 4.5 for colour in vars(DEFAULT_THEME.colours).values())
    assert contrast("000000", "FFFFFF") == pytest.approx(21)
    assert contrast("777777", "FFFFFF") == pytest.approx(4.48, abs=0.01)


def test_a_theme_sets_name_colours_logo_and_footer(tmp_path: Path, metric: Built) -> None:
    """What a theme says stands on every printed page."""
    (tmp_path / "logo.png").write_bytes(png())
    path = theme_file(tmp_path, 'name = "Invented Advice <Ltd>"\nfooter = "Ring & ask"\nlogo = '
                                '"logo.png"\n[colours]\nmain = "#5b1a1a"\n')
    theme = read_theme(path)
    assert theme.colours == Colours(main="5B1A1A")
    assert theme.workbook_logo is theme.logo
    for text in documents(metric.plan, Choice(), theme).values():
        pages = [text] if "<nav" in text else text.split("<section")[1:]
        assert all("Invented Advice &lt;Ltd&gt;" in page and "Ring &amp; ask" in page
                   and "data:image/png;base64," in page for page in pages)
        assert "--main: #5B1A1A" in text


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('colours = "red"', "section"), ('[colours]\nmain = "#DDDDDD"', "too pale"),
        ('[colours]\nmain = "red; } body { display: none"', "must read like"),
        ('[colours]\nsky = "#000000"', "not known"), ('nam = "x"', "not known"), ("name = 3", "one line"),
        ('name = "a\\nb"', "one line"), ('logo = "missing.png"', "cannot be opened"),
        ("logo = 3", "file name"),
        ("name = ", "not a TOML"), ("name = " + "[" * 20_000, "nested without end"),
        ("[colours]\nmain = " + "[" * 20_000 + "]" * 20_000, "nested without end"),
        ("#" * 200_000, "a few lines"),
    ],
)
def test_a_bad_theme_is_refused(tmp_path: Path, text: str, words: str) -> None:
    """Each mistake is named with what would be right."""
    with pytest.raises(ThemeRefused, match=words):
        read_theme(theme_file(tmp_path, text))


@pytest.mark.parametrize(
    "inside",
    [
        "<script>alert(1)</script>", '<rect onload="alert(1)"/>', '<a href="javascript:alert(1)"><rect/></a>',
        "<foreignObject/>",
        '<use href="http://example.org/x.svg#a"/>', '<rect style="fill:url(http://example.org/a)"/>',
        "<style>@import 'x'</style>",
        '<image href="data:image/png;base64,AA"/>', '<animate attributeName="href"/>',
        '<rect style="behavior:expression(1)"/>',
    ],
)
def test_an_svg_that_runs_or_loads_is_refused(tmp_path: Path, inside: str) -> None:
    """Scripts, event handlers, outside addresses and embedded pages are refused."""
    path = tmp_path / "logo.svg"
    path.write_text(SVG.replace("<rect", inside + "<rect", 1), encoding="utf-8")
    with pytest.raises(LogoRefused):
        read_logo(path)


@pytest.mark.parametrize(
    "data",
    [
        b"GIF89a" + b"\0" * 40, b"", png()[:20], b"\x89PNG\r\n\x1a\n" + b"\0" * (MOST_BYTES + 1),
        png(5000, 1),
        b'<!DOCTYPE svg [<!ENTITY a "b">]><svg>&a;</svg>', b"<svg", b"<svg><rect></svg>",
    ],
)
def test_what_is_no_small_picture_is_refused(tmp_path: Path, data: bytes) -> None:
    """Other formats, damaged files, huge pictures and entities are refused."""
    path = tmp_path / "logo.bin"
    path.write_bytes(data)
    with pytest.raises(LogoRefused):
        read_logo(path)


def test_a_plain_svg_is_taken(tmp_path: Path, metric: Built) -> None:
    """A drawing is embedded as it is; the workbook then needs a PNG of its own."""
    (tmp_path / "logo.svg").write_text(SVG, encoding="utf-8")
    theme = read_theme(theme_file(tmp_path, 'logo = "logo.svg"'))
    assert theme.logo is not None
    assert theme.logo.data_uri.startswith("data:image/svg+xml;base64,")
    assert theme.workbook_logo is None
    with pytest.raises(ThemeRefused, match="must be a PNG"):
        read_theme(theme_file(tmp_path, 'workbook_logo = "logo.svg"'))


def test_print_command(tmp_path: Path) -> None:
    """The command prints, says what it wrote, and answers a wrong name with the right one."""
    theme = theme_file(tmp_path, 'name = "Invented Advice"')
    outcome = run("print", METRIC, "-o", tmp_path / "out", "--theme", theme)
    assert outcome.exit_code == 0
    assert "mix-cards.html" in outcome.stdout
    assert "Invented Advice" in (tmp_path / "out" / "mix-cards.html").read_text(encoding="utf-8")
    outcome = run("print", METRIC, "-o", tmp_path / "out", "--pass", "Early burndwn")
    assert outcome.exit_code == 2
    assert "Did you mean" in outcome.stderr
    assert run("print", METRIC, "-o", tmp_path / "out", "--theme", tmp_path / "none.toml").exit_code == 2


def test_older_sheets_are_named(tmp_path: Path) -> None:
    """Sheets of an earlier print that were not replaced are pointed out."""
    run("print", METRIC, "-o", tmp_path / "out")
    outcome = run("print", METRIC, "-o", tmp_path / "out", "--pass", "Early burndown")
    assert "spot-sheets.html is from an earlier print" in outcome.stderr.replace("\n", " ")


def test_the_workbook_wears_the_theme(tmp_path: Path) -> None:
    """Colours, name and logo reach the workbook, and it reads back and stays the same each time."""
    (tmp_path / "logo.png").write_bytes(png(40, 20))
    theme = read_theme(theme_file(tmp_path, 'name = "=Advice & Sons"\nfooter = "Ask & mix"\nlogo = '
                                            '"logo.png"\n[colours]\nmain = "#5B1A1A"\n'))
    first, again = build_source(SMALL, theme), build_source(SMALL, theme)
    assert first.data == again.data
    book = load_workbook(BytesIO(first.data))
    sheet = book["Season"]
    assert sheet["B2"].font.color.rgb.endswith("5B1A1A")
    names = [cell for row in sheet.iter_rows(max_row=4) for cell in row if cell.value == "=Advice & Sons"]
    assert [cell.data_type for cell in names] == ["s"] or names[0].quotePrefix
    assert book["Passes"].oddHeader.right.text == "=Advice && Sons"
    assert book["Passes"].oddFooter.center.text.endswith(" Ask && mix")
    with ZipFile(BytesIO(first.data)) as parts:
        assert [parts.read(name) for name in parts.namelist() if name.endswith(".png")] == [png(40, 20)]


def test_a_bad_theme_stops_the_build(tmp_path: Path) -> None:
    """The build says what is wrong with the theme and writes nothing."""
    outcome = run("build", METRIC, "-o", tmp_path / "x.xlsx", "--theme", theme_file(tmp_path, "nam = 1"))
    assert outcome.exit_code == 2
    assert "not known" in outcome.stderr
    assert not (tmp_path / "x.xlsx").exists()


def test_an_office_program_gets_a_png_logo(metric: Built, tmp_path: Path) -> None:
    """The sheets an office program prints carry a PNG logo on every page, and go without an SVG one."""
    from workbook_builder.printing.office_pdf import book_of

    for name, data, pictures in (("logo.png", png(), True), ("logo.svg", SVG.encode(), False)):
        (tmp_path / name).write_bytes(data)
        (tmp_path / "theme.toml").write_text(f'logo = "{name}"\n')
        theme = read_theme(tmp_path / "theme.toml")
        book = book_of(documents(metric.plan, Choice(), theme)["cover-note"])
        found = [part for part in ZipFile(BytesIO(book)).namelist() if part.startswith("xl/media/")]
        assert bool(found) == pictures
        assert all(ZipFile(BytesIO(book)).read(part) == data for part in found)


@pytest.mark.parametrize("data", [
    png(body=b"garbage that is no picture"), png(body=zlib.compress(b"\0" * 9)),
    png(body=zlib.compress(b"\0" * 5_000_000)),
    png()[:-16] + b"\0" * 4 + png()[-12:], png(colour=5), png().replace(b"IDAT", b"IDAX"),
], ids=["garbage", "too short", "bomb", "broken check sum", "no colour type", "no picture"])
def test_a_png_must_hold_its_picture(data: bytes, tmp_path: Path) -> None:
    """A PNG whose head is right and whose body is not its picture is refused.

    The same picture whole is taken.
    """
    path = tmp_path / "logo.png"
    path.write_bytes(data)
    with pytest.raises(LogoRefused):
        read_logo(path)
    path.write_bytes(png())
    assert read_logo(path).width == 4


@pytest.mark.parametrize("body", [
    "".join(f'<g id="a{n}">' + f'<use href="#a{n + 1}"/>' * 10 + "</g>" for n in range(6))
    + '<g id="a6"><rect/></g><use href="#a0"/>',
    '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g><use href="#a"/>',
    '<pattern id="p"><rect fill="url(#p)"/></pattern><rect fill="url(#p)"/>',
    "<g>" * 60 + "</g>" * 60,
], ids=["ten to the sixth", "each other", "pattern of itself", "deep"])
def test_a_drawing_that_repeats_itself_is_refused(body: str, tmp_path: Path) -> None:
    """Repetitions inside repetitions come to millions of elements, or never end:
    refused unread by any browser.
    """
    path = tmp_path / "logo.svg"
    path.write_text(f'<svg xmlns="http://www.w3.org/2000/svg">{body}</svg>', "utf-8")
    with pytest.raises(LogoRefused):
        read_logo(path)
    path.write_text('<svg xmlns="http://www.w3.org/2000/svg"><g id="a"><rect/></g><use href="#a"/><use '
                    'href="#a"/></svg>', "utf-8")
    assert read_logo(path).kind == "svg"
