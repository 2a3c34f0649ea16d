"""Printed sheets in a real browser: one load a page, nothing cut, the plan's numbers on paper."""

from __future__ import annotations

import random
import re
import shutil
import subprocess
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path

import pytest
from printing_help import browser_pdf, demo_tables, need_browser, pdf_pages, plain, plan_of
from small_farm import small_farm

from workbook_builder.build import Built
from workbook_builder.commands import print_sheets
from workbook_builder.core.columns import OPEN_STATUSES
from workbook_builder.printing import ON_SCREEN, documents, pdf
from workbook_builder.printing.cards import cards, kind_of, mix_cards, numbers_told, points_of, recipe_of
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.cover_note import cover_note
from workbook_builder.printing.pages import Wording
from workbook_builder.printing.pdf import Browser, NoPdfMaker, make_pdf
from workbook_builder.printing.pick_lists import pick_list, pick_pages
from workbook_builder.printing.posting import posting_notices
from workbook_builder.printing.spot_sheets import sheets, spot_rows, spot_sheets

FOOT = "The figures are planning aids typed in by people."
#: Most pages for all that the demo prints.
MOST_PAGES = 40


def test_every_recipe_has_its_card(farm: Built, tmp_path: Path) -> None:
    """Every page carries the cautions and its number.

    Every recipe stands on a card, and the pages of all sheets together are few.
    """
    plan, made = farm.plan, documents(farm.plan, Choice())
    pages = {name: pdf_pages(text, tmp_path) for name, text in made.items() if name not in ON_SCREEN}
    recipes = {recipe_of(plan, row) for row in Choice().rows(plan)
               if plan.tables["passes"][row]["method"] != "spot"}
    assert len(cards(plan, Choice())) == len(recipes) > 0
    assert len(pages["mix-cards"]) <= 2 * len(recipes)
    assert sum(map(len, pages.values())) <= MOST_PAGES
    for texts in pages.values():
        for number, page in enumerate(texts, 1):
            assert FOOT in plain(page)
            assert f"page {number} of {len(texts)}" in plain(page)


def test_numbers_on_paper_are_the_plans(farm: Built, tmp_path: Path) -> None:
    """Amounts on the cards are the plan's within the steps of the settings,
    and none is over the label's maximum; the paper shows them.
    """
    plan = farm.plan
    text = "".join("".join(pdf_pages(mix_cards(plan, Choice()), tmp_path)).split())
    for card in cards(plan, Choice()):
        row = card.places[0].row
        both = zip(plan.tables["mix_lines"], plan.tables["product_limits"], strict=True)
        amounts = {line["product"]: (line, limit) for line, limit in both if line["parent_no"] == row + 1}
        for column in card.columns:
            for line, poured in zip(card.lines, column.fill.poured, strict=True):
                cells, limit = amounts[line.product]
                exact = cells["poured"] * column.fill.volume / card.carrier
                assert abs(poured.base / exact - 1) <= 0.02 + 1e-9
                assert "".join(poured.amount.split()) in text
                if limit["max_rate"] != "" and limit["rate_status"] == "OK":
                    assert poured.base / exact * limit["rate"] <= limit["max_rate"] * (1 + 1e-9)


def test_loads_hold_what_the_fields_need(farm: Built) -> None:
    """All loads of a card together are the spray volume of its fields and what the pump cannot draw,
    each field in its loads.
    """
    for card in cards(farm.plan, Choice()):
        loads = [load for run in card.loads for load in run]
        wanted = sum(place.volumes["volume"] for place in card.places)
        opened = sum(farm.plan.tables["pass_volumes"][run[0].rows[0]]["opens"]
                     * farm.plan.tables["pass_volumes"][run[0].rows[0]]["unusable"] for run in card.loads)
        assert sum(load.volume for load in loads) == pytest.approx(wanted + opened)
        assert {row for load in loads for row in load.rows} == {place.row for place in card.places}
        assert all(load.in_tank + load.volume <= card.tank + 1e-6 for load in loads)


def test_levels_rise_to_the_mark(farm: Built) -> None:
    """The level after each step never falls, dry products do not lift it, and the last step is the mark."""
    for card in cards(farm.plan, Choice()):
        for column in card.columns:
            levels = [float(level.replace(",", ""))
                      for level in (column.fill.water_level, *(poured.level for poured in column.fill.poured))
                      if level]
            assert levels == sorted(levels)
            assert all(before == after
                       for before, after, line in zip(levels, levels[1:], card.lines, strict=False)
                       if line.phase == "dry")
            assert levels[-1] <= float(column.fill.mark.split()[0].replace(",", "")) + 1


def test_loads_stand_on_the_page_of_their_field(tmp_path: Path) -> None:
    """Where a card goes on to a further page, no name of a field is left behind without its boxes:
    cards of 6 to 16 fields, a day each.
    """
    inputs = small_farm()
    first, fields = inputs.rows("passes")[0], [f"Plot {number}" for number in range(1, 17)]
    farm = {**inputs.tables, "fields": [{**inputs.rows("fields")[0], "field": name} for name in fields],
            "mixes": [{**inputs.rows("mixes")[0], "mix": f"Mix {many}"} for many in range(6, 17)],
            "passes": [{**first, "pass": f"Pass {many}", "mix": f"Mix {many}", "field": name,
                        "date": first["date"] + timedelta(days=day)}
                       for many in range(6, 17) for day, name in enumerate(fields[:many])]}
    pages = pdf_pages(mix_cards(plan_of(farm), Choice()), tmp_path)

    assert len(pages) > 11
    assert [found[0] for page in pages
            if (found := re.search(r"\n[A-Z] Plot \d+\s+The label is the law", page))] == []


def test_adding_order_on_paper(demo: Built) -> None:
    """The products stand on the card in the plan's mixing order."""
    order: dict[str, list[str]] = {}
    for row in demo.plan.tables["adding_order"]:
        if row["step"] != "":
            order.setdefault(row["mix"], []).append(row["product"])
    for card in cards(demo.plan, Choice()):
        assert [line.product for line in card.lines] == order[card.typed["mix"]]


def test_a_logged_pass_is_done_and_a_logged_load_is_not_mixed_again() -> None:
    """A pass in the spray log has only done loads.

    Of one with a load in the load log, the next is the one after it.
    """
    tables = demo_tables()
    tables["load_log"].append({"pass": "Preemerge", "field": "School Section", "load": 1, "area_covered": 63,
                               "volume_sprayed": 891})
    made = {card.title: card for card in cards(plan_of(tables), Choice())}

    assert made["Pea preemerge"].next_load == "All loads are logged"
    assert made["Sorghum preemerge"].next_load == "Next: load 2"
    assert [load.done for load in made["Sorghum preemerge"].loads[0]].count(True) == 1
    assert made["Sunflower preemerge"].next_load == ""


def test_points_of_a_card_stand_in_the_order_of_the_checks(farm: Built) -> None:
    """Of several fields on one card the worst leads, and of one status what is checked first:
    a crop on no label is not hidden behind what a label does not say.
    """
    seen = 0
    for rows in [range(first, first + 3) for first in range(len(farm.plan.inputs.rows("passes")) - 3)]:
        ranks = [(OPEN_STATUSES.index(check["status"]), check["check_no"])
                 for (check, _) in points_of(farm.plan, rows)[0]]
        assert ranks == sorted(ranks)
        every = [row for row in farm.plan.tables["all_checks"] if row["parent_no"] - 1 in rows
                 and row["status"] in OPEN_STATUSES]
        assert (not every or ranks[0] == min((OPEN_STATUSES.index(row["status"]), row["check_no"])
                                             for row in every))
        seen += len(ranks)
    assert seen > 10


@pytest.mark.parametrize("seed",
                         [0, *(pytest.param(seed, marks=pytest.mark.nightly) for seed in range(1, 4))])
def test_long_names_and_large_mixes_are_printed_whole(seed: int, tmp_path: Path) -> None:
    """Mixes of up to 18 products with names of up to 160 letters go on to further pages,
    and nothing is cut off.
    """
    chance = random.Random(seed)
    tables = demo_tables()
    names: dict[object, str] = {}

    def renamed(name: object) -> str:
        letters = chance.choice(["abc def ", "W", "i l ", "Ω漢字", '<b>&"']) * 200
        return names.setdefault(name, f"{letters[: chance.choice([5, 20, 45, 80, 160])]} {len(names)}")

    places = {"fields": ("field", "crop"), "products": ("product",), "mixes": ("mix", "product"),
              "passes": ("pass", "field", "mix", "sprayer"),
              "sprayers": ("sprayer",), "ingredients": ("product",), "label_limits": ("product", "crop"),
              "plant_back": ("product",)}
    for table, keys in places.items():
        for row in tables[table]:
            row.update({key: renamed(row[key]) for key in keys if row.get(key)})
    products = chance.sample([row["product"] for row in tables["products"]], chance.randint(1, 18))
    tables["mixes"] += [{"mix": "M", "product": name, "rate": chance.choice([3, 0.1, 33.33]),
                         "rate_unit": "fl oz/ac"} for name in products]
    tables["passes"] = ([{**row, "mix": "M"} for row in tables["passes"][:2]]
                        + [row for row in tables["passes"] if row["method"] == "spot"][:1])
    plan = plan_of(tables)
    for make in (mix_cards, posting_notices, spot_sheets):
        pages = pdf_pages(make(plan, Choice()), tmp_path)
        text = "".join("".join(pages).split())
        assert len(pages) <= 12
        assert all(FOOT in plain(page) for page in pages)
        assert (make is not mix_cards or all("".join(str(name).split())[-6:] in text for name in products
                                             if "漢" not in str(name)))


def test_notices_and_spot_sheets_name_every_field(farm: Built, tmp_path: Path) -> None:
    """Each pass on each field stands on a notice with when the field opens.

    Each spot pass has a sheet with its next fill and a next load.
    """
    page = posting_notices(farm.plan, Choice())
    notices_text = plain(" ".join(pdf_pages(page, tmp_path)))
    w = Wording.of(farm.plan)
    for row in Choice().rows(farm.plan):
        assert str(farm.plan.tables["passes"][row]["field"]) in notices_text
        opens = w.opens(farm.plan.tables["intervals"][row], farm.plan.tables["passes"][row]["pass"])
        # What stands after the moment goes on in the next line of its cell.
        assert opens in page
        assert opens.split(", by ")[0] in notices_text
    made = sheets(farm.plan, Choice())
    text = plain(" ".join(pdf_pages(spot_sheets(farm.plan, Choice()), tmp_path)))
    assert len(made) == len(spot_rows(farm.plan, Choice())) > 0
    for sheet in made:
        assert f"Next fill (load {sheet.next_no})" in text
        assert sheet.fill is None or f"Fill to {sheet.fill.mark}" in text


def test_pick_list_and_cover_note_are_whole(farm: Built, tmp_path: Path) -> None:
    """Every product wanted and the cost of the season stand on paper."""
    lists = pdf_pages(pick_list(farm.plan, Choice()), tmp_path)
    text = plain(" ".join(lists))
    assert (text.count("Pick list: ")
            == len({row["pass"] for row in farm.plan.tables["passes"] if row["pass"]}))
    for line in farm.plan.tables["mix_lines"]:
        assert str(line["product"]) in text
    pages = pdf_pages(cover_note(farm.plan, Choice()), tmp_path)
    assert len(pages) == 1
    note = plain(pages[0])
    assert f"{farm.plan.tables['cost_farm'][0]['total_cost']:,.2f}" in note
    assert farm.plan.tables["glance"][0]["verdict"] in note


def test_paper_follows_the_units(farm: Built) -> None:
    """Letter for US units, A4 for metric."""
    paper = "A4" if farm.plan.system == "metric" else "letter"
    assert f"size: {paper} portrait" in mix_cards(farm.plan, Choice())


def test_pages_asked_for_at_a_time_come_back_each_as_its_own(tmp_path: Path) -> None:
    """Four pages that threads ask one browser for are four PDFs, each tagged and with its own words."""
    need_browser()
    words = ("barley", "canola", "flax", "oats")
    with ThreadPoolExecutor(4) as pool:
        made = dict(zip(words, pool.map(browser_pdf(),
                                        [f"<html lang=en><h1>{word}</h1><p>{word * 200}" for word in words]),
                        strict=True))
    for word, data in made.items():
        path = tmp_path / "one.pdf"
        path.write_bytes(data)
        assert subprocess.run(["pdftotext", str(path), "-"], capture_output=True, check=True,
                              text=True).stdout.startswith(word)
        assert b"/MarkInfo" in data


def test_one_browser_makes_all_pdfs_of_a_command(metric: Built, tmp_path: Path,
                                                 monkeypatch: pytest.MonkeyPatch) -> None:
    """Every page for paper gets a tagged PDF from one browser.

    Without any program the command says so before it reads anything.
    """
    need_browser()
    started: list[str] = []
    monkeypatch.setattr(pdf, "Browser", lambda program: started.append(program) or Browser(program))
    monkeypatch.setattr(print_sheets, "planned", lambda _: (metric.plan, []))
    first = Choice(pass_name=str(metric.plan.tables["passes"][0]["pass"]))
    made = print_sheets.made_sheets(tmp_path / "book.xlsx", tmp_path, first, pdf=True).contents
    papers = {path.stem for path in made if path.suffix == ".html"} - set(ON_SCREEN)

    assert len(started) == 1
    assert {path.stem for path in made if path.suffix == ".pdf"} == papers
    assert all(data.startswith(b"%PDF") and b"/MarkInfo" in data for path, data in made.items()
               if path.suffix == ".pdf")
    monkeypatch.setattr(pdf, "pdf_program", lambda: "")
    monkeypatch.setattr(print_sheets, "planned", pytest.fail)
    with pytest.raises(NoPdfMaker, match="Install Chromium"):
        print_sheets.made_sheets(tmp_path / "book.xlsx", tmp_path, first, pdf=True)


@pytest.mark.parametrize("script", ["exit 3", "echo out of order >&2; exec 3<&-; exit 0"])
def test_a_browser_that_stops_is_named(script: str, tmp_path: Path) -> None:
    """A browser that ends without an answer is an error that names it and repeats what it said,
    and waits for nothing.
    """
    program = tmp_path / "chromium"
    program.write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
    program.chmod(0o755)
    with pytest.raises(NoPdfMaker,
                       match=f"{program} did not make the PDF: the browser stopped: "
                             f"{'out of order' if 'echo' in script else ''}"):
        make_pdf("<p>x</p>", str(program))


def office_pages(html: str, folder: Path) -> list[str]:
    """Return the text of each page that LibreOffice prints of a document."""
    program = shutil.which("soffice")
    if program is None:
        pytest.skip("LibreOffice not installed")
    path = folder / "office.pdf"
    path.write_bytes(make_pdf(html, program))
    return subprocess.run(["pdftotext", str(path), "-"], capture_output=True, check=True,
                          text=True).stdout.split("\f")[:-1]


@pytest.mark.nightly
def test_an_office_program_prints_it_all_too(metric: Built, tmp_path: Path) -> None:
    """Where only LibreOffice is there, every card and spot sheet is printed with its amounts."""
    need_browser()
    plan = metric.plan
    text = plain(" ".join(office_pages(mix_cards(plan, Choice()), tmp_path)))
    assert all(poured.amount in text for card in cards(plan, Choice()) for column in card.columns
               for poured in column.fill.poured)
    assert text.count(FOOT) == len(cards(plan, Choice()))
    assert len(office_pages(spot_sheets(plan, Choice()), tmp_path)) >= len(spot_rows(plan, Choice()))


def test_a_card_says_which_loads_each_column_is(demo: Built, metric: Built) -> None:
    """Every load still to be mixed stands under one column, by its number and, where a card has several
    runs, by the letters of their fields; columns stand in the order in which their loads are mixed.
    """
    said = set()
    for built in (demo, metric):
        for card in cards(built.plan, Choice()):
            runs = [run for run in card.loads if run]
            left = [load for run in runs for load in run if not load.done]
            assert sum(column.count for column in card.every) == len(left)
            order = list(dict.fromkeys(kind_of(load) for run in runs for load in run))
            assert [kind_of(column.fill) for column in card.every] == order
            said |= {column.loads for column in card.every}
            assert len({column.loads for column in card.every}) == len(card.every)

    assert {"load 1", "loads 2 to 7", "load 8", "A: load 1; B: load 1"} <= said
    assert numbers_told([1, 2, 3, 5, 7, 8]) == "1 to 3, 5, 7, 8"


def test_the_pick_list_names_what_must_not_be_mixed(demo: Built) -> None:
    """Whoever fetches products reads which of the passes are not allowed as planned."""
    states = {f"{row['pass']} on {row['field']}" for row in demo.plan.tables["pass_open"]
              if row["status"] == "Not allowed"}
    pages = pick_pages(demo.plan, Choice())

    assert {said for page in pages for said in page.stopped} == states != set()
    text = pick_list(demo.plan, Choice())
    assert text.count("Not allowed as planned:") == sum(bool(page.stopped) for page in pages)
