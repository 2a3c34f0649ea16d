"""PDF through an office program: every section of a page becomes a sheet as wide as the paper.

Office programs do not follow the layout of a web page, and many machines have only their
spreadsheet part.  So the page is read for what it says, in order, and set anew on a grid of
narrow columns: plainer than the browser's page, but whole and legible.
"""

from __future__ import annotations

import io
from collections.abc import Iterable
from dataclasses import dataclass, field
from html.parser import HTMLParser

from openpyxl import Workbook
from openpyxl.styles import Alignment, Border, Font, Side
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from workbook_builder.logo import logo_of
from workbook_builder.logo_picture import LogoPicture
from workbook_builder.text_widths import BOLD, lines_in

#: Columns of the grid, the width of one in characters and in points.
COLUMNS, CHARACTERS, POINTS = 24, 4.0, 24.0
#: Width of a column of the grid in pixels.
COLUMN_PIXELS = 33
FONT = "Liberation Sans"
VOID = ("meta", "br", "img", "link", "hr", "path")
LINES = ("p", "h1", "h2", "h3", "li")
HEADINGS = {"h1": 20.0, "h2": 13.0, "h3": 12.0}
BOX = "[   ]"
_THIN, _THICK = Side(style="thin"), Side(style="medium")


@dataclass
class Node:
    """An element of a page with its children in order; text stands as plain strings."""

    tag: str
    classes: tuple[str, ...] = ()
    children: list[Node | str] = field(default_factory=list)
    source: str = ""

    def find(self, *tags: str) -> list[Node]:
        """Return the elements with one of these tags, outermost first, in order."""
        found: list[Node] = []
        for child in self.children:
            if isinstance(child, Node):
                found += [child] if child.tag in tags else child.find(*tags)
        return found

    @property
    def text(self) -> str:
        """What the element says; parts below each other on lines of their own."""
        lines = (" ".join(line.split()) for line in self.words().splitlines())
        return "\n".join(line for line in lines if line)

    def words(self) -> str:
        """What the element says, white space as it came."""
        if "box" in self.classes:
            return BOX
        words = ""
        for child in self.children:
            if isinstance(child, str):
                words += " ".join(f"|{child}|".split())[1:-1]
            elif child.tag == "br":
                words += "\n"
            else:
                words += f"\n{child.words()}\n" if child.tag in ("div", "p", "li") else child.words()
        return words


class _Reader(HTMLParser):
    """Builds the tree of one of our own pages."""

    def __init__(self) -> None:
        super().__init__()
        self.root = Node("root")
        self._open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Open an element."""
        given = dict(attrs)
        node = Node(tag, tuple((given.get("class") or "").split()), source=given.get("src") or "")
        self._open[-1].children.append(node)
        if tag not in VOID:
            self._open.append(node)

    def handle_endtag(self, tag: str) -> None:
        """Close an element and what was left open in it."""
        if any(node.tag == tag for node in self._open):
            while self._open.pop().tag != tag:
                pass

    def handle_data(self, data: str) -> None:
        """Keep text."""
        self._open[-1].children.append(data)


@dataclass(frozen=True)
class Cell:
    """A text over some columns of the grid."""

    text: str
    span: int
    size: float = 10.5
    bold: bool = False
    right: bool = False


def book_of(html: str) -> bytes:
    """Return a printed document as a workbook of one sheet a page, for an office program to print."""
    reader = _Reader()
    reader.feed(html)
    book = Workbook()
    book.remove(book.active)
    letter = "size: letter" in html
    for number, page in enumerate(reader.root.find("section"), 1):
        sheet = book.create_sheet(f"{number}")
        for column in range(1, COLUMNS + 1):
            sheet.column_dimensions[sheet.cell(1, column).column_letter].width = CHARACTERS
        sheet.page_setup.paperSize = sheet.PAPERSIZE_LETTER if letter else sheet.PAPERSIZE_A4
        sheet.page_setup.orientation = "portrait"
        sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
        sheet.oddFooter.right.text = "&P of &N"
        sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
        for side in ("left", "right", "top", "bottom"):
            setattr(sheet.page_margins, side, 0.4)
        _Setter(sheet).children(page)
        # Put the logo of the page into its upper right corner; an office program is given PNG alone.
        for picture in page.find("img"):
            logo = logo_of(picture.source)
            if logo is not None:
                placed = LogoPicture(logo)
                taken = -(-placed.width // COLUMN_PIXELS)
                sheet.add_image(placed, sheet.cell(1, max(1, COLUMNS + 1 - taken)).coordinate)
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()


class _Setter:
    """Sets what a page says onto a sheet, row by row."""

    def __init__(self, sheet: Worksheet) -> None:
        self.sheet, self.row = sheet, 0

    def children(self, node: Node) -> None:
        for child in node.children:
            if isinstance(child, Node):
                self.element(child)

    def element(self, node: Node) -> None:
        if node.tag == "table":
            self.table(node)
        elif node.tag == "dl":
            self.pairs(node)
        elif "band" in node.classes:
            self.band(node)
        elif "blanks" in node.classes:
            self.blanks(node)
        elif node.tag in LINES or node.tag == "header":
            self.line(node)
        else:
            self.children(node)

    def line(self, node: Node) -> None:
        text = f"- {node.text}" if node.tag == "li" else node.text
        size, strong = HEADINGS.get(node.tag, 9.5), node.tag in HEADINGS or "alarm" in node.classes
        self.put([Cell(text, COLUMNS, 13.0 if "alarm" in node.classes else size, strong)],
                 boxed="alarm" in node.classes)

    def band(self, node: Node) -> None:
        heading, *rest = [child for child in node.children if isinstance(child, Node)]
        beside = rest[0].text if rest else ""
        small = 9.0 if rest and "lead" in rest[0].classes else 20.0
        self.put([Cell(heading.text, 15, 20.0, True), Cell(beside, 9, small, small > 9, True)], under=_THICK)

    def pairs(self, node: Node) -> None:
        groups = node.find("div")
        size = 15.0 if "figures" in node.classes else 11.0
        for start in range(0, len(groups), 4):
            part, span = groups[start : start + 4], COLUMNS // 4
            self.put([Cell(group.find("dt")[0].text, span, 8.5) for group in part], least=15.0)
            self.put([Cell(group.find("dd")[0].text, span, size, True) for group in part], under=_THIN)

    def blanks(self, node: Node) -> None:
        labels = [child.text for child in node.children if isinstance(child, Node)]
        for start in range(0, len(labels), 4):
            part = labels[start : start + 4]
            self.put([Cell("", COLUMNS // 4) for _ in part], under=_THIN, least=24.0)
            self.put([Cell(label, COLUMNS // 4, 8.5) for label in part], least=15.0)

    def table(self, node: Node) -> None:
        rows = [[cell for cell in row.children if isinstance(cell, Node)] for row in node.find("tr")]
        spans = shares([[cell.text for cell in row] for row in rows])
        ruled = "log" in node.classes
        for row in rows:
            head = all(cell.tag == "th" for cell in row)
            cells = [_cell(cell, span, head) for cell, span in zip(row, spans, strict=False)]
            self.put(cells, _THICK if head else _THIN, 24.0 if ruled and not head else 0.0,
                     ruled and not head)
        self.row += 1

    def put(self, cells: Iterable[Cell], under: Side | None = None, least: float = 0.0,
            boxed: bool = False) -> None:
        """Set one row of texts."""
        self.row += 1
        column, height = 1, max(least, 6.0)
        for each in cells:
            cell = self.sheet.cell(self.row, column)
            cell.value, cell.data_type = each.text, "s"
            cell.font = Font(FONT, each.size, bold=each.bold)
            cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal="right" if each.right
                                       else "left", indent=int(column > 1))
            for number in range(column, column + each.span):
                self.sheet.cell(self.row, number).border = Border(
                    top=_THIN, bottom=_THIN, left=_THIN if number == column else None,
                    right=_THIN if number == column + each.span - 1 else None,
                ) if boxed else Border(bottom=under)
            if each.span > 1:
                self.sheet.merge_cells(start_row=self.row, end_row=self.row, start_column=column,
                                       end_column=column + each.span - 1)
            room = each.span * POINTS - 12
            height = max(height,
                         sum(text_height(line, room, each.size, each.bold) for line in each.text.splitlines())
                         + each.size * (LEADING - 1) + 3)
            column += each.span
        self.sheet.row_dimensions[self.row].height = height


def _cell(node: Node, span: int, head: bool) -> Cell:
    strong = (node.tag == "th" or "amount" in node.classes
              or any(child.tag == "strong" for child in node.children if isinstance(child, Node)))
    size = 15.0 if "amount" in node.classes or "pour" in node.classes else 11.0
    return Cell(node.text, span, 8.5 if head else size, strong or "pour" in node.classes,
                "num" in node.classes)


def shares(rows: list[list[str]]) -> list[int]:
    """Return how many columns of the grid each column of a table gets, by the length of its texts."""
    count = max(map(len, rows), default=1)
    texts = [[row[n] for row in rows if n < len(row)] for n in range(count)]
    wanted = [max([2.0, *(min(24.0, max(map(len, text.splitlines()), default=0)) for text in column)])
              for column in texts]
    spans = [max(1, int(COLUMNS * width / sum(wanted))) for width in wanted]
    while sum(spans) > COLUMNS and max(spans) > 1:
        spans[spans.index(max(spans))] -= 1
    for _ in range(COLUMNS - sum(spans)):
        need = [width / span for width, span in zip(wanted, spans, strict=True)]
        spans[need.index(max(need))] += 1
    return spans


LEADING = 1.25
#: Width of a digit where a font of wide letters steps in for the page's own [ems].
DIGIT = 0.61


def text_height(text: str, width: float, size: float, bold: bool = False) -> float:
    """Return the height of a paragraph [points].

    Parameters
    ----------
    text : str
    width : float
        Width it is set in [points].
    size : float
        Type size [points].
    bold : bool
    """
    lines = lines_in(text, max(2.0, width / (size * DIGIT * (BOLD if bold else 1))))
    return lines * size * LEADING
