"""The page of words is what the program says today, and pages name only tabs,
headers and settings that exist.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from words import PAGE, words_page

from workbook_builder.core.columns import SETTING
from workbook_builder.core.own import GUIDE_SHEETS
from workbook_builder.features import BY_KEY, TABLES
from workbook_builder.features.tabs import TABS

DOCS = Path(__file__).parents[1] / "docs"
TUTORIAL = (DOCS / "tutorial.md").read_text("utf-8")
SHOWN = ({tab.title for tab in TABS} | {block.title or BY_KEY[block.table].title for tab in TABS
                                        for block in tab.blocks})
TITLES = SHOWN | {table.title for table in TABLES} | set(GUIDE_SHEETS)
PAGES = [page for page in sorted(DOCS.rglob("*.md")) if "reference" not in page.parts
         and page.name not in ("oracles.md", "words.md")]
#: A sheet that a page names.
_PUBLISHED = re.compile(r"published (extension|journal|rating|guide|summary|sequences)")
_NAMED = re.compile(r"\b[Ss]heets? \*{0,2}([A-Z][a-z]+(?:-?[ ]?[a-z]+)*)")


def test_the_page_of_words_is_up_to_date() -> None:
    """Every tab, header, command, option, status and printed title stands on docs/words.md as the program
    says it.
    """
    assert PAGE.read_text("utf-8") == words_page(), "run: python -m tests.words"


def test_the_tutorial_names_only_tabs_that_exist() -> None:
    """What stands in bold in the tutorial is a tab of the workbook or a heading on one,
    or the first tab of a new workbook.
    """
    named = re.findall(r"\*\*([^*]+)\*\*", TUTORIAL)

    assert len(named) > 15
    assert set(named) <= SHOWN | {table.title for table in TABLES if table.is_typed} | {GUIDE_SHEETS[0]}


def test_the_tutorial_types_under_headers_that_exist() -> None:
    """The tables of the tutorial have the headers of the tabs they are typed on."""
    typed = re.findall(r"^\*\*([^*]+)\*\*:.*\n\n\|(.+)\|$", TUTORIAL, re.MULTILINE)
    by_title = {table.title: {column.header for column in table.columns if column.typed} for table in TABLES
                if table.is_typed}

    assert len(typed) == 8
    for title, headers in typed:
        assert {header.strip() for header in headers.split("|")} <= by_title[title], title


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_pages_name_only_tabs_that_exist(page: Path) -> None:
    """Where a page says "the sheet X", X begins with the title of a tab."""
    unknown = [name for name in _NAMED.findall(page.read_text("utf-8"))
               if not any(name == tab or name.startswith(f"{tab} ") for tab in TITLES)]

    assert unknown == []


def test_settings_that_call_a_source_published_are_named_in_the_docs() -> None:
    """A setting whose cell says only that its source is published has a line that names the source,
    and no line is left over.
    """
    lines = {tuple(cell.strip() for cell in line.split("|")[1:3])
             for line in (DOCS / "sources.md").read_text("utf-8").splitlines() if line.count("|") == 4}
    settings = {(table.sheet_title, column.header): column.source for table in TABLES
                for column in table.columns if column.role == SETTING}
    published = {place for place, source in settings.items() if _PUBLISHED.search(source)}

    assert len(published) > 10
    assert published <= lines
    assert lines - set(settings) == {("sheet", "setting"), ("---", "---")}
