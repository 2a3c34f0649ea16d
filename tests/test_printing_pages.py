"""Printed sheets in a real browser: one load a page, nothing cut, the plan's numbers on paper."""

from __future__ import annotations

import random
import shutil
import subprocess
from pathlib import Path

import pytest
from printing_help import demo_tables, need_browser, pdf_pages, plain, plan_of

from workbook_builder.build import Built
from workbook_builder.planning import Plan
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.cover_note import cover_note
from workbook_builder.printing.mix_sheets import mix_pages, mix_sheets
from workbook_builder.printing.pdf import make_pdf
from workbook_builder.printing.pick_lists import pick_list
from workbook_builder.printing.posting import posting_notices
from workbook_builder.printing.spot_sheets import spot_rows, spot_sheets
from workbook_builder.printing.wording import Wording

FOOT = "The figures are planning aids typed in by people."


def loads_of(plan: Plan) -> int:
    """Count the loads of a plan from its volumes."""
    return sum(int(row["loads"]) for row in plan.tables["pass_volumes"] if row["loads"] != "")


def test_one_page_a_load(farm: Built, tmp_path: Path) -> None:
    """The mix sheets have as many pages as the plan has loads, each whole down to its foot."""
    pages = pdf_pages(mix_sheets(farm.plan, Choice()), tmp_path)
    assert len(pages) == loads_of(farm.plan) > 0
    for page in pages:
        assert FOOT in plain(page)
        assert "Left in the tank" in page


def test_numbers_on_paper_are_the_plans(farm: Built, tmp_path: Path) -> None:
    """Every amount of every first, later full and last load stands on its page, as the plan works it out."""
    plan = farm.plan
    pages = [plain(page) for page in pdf_pages(mix_sheets(plan, Choice()), tmp_path)]
    at = 0
    for row, volume in enumerate(plan.tables["pass_volumes"]):
        for load in range(1, int(volume["loads"] or 0) + 1):
            which = "first" if load == 1 else "full" if load <= volume["full_loads"] else "last"
            for line in plan.tables["mix_lines"]:
                if line["parent_no"] == row + 1 and line["product"] != "":
                    assert line["product"] in pages[at]
                    assert line[f"pour_{which}"] in pages[at]
                    amount = float(line[f"amount_{which}_load"])
                    assert _near(amount, line["amount_unit"], pages[at])
            assert f"Load {load} of {volume['loads']}" in pages[at]
            at += 1
    assert at == len(pages)


def _near(amount: float, unit: str, text: str) -> bool:
    """Whether an amount with its unit stands in a text; amounts are rounded to 0.1 of the smallest unit."""
    words = text.replace(",", "").split(f" {unit}")
    numbers = [word.split()[-1] for word in words[:-1] if word.split()]
    found = [float(number) for number in numbers if number.replace(".", "", 1).isdigit()]
    return any(abs(number - amount) <= max(0.06, 0.001 * amount) for number in found)


def test_water_and_liquids_fill_the_load(farm: Built) -> None:
    """First water, top-up and liquid products add up to the volume of the load."""
    from workbook_builder.printing.planned_loads import PlannedLoads

    loads = PlannedLoads(farm.plan)
    for row, volume in enumerate(farm.plan.tables["pass_volumes"]):
        for load in range(1, int(volume["loads"] or 0) + 1):
            planned = loads.load(row, load)
            total = planned.sheet["first_fill"] + planned.top_up + planned.liquid
            assert total == pytest.approx(planned.sheet["volume"])


def test_adding_order_on_paper(demo: Built) -> None:
    """The products stand on the page in the plan's mixing order."""
    order = {}
    for row in demo.plan.tables["adding_order"]:
        if row["step"] != "":
            order.setdefault(row["mix"], []).append(row["product"])
    for page in mix_pages(demo.plan, Choice()):
        assert [step.product for step in page.steps] == order[page.typed["mix"]]


@pytest.mark.parametrize("seed", range(4))
def test_long_names_and_large_mixes_stay_on_one_page(seed: int, tmp_path: Path) -> None:
    """Mixes of up to 18 products with names of up to 160 letters still print one load a page."""
    chance = random.Random(seed)
    tables = demo_tables()
    names: dict[object, str] = {}

    def renamed(name: object) -> str:
        letters = chance.choice(["abc def ", "W", "i l ", "Ω漢字", '<b>&"']) * 200
        return names.setdefault(name, f"{letters[: chance.choice([5, 20, 45, 80, 160])]} {len(names)}")

    places = {"fields": ("field", "crop"), "products": ("product",), "mixes": ("mix", "product"), "passes": ("pass", "field", "mix", "sprayer"),
              "sprayers": ("sprayer",), "ingredients": ("product",), "label_limits": ("product", "crop"), "plant_back": ("product",)}
    for table, keys in places.items():
        for row in tables[table]:
            row.update({key: renamed(row[key]) for key in keys if row.get(key)})
    products = chance.sample([row["product"] for row in tables["products"]], chance.randint(1, 18))
    tables["mixes"] += [{"mix": "M", "product": name, "rate": chance.choice([3, 0.1, 33.33]), "rate_unit": "fl oz/ac"} for name in products]
    tables["passes"] = [{**row, "mix": "M"} for row in tables["passes"][:2]] + [row for row in tables["passes"] if row["method"] == "spot"][:1]
    plan = plan_of(tables)
    assert len(pdf_pages(mix_sheets(plan, Choice()), tmp_path)) == loads_of(plan)
    assert len(pdf_pages(posting_notices(plan, Choice()), tmp_path)) == 3
    assert len(pdf_pages(spot_sheets(plan, Choice()), tmp_path)) == 1


def test_notices_and_logs_take_one_page_each(farm: Built, tmp_path: Path) -> None:
    """A posting notice a pass and field, and a log a spot pass, each on one page."""
    rows = Choice().rows(farm.plan)
    assert len(pdf_pages(posting_notices(farm.plan, Choice()), tmp_path)) == len(rows)
    rows = spot_rows(farm.plan, Choice())
    pages = pdf_pages(spot_sheets(farm.plan, Choice()), tmp_path)
    assert len(pages) == len(rows) > 0
    for page, row in zip(pages, rows, strict=True):
        estimate = farm.plan.tables["share_estimates"][row]
        assert FOOT in plain(page)
        assert "Mean" in page
        assert "Advised: " in page
        for key in ("volume_mean", "volume_p50", "volume_p80", "volume_p95"):
            assert Wording.of(farm.plan).measure("volume", estimate[key]) in plain(page)


def test_pick_list_and_cover_note_are_whole(farm: Built, tmp_path: Path) -> None:
    """Every product wanted and the cost of the season stand on paper."""
    lists = pdf_pages(pick_list(farm.plan, Choice()), tmp_path)
    assert len(lists) == len({row["pass"] for row in farm.plan.tables["passes"] if row["pass"]})
    text = plain(" ".join(lists))
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
    assert f"size: {paper} portrait" in mix_sheets(farm.plan, Choice())


def office_pages(html: str, folder: Path) -> list[str]:
    """Return the text of each page that LibreOffice prints of a document."""
    program = shutil.which("soffice")
    if program is None:
        pytest.skip("LibreOffice not installed")
    path = folder / "office.pdf"
    path.write_bytes(make_pdf(html, program))
    return subprocess.run(["pdftotext", str(path), "-"], capture_output=True, check=True, text=True).stdout.split("\f")[:-1]


@pytest.mark.nightly
def test_an_office_program_prints_one_page_each_too(metric: Built, tmp_path: Path) -> None:
    """Where only LibreOffice is there, each load and log still takes one whole page with its figures."""
    need_browser()
    plan = metric.plan
    loads, logs = office_pages(mix_sheets(plan, Choice()), tmp_path), office_pages(spot_sheets(plan, Choice()), tmp_path)
    assert (len(loads), len(logs)) == (loads_of(plan), len(spot_rows(plan, Choice())))
    assert all(FOOT in plain(page) for page in (*loads, *logs))
    text = plain(" ".join(loads))
    assert all(line["product"] in text and line["pour_last"] in text for line in plan.tables["mix_lines"] if line["product"] != "")
