"""What people type never becomes a formula, a link, markup or a line of a calendar.

Two farms of the same shape are built, one with innocent words, one with harmful ones in the same cells.
Whatever is no text must be the same in both.
"""

from __future__ import annotations

import html
import io
import json
import re
import shutil
import subprocess
import zipfile
from collections.abc import Mapping
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from farms_strategy import EVERY_TAB, build_small
from openpyxl import load_workbook
from small_farm import small_farm

from workbook_builder.build import MOMENT, Built
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.own import OWN_CELLS, OWN_SHEETS, OwnCell, OwnSheet
from workbook_builder.export.ics import plan_as_ics
from workbook_builder.export.json_text import plan_as_json
from workbook_builder.many.ledger import facts_of
from workbook_builder.many.summary import summary_workbook
from workbook_builder.many.work import BUILT, FAILED, Outcome, Task
from workbook_builder.printing import Choice, documents
from workbook_builder.theme import Theme

#: Where text goes -> harmful text.
HARM = {
    "farm": "<script>alert(1)</script>{{7*7}}", "by": '&P&"Arial"&K00FF00{% for x in y %}',
    "field": '=HYPERLINK("http://harm.invalid/","look")', "product": "@SUM(1+1)",
    "mix": "-2+3+cmd' /C calc'!A0",
    "pass": '"><img src=x onerror=alert(1)>', "sprayer": '+WEBSERVICE("http://harm.invalid/")',
    "registration": "=cmd|' /C calc'!A0",
    "notes": '=DDE("cmd";"/C calc";"A0")\nBEGIN:VEVENT\nSUMMARY:harm\nEND:VEVENT',
    "plain": "http://harm.invalid/<b>bold</b>", "own_header": "=1+1", "own": "=[1]Sheet1!A1",
    "own_title": "=2+2 &P",
}
#: The same words without their signs, as long as before, so that widths stay alike.
TAME = {key: re.sub(r"[^A-Za-z0-9 \n]", "x", text) for key, text in HARM.items()}


#: Print area of a sheet whose title was taken out.
AREA = re.compile(r"('')?!?\$A\$[0-9]+:\$[A-Z]+\$[0-9]+")


def typed(words: Mapping[str, str]) -> Inputs:
    """Return a small farm whose every kind of text is one of these."""
    names = {key: words[key] for key in ("pass", "field", "mix", "sprayer")}
    farm = small_farm(
        farm={"farm": words["farm"], "prepared_by": words["by"], "prepared_for": words["plain"]},
        fields={"field": words["field"], "notes": words["notes"]},
        products={"product": words["product"], "registration_no": words["registration"],
                  "notes": words["notes"], "rei_hours": 72.0},
        ingredients={"product": words["product"]}, mixes={"mix": words["mix"], "product": words["product"]},
        sprayers={"sprayer": words["sprayer"]}, passes=names,
        past_use={"field": words["field"], "season": 2025, "mode_group": 9, "uses": 1},
        load_choice={"pass": words["pass"], "field": words["field"], "load": 1},
    )
    own = OwnSheet({(1, 1): OwnCell(words["own"]), (2, 1): OwnCell(words["notes"])})
    extras: dict[str, Any] = {
        "fields": {words["own_header"]: [words["own"], words["notes"]]},
        OWN_SHEETS: [words["own_title"]], OWN_CELLS: {words["own_title"]: own},
    }
    return Inputs(farm.tables, extras, farm.origin)


def theme(words: Mapping[str, str]) -> Theme:
    """Return a theme that carries two of the words."""
    return Theme(name=words["by"], footer=words["plain"])


@pytest.fixture(scope="module")
def harmful() -> Built:
    """The farm of harmful words."""
    return build_small(typed(HARM), asked=EVERY_TAB, theme=theme(HARM))


@pytest.fixture(scope="module")
def tame() -> Built:
    """The farm of innocent words."""
    return build_small(typed(TAME), asked=EVERY_TAB, theme=theme(TAME))


def bare(built: Built, own_title: str) -> dict[str, Any]:
    """Return all of a workbook that is not the text of a cell: formulas, links, names, drop-downs, notes,
    pages.
    """
    found: dict[str, Any] = {}
    book = load_workbook(io.BytesIO(built.data))
    found["names"] = {name: each.attr_text for name, each in book.defined_names.items()}
    for sheet in book.worksheets:
        key = "own" if sheet.title == own_title else sheet.title
        cells = [cell for _, cell in sorted(sheet._cells.items())]
        found[key, "formulas"] = {cell.coordinate: cell.value for cell in cells if cell.data_type == "f"}
        # Where a link stands follows the widths of columns, and so the lengths of words; where it leads must
        # not.
        found[key, "links"] = sorted((str(cell.hyperlink.target), str(cell.hyperlink.location))
                                     for cell in cells if cell.hyperlink)
        found[key, "notes"] = {cell.coordinate: cell.comment.text for cell in cells if cell.comment}
        found[key, "drop-downs"] = sorted(
            (str(rule.sqref), str(rule.formula1), str(rule.formula2), str(rule.prompt), str(rule.error))
            for rule in sheet.data_validations.dataValidation
        )
        found[key, "rules"] = sorted(str(rule.formula) for area in sheet.conditional_formatting
                                     for rule in area.rules)
        found[key, "foot"] = [part.text for part in (sheet.oddFooter.left, sheet.oddFooter.center,
                                                     sheet.oddFooter.right)]
        # How many rows and columns print follows the widths of words; that they are rows and columns and
        # nothing else must not.
        found[key, "area"] = (sheet.print_title_rows, sheet.print_area
                              and AREA.fullmatch(sheet.print_area.replace(sheet.title, "")) is not None)
    return found


def without_footer(found: dict[Any, Any], words: dict[str, str]) -> dict[Any, Any]:
    """Return what a workbook holds without the theme's line in its page feet,
    where an ampersand stands twice.
    """
    line = words["plain"].replace("&", "&&")
    feet = {key: [(text or "").removesuffix(line) for text in parts] for key, parts in found.items()
            if key[1] == "foot"}
    assert any((text or "").endswith(line) for key in feet for text in found[key])
    return {**found, **feet}


def test_nothing_but_texts_differs(harmful: Built, tame: Built) -> None:
    """Formulas, links, names, drop-downs and notes hold no word that was typed,
    and page feet none but the theme's line, its codes made harmless.
    """
    mine, theirs = (without_footer(bare(harmful, HARM["own_title"]), HARM),
                    without_footer(bare(tame, TAME["own_title"]), TAME))

    assert {key for key in mine.keys() | theirs.keys() if mine.get(key) != theirs.get(key)} == set()
    assert sum(len(cells) for key, cells in mine.items() if key[1] == "formulas") > 5_000


def test_harmful_texts_are_marked_as_texts(harmful: Built) -> None:
    """Every word arrives as it was typed, and one that begins like a formula carries the mark that keeps it
    text.
    """
    book = load_workbook(io.BytesIO(harmful.data))
    cells = [cell for sheet in book.worksheets for cell in sheet._cells.values()
             if isinstance(cell.value, str) and cell.data_type != "f"]
    risky = [cell for cell in cells if cell.value[:1] in ("=", "+", "-", "@")]

    assert set(HARM.values()) - {cell.value for cell in cells} <= {HARM["own_title"]}
    assert {cell.data_type for cell in risky} == {"s"}
    assert [cell for cell in risky if not cell.quotePrefix] == []
    assert HARM["own_title"] in book.sheetnames


def test_package_reaches_nowhere(harmful: Built) -> None:
    """The file has no link to elsewhere, no macro, no data connection and no embedded object."""
    with zipfile.ZipFile(io.BytesIO(harmful.data)) as archive:
        names = archive.namelist()
        links = b"".join(archive.read(name) for name in names if name.endswith(".rels")).decode()

    assert [name for name in names
            if re.search("vba|macro|external|connection|embed|query|activeX|ctrlProp|customXml", name,
                         re.IGNORECASE)] == []
    # Links between sheets are written as targets that begin with a hash.
    outward = [tag for tag in re.findall("<Relationship [^>]*>", links) if "External" in tag
               and 'Target="#' not in tag]
    assert outward == []


def test_page_heads_have_no_codes(harmful: Built) -> None:
    """An ampersand in a name is printed; it does not become a page number or a font."""
    with zipfile.ZipFile(io.BytesIO(harmful.data)) as archive:
        heads = {head for name in archive.namelist()
                 for head in re.findall(rb"<oddHeader>(.*?)</oddHeader>", archive.read(name))}

    before, _, typed_part = zip(*(html.unescape(head.decode()).partition("&R") for head in heads),
                                strict=True)
    assert set(before) == {""}
    assert set(typed_part) == {theme(HARM).name.replace("&", "&&")}


class Shape(HTMLParser):
    """The tags of a page with their attributes' names, and its text."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, tuple[str, ...]]] = []
        self.text: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag."""
        self.tags.append((tag, tuple(name for name, _ in attrs)))

    def handle_data(self, data: str) -> None:
        """Note a text."""
        self.text.append(data)


def test_printed_pages_hold_no_markup_of_theirs(harmful: Built, tame: Built) -> None:
    """Tag by tag and attribute by attribute, the printed pages are those of the innocent farm."""
    mine, theirs = (documents(built.plan, Choice(), theme(words))
                    for built, words in ((harmful, HARM), (tame, TAME)))

    assert mine.keys() == theirs.keys()
    assert "mix-cards" in mine
    for name in mine:
        assert Shape(mine[name]).tags == Shape(theirs[name]).tags, name
        assert not {"img", "b", "iframe"} & {tag for tag, _ in Shape(mine[name]).tags}, name
        # The page for the phone has a script and its data, whose hash stands in its policy; no other page has
        # any.
        assert [tag for tag, _ in Shape(mine[name]).tags].count("script") == (
            2 if name == "cab-page" else 0), name
    assert HARM["farm"] in " ".join(Shape(mine["mix-cards"]).text)


def test_calendar_has_no_lines_of_theirs(harmful: Built, tame: Built) -> None:
    """The calendar has the events and the kinds of lines of the innocent farm."""
    kinds = []
    for built in (harmful, tame):
        text = plan_as_ics(built.plan, MOMENT).replace("\r\n ", "")
        kinds.append([re.split("[:;]", line)[0] for line in text.split("\r\n")])

    assert kinds[0] == kinds[1]
    assert "BEGIN" in kinds[0]


def test_json_keeps_words_as_words(harmful: Built) -> None:
    """JSON holds the words as text, and can be read."""
    data = json.loads(plan_as_json(harmful.plan, ()))

    assert HARM["field"] in json.dumps(data, ensure_ascii=False).replace('\\"', '"')
    assert "NaN" not in json.dumps(data)


def test_summary_of_clients_holds_texts_only(harmful: Built, tame: Built) -> None:
    """The summary over many clients has the formulas of innocent ones, also for a client that failed."""
    formulas = []
    for built, words in ((harmful, HARM), (tame, TAME)):
        task = Task(words["field"], Path("a"), Path("b"))
        outcomes = [Outcome(task, BUILT, (), facts_of(built.plan)),
                    Outcome(task, FAILED, (words["product"], words["registration"]))]
        book = load_workbook(io.BytesIO(summary_workbook(outcomes)))
        cells = [cell for sheet in book.worksheets for cell in sheet._cells.values()]
        formulas.append({(cell.parent.title, cell.coordinate, cell.value) for cell in cells
                         if cell.data_type == "f"})
        assert [cell for cell in cells if str(cell.value)[:1] in ("=", "+", "@") and cell.data_type != "f"
                and not cell.quotePrefix] == []

    assert formulas[0] == formulas[1]


@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
@pytest.mark.nightly
def test_a_spreadsheet_program_evaluates_nothing(harmful: Built, tmp_path: Path) -> None:
    """LibreOffice opens the workbook, and no word became a formula, a link or a result."""
    (tmp_path / "harm.xlsx").write_bytes(harmful.data)
    subprocess.run(
        ["soffice", f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}", "--headless", "--convert-to",
         "fods", "--outdir", str(tmp_path), str(tmp_path / "harm.xlsx")],
        check=True, capture_output=True, timeout=180,
    )
    text = (tmp_path / "harm.fods").read_text("utf-8")

    formulas = re.findall('table:formula="([^"]*)"', text)
    assert len(formulas) > 10_000
    assert [formula for formula in formulas if re.search("HYPERLINK|WEBSERVICE|DDE|cmd|harm.invalid|file:",
                                                         formula)] == []
    # Charts name the document they stand in as "..".
    links = set(re.findall('xlink:href="([^"]*)"', text))
    assert [link for link in links if link != ".."
            and not link.removeprefix("harm.xlsx").startswith("#")] == []
    assert ("=HYPERLINK(&quot;http://harm.invalid/&quot;" in text
            or '=HYPERLINK("http://harm.invalid/"' in text)
    assert "table:dde-link" not in text
    scripts = text.partition("<office:scripts>")[2].partition("</office:scripts>")[0]
    assert "office:scripts" not in text or "<script:" not in scripts.replace("ooo:libraries", "")
