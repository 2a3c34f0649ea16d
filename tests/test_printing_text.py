"""Printed sheets as text: escaped, self-contained, told in words, and the right passes chosen."""

from __future__ import annotations

import dataclasses
import datetime as dt
import re
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest
from printing_help import demo_tables, plan_of

from workbook_builder.build import Built
from workbook_builder.commands.print_sheets import print_source
from workbook_builder.features.orders.pick_list import pick_lines
from workbook_builder.printing import ON_SCREEN, Choice, NothingToPrint, documents
from workbook_builder.printing.cards import cards, mix_cards
from workbook_builder.printing.office_pdf import text_height
from workbook_builder.printing.pages import Wording, environment
from workbook_builder.printing.pick_lists import pick_pages

PAYLOADS = (
    "<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "javascript:alert(1)",
    "{{ 7*7 }}{% raw %}", "</style><style>*{display:none}",
    "<!-- ", "&lt;b&gt;", "' onmouseover='x", "\u202eevil", "]]>", "<a href=http://example.org>x</a>",
    "=HYPERLINK(1)", "url(http://example.org/x.png)",
)


class Tags(HTMLParser):
    """Collects the tags and attributes of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str | None]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag."""
        self.tags.add(tag)
        self.attributes += attrs


def on_paper(farm: Built) -> dict[str, str]:
    """Return the documents that are printed; the page for a phone has tests of its own."""
    return {name: text for name, text in documents(farm.plan, Choice()).items() if name not in ON_SCREEN}


@cache
def without_payload() -> dict[str, str]:
    """Return the pages of the metric farm as it is."""
    return documents(plan_of(demo_tables("demo_metric")), Choice())


@pytest.mark.parametrize("payload", ["".join(reversed(PAYLOADS)),
                                     *(pytest.param(each, marks=pytest.mark.nightly) for each in PAYLOADS)])
def test_text_from_people_never_becomes_html(payload: str) -> None:
    """With all payloads in every text of the inputs, and in the long run each by itself,
    the pages have the same tags as without.
    """
    tables, clean = demo_tables("demo_metric"), without_payload()
    for table, key in (("farm", "farm"), ("farm", "prepared_by"), ("fields", "field"), ("fields", "crop"),
                       ("products", "product"),
                       ("products", "registration_no"), ("mixes", "mix"), ("sprayers", "sprayer"),
                       ("passes", "pass"), ("ingredients", "active_ingredient")):
        for row in tables[table]:
            if row.get(key):
                _rename(tables, key, row[key], f"{row[key]}{payload}")
    dirty = documents(plan_of(tables), Choice())
    for name, text in dirty.items():
        before, after = Tags(), Tags()
        before.feed(clean[name])
        after.feed(text)
        assert after.tags <= before.tags
        assert {key for key, _ in after.attributes} == {key for key, _ in before.attributes}


def _rename(tables: dict[str, list[dict[str, object]]], key: str, old: object, new: str) -> None:
    for rows in tables.values():
        for row in rows:
            if row.get(key) == old:
                row[key] = new


def test_the_payload_is_still_readable() -> None:
    """A name with angle brackets is printed as it was typed, escaped."""
    tables = demo_tables()
    _rename(tables, "field", "Long Strip", "<script>alert(1)</script>")
    text = mix_cards(plan_of(tables), Choice())
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in text
    assert "<script" not in text


def test_pages_need_nothing_but_themselves(farm: Built) -> None:
    """No page names another file or address, and none may load anything."""
    for text in on_paper(farm).values():
        assert not re.search(r"https?:|//|@import|<link|<script|src=\"(?!data:)", text)
        assert "default-src 'none'" in text


def test_no_meaning_by_colour_alone(farm: Built) -> None:
    """With every colour taken out, the pages say the same: states stand in words, ink is black."""
    for text in on_paper(farm).values():
        style = text[text.index("<style>") : text.index("</style>")]
        for rule in re.findall(r"[^-\w]color:\s*([^;}]+)", style):
            assert rule.strip() in ("#000", "#222", "#333", "var(--main)")
        assert "style=\"color" not in text
    opened = [card for card in cards(farm.plan, Choice()) if card.points]
    text = mix_cards(farm.plan, Choice())
    assert all(str(point["status"]) + ":</span>" in text for card in opened for point, _ in card.points)


def test_every_sheet_carries_the_cautions(farm: Built) -> None:
    """Each page says that the label is the law, jar test, wind and neighbours."""
    for text in on_paper(farm).values():
        sections = text.split("<section")[1:]
        assert all("The label is the law" in part and "jar test" in part and "inversion" in part
                   for part in sections)


def test_a_misspelt_name_in_a_template_is_an_error() -> None:
    """Templates are strict: what is not there is not printed as blank."""
    with pytest.raises(Exception, match="nowhere"):
        environment().from_string("{{ nowhere }}").render()


def test_choice_by_pass_field_load_and_date(demo: Built) -> None:
    """A choice leaves just what it names, whatever the case."""
    [card] = cards(demo.plan, Choice(pass_name="early BURNDOWN", field="west quarter", load=2))
    assert [(place.typed["field"], [load.number for load in card.loads[0]])
            for place in card.places] == [("West Quarter", [2])]
    rows = Choice(first_day=dt.date(2026, 4, 18), last_day=dt.date(2026, 4, 20)).rows(demo.plan)
    assert {demo.plan.tables["passes"][row]["pass"] for row in rows} == {"Early burndown"}


@pytest.mark.parametrize(
    ("choice", "words"),
    [
        (Choice(pass_name="Early burndwon"), "Did you mean 'Early burndown'"),
        (Choice(field="Nowhere"), "there is no field"), (Choice(load=99), "no load 99"),
        (Choice(first_day=dt.date(1999, 1, 1), last_day=dt.date(1999, 1, 2)), "no pass is planned between"),
    ],
)
def test_a_choice_that_fits_nothing_says_so(demo: Built, choice: Choice, words: str) -> None:
    """A wrong name, load or date is answered with what would fit."""
    with pytest.raises(NothingToPrint, match=words):
        cards(demo.plan, choice)


def test_pick_list_adds_up_and_rounds_to_packages(farm: Built) -> None:
    """Packages hold the amount and one fewer would not.

    The amount is the sum of the plan's lines over the passes, and no product is left out.
    """
    plan, rows = farm.plan, Choice().rows(farm.plan)
    both = [(cells, pick) for cells, pick in zip(plan.tables["mix_lines"], plan.tables["pick_list"],
                                                 strict=True) if cells["product"] != ""]
    lines = pick_lines(plan, rows)
    assert {line.product["product"] for line in lines} == {cells["product"] for cells, _ in both}
    for line in lines:
        wanted = sum(float(pick["base"]) for cells, pick in both if cells["parent_no"] - 1 in rows
                     and cells["product"] == line.product["product"] and pick["base"] != "")
        assert line.base == pytest.approx(wanted)
        assert (line.packages - 1) * line.package_base < wanted <= line.packages * line.package_base + 1e-6
        assert (line.short == pytest.approx(max(0,
                                                line.in_package_units - float(line.product["on_hand"] or 0))))


def test_passes_of_a_pick_list_go_by_date(farm: Built) -> None:
    """Passes stand in the order of their days, those without a day last, whatever the order of the workbook.
    """
    first = Choice().rows(farm.plan)[0]
    passes = [{**row, "date": ""} if index == first else row
              for index, row in enumerate(farm.plan.tables["passes"])]
    plan = dataclasses.replace(farm.plan, tables={**farm.plan.tables, "passes": passes})

    (of_a_range,) = pick_pages(plan, Choice(last_day=dt.date(2099, 1, 1)))
    by_pass = pick_pages(plan, Choice())

    assert len(of_a_range.passes) > 3
    assert any(row["date"] == "" for page in by_pass for row in page.passes)
    for page in (of_a_range, *by_pass):
        days = [row["date"] for row in page.passes]
        dated = [day for day in days if day != ""]
        assert days[: len(dated)] == sorted(dated)


def test_printing_writes_whole_files(tmp_path: Path) -> None:
    """The command's function writes each document, and again over its own."""
    source = Path(__file__).parents[1] / "workbook_builder" / "data" / "demo_metric"
    first = print_source(source, tmp_path / "out")
    again = print_source(source, tmp_path / "out")
    assert [path.name for path in first.files] == [path.name for path in again.files]
    assert {path.name for path in (tmp_path / "out").iterdir()} == {path.name for path in first.files}


def test_figures_are_worded(demo: Built) -> None:
    """Numbers carry thousands and no idle zeros; blanks read as not entered."""
    wording = Wording.of(demo.plan)
    assert wording.measure("volume", 1200.0) == "1,200 gal"
    assert wording.measure("area", "") == "not entered"
    assert wording.money(1234.5, "money_per_area") == "$1,234.50 per ac"
    assert wording.measure("share", 0.25) == "25 %"


def test_a_longer_text_is_higher() -> None:
    """The height of a paragraph grows with its text, for programs that make no room by themselves."""
    assert text_height("word " * 100, 100, 10) > 5 * text_height("word", 100, 10) > 0
