"""The cab page in a real browser: fits every width, keeps its ticks, tells the level,
asks nobody for anything.
"""

from __future__ import annotations

import base64
import hashlib
import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from map_help import csv_text, logged, mapped, simulated, told_of

from workbook_builder.build import Built
from workbook_builder.maps.pages import map_page, scouting_page
from workbook_builder.printing import documents
from workbook_builder.printing.cab import cab_page
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.pdf import BROWSERS

WIDTHS = (360, 390, 600, 768, 1366)
#: How long the browser may take on a machine with much else to do [ms].
PATIENCE = 180_000
#: Words broken over lines, targets under 44 px and a page wider than the screen, as the browser lays it out.
LOOK = """() => {
  const small = [...document.querySelectorAll('a,button,select,input')].filter(e => e.offsetParent !== null)
    .map(e => (e.type === 'checkbox' ? e.closest('label') : e))
    .filter(e => { const r = e.getBoundingClientRect(); return r.height < 44 || r.width < 44; })
    .map(e => e.outerHTML.slice(0, 80));
  const broken = [];
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) {
    const node = walk.currentNode;
    if (!node.parentElement.offsetParent || node.parentElement.closest('script')) continue;
    for (const word of node.data.matchAll(/\\S+/g)) {
      const range = document.createRange();
      range.setStart(node, word.index); range.setEnd(node, word.index + word[0].length);
      const tops = new Set([...range.getClientRects()].map(r => Math.round(r.top)));
      if (tops.size > 1 && !/[-/]/.test(word[0])) broken.push(word[0]);
    }
  }
  return { wide: document.documentElement.scrollWidth - document.documentElement.clientWidth, small, broken };
}"""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Start the browser, or skip, but fail where everything must run."""
    program = next((found for name in BROWSERS if (found := shutil.which(name))), "")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        program = ""
    if not program:
        reason = "no browser, or no playwright to drive it"
        if os.environ.get("CI", "").lower() == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as started:
        running = started.chromium.launch(executable_path=program, args=["--no-sandbox"], timeout=PATIENCE)
        yield running
        running.close()


@pytest.fixture(scope="module")
def page_file(demo: Built, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Write the demo's cab page to a file, as it comes to a phone."""
    path = tmp_path_factory.mktemp("cab") / "cab-page.html"
    path.write_text(cab_page(demo.plan, Choice()), "utf-8")
    return path


@pytest.fixture(params=["light", pytest.param("dark", marks=pytest.mark.nightly)])
def tab(browser: Any, page_file: Path, request: pytest.FixtureRequest) -> Iterator[Any]:
    """Open the page without a network; whatever it asks for or complains of is kept."""
    context = browser.new_context(color_scheme=request.param, offline=True,
                                  viewport={"width": 390, "height": 844})
    context.set_default_timeout(PATIENCE)
    opened = context.new_page()
    opened.asked, opened.complaints = [], []
    opened.on("request", lambda each: opened.asked.append(each.url))
    opened.on("console", lambda each: opened.complaints.append(each.text))
    opened.on("pageerror", lambda each: opened.complaints.append(str(each)))
    opened.goto(page_file.as_uri())
    yield opened
    context.close()


def test_it_fits_every_width(tab: Any, page_file: Path) -> None:
    """At each width nothing scrolls sideways, no word is broken, and whatever is tapped is 44 px.

    Nothing is asked for, nothing goes wrong.
    """
    for width in WIDTHS:
        tab.set_viewport_size({"width": width, "height": 844})
        found = tab.evaluate(LOOK)
        assert found == {"wide": 0, "small": [], "broken": []}, width
    assert tab.asked == [page_file.as_uri()]
    assert tab.complaints == []


def opened_anew(tab: Any) -> None:
    """Leave a page and open it again.

    A page loaded anew in its own place may be shown a store from before, on a busy machine.
    """
    address = tab.url
    tab.goto("about:blank")
    tab.goto(address)


def opened_page(browser: Any, path: Path, text: str) -> Any:
    """Return a page with a text, which it is written down for."""
    path.write_text(text, "utf-8")
    page = browser.new_page()
    page.set_default_timeout(PATIENCE)
    page.goto(path.as_uri())
    return page


@pytest.mark.nightly
def test_printed_pages_are_read_on_any_screen(browser: Any, demo: Built, tmp_path: Path) -> None:
    """What is printed scrolls sideways at no width, but for tables in a frame of their own."""
    for name, text in documents(demo.plan, Choice()).items():
        opened = opened_page(browser, tmp_path / "page.html", text)
        for width in WIDTHS:
            opened.set_viewport_size({"width": width, "height": 844})
            assert opened.evaluate("() => document.documentElement.scrollWidth - "
                                   "document.documentElement.clientWidth") == 0, (name, width)
        opened.close()


#: What of a printed page stands outside its edges, tables that scroll in a frame of their own left out.
OUTSIDE = """() => [...document.querySelectorAll('.page')].flatMap(page => {
  const edge = page.getBoundingClientRect();
  return [...page.querySelectorAll('h1,h2,p,table,svg')].filter(e => !e.closest('.scroll,.wide'))
    .map(e => [e.getBoundingClientRect(), e.textContent.slice(0, 40)])
    .filter(([box]) => box.left < edge.left - 1 || box.right > edge.right + 1).map(([, text]) => text);
})"""


def test_maps_stay_on_their_page(browser: Any, tmp_path: Path) -> None:
    """The tables beside a map stand under their headings within the page, on a phone and on a desk."""
    told = told_of(mapped(logged(tmp_path / "log.csv", csv_text(simulated(every=2.0)))))
    for number, text in enumerate((map_page(told), scouting_page(told))):
        opened = opened_page(browser, tmp_path / "page.html", text)
        for width in WIDTHS:
            opened.set_viewport_size({"width": width, "height": 844})
            assert opened.evaluate(OUTSIDE) == [], (number, width)
            if number == 0:
                headings = opened.evaluate("() => [...document.querySelectorAll('.said h2')].map(e => "
                                           "[e.getBoundingClientRect().bottom, "
                                           "e.nextElementSibling.getBoundingClientRect().top])")
                assert len(headings) == 3
                assert all(bottom <= top + 1 for bottom, top in headings), width
        opened.close()


def test_ticks_survive_a_reload_and_tell_the_level(tab: Any) -> None:
    """Steps ticked in order lift the level to theirs.

    One skipped is named and holds the level; after a reload all is as it was.
    """
    sheet = tab.locator("#sheet1")
    boxes = sheet.locator("[data-kind]:not([hidden]) input[type=checkbox]")
    levels = [boxes.nth(n).get_attribute("data-level") for n in range(boxes.count())]

    boxes.nth(0).check()
    boxes.nth(1).check()
    assert f"Tank {float(levels[1]):g} of" in sheet.locator(".tank").text_content().replace(",", "")
    boxes.nth(3).check()
    assert f"Tank {float(levels[1]):g} of" in sheet.locator(".tank").text_content().replace(",", "")
    assert sheet.locator(".missing").text_content().startswith("Not ticked yet: ")
    opened_anew(tab)
    assert [boxes.nth(n).is_checked() for n in range(4)] == [True, True, False, True]
    assert sheet.locator(".missing").text_content().startswith("Not ticked yet: ")


def test_a_damaged_store_starts_anew(tab: Any) -> None:
    """Whatever stands in the store, the page opens, and the next tick is kept."""
    cut_short = '{"ticks": 5, "load": "x", "night": 1'
    box = tab.locator("#sheet0 [data-kind]:not([hidden]) input[type=checkbox]").first
    box.check()
    keys = tab.evaluate("text => { const keys = Object.keys(localStorage);"
                        " for (const key of keys) localStorage.setItem(key, text); return keys; }", cut_short)
    assert len(keys) == 1
    opened_anew(tab)
    assert not box.is_checked()
    box.check()
    opened_anew(tab)
    assert box.is_checked()
    assert tab.complaints == []


def test_the_keyboard_is_enough(tab: Any) -> None:
    """Tab reaches the night button, links and boxes; space ticks, and goes on to the next load."""
    reached = set()
    for _ in range(60):
        tab.keyboard.press("Tab")
        reached.add(tab.evaluate("() => document.activeElement.tagName + (document.activeElement.type "
                                 "|| '')"))
    assert {"BUTTONbutton", "A", "INPUTcheckbox"} <= reached
    go = tab.locator("#sheet1 [data-go='1']")
    go.focus()
    tab.keyboard.press("Space")
    assert "Load 2 of" in tab.locator("#sheet1 .which").text_content()


def test_what_to_make_when_it_runs_dry(tab: Any) -> None:
    """Hand-worked: 14 gal/ac, 70 gal on 50 ac are a share of 10 %.

    100 ac more need 140 gal, of 49 gal in the tank 9 cannot be drawn: 100 short.
    """
    names = tab.locator("#job option").all_text_contents()
    tab.locator("#job").select_option(label=next(name for name in names
                                                 if name.startswith("Spot: Late fallow spot: Long Strip")))
    for box, text in (("covered", "50"), ("sprayed", "70"), ("left", "100"), ("tank", "49")):
        tab.locator(f"#{box}").fill(text)
    told = tab.locator("#answer").inner_text()

    assert "Share read: 10 %." in told
    assert "Short by 100 gal." in told
    assert "Make 100 gal, tank then at 149." in told
    assert re.search(r"Dicamba 3.2 SL: \d", told)


def test_a_changed_script_does_not_run_but_the_cards_are_read(browser: Any, page_file: Path,
                                                              tmp_path: Path) -> None:
    """One byte changed in the script, and the policy keeps it from running.

    Amounts and steps still stand on the page.
    """
    changed = tmp_path / "changed.html"
    changed.write_text(page_file.read_text("utf-8").replace('"use strict";', '"use strict"; ', 1), "utf-8")
    opened = browser.new_page()
    opened.goto(changed.as_uri())

    assert opened.locator("#night").is_hidden()
    assert opened.locator("#sheet0 .pour").first.is_visible()
    opened.close()


def test_the_policy_names_the_one_script(page_file: Path) -> None:
    """The hashes in the policy are those of the script and the style sheet.

    No style attribute, no handler, nothing loaded.
    """
    text = page_file.read_text("utf-8")
    for tag, directive in (("script", "script-src"), ("style", "style-src")):
        body = re.search(rf"<{tag}>(.*?)</{tag}>", text, re.DOTALL)[1]
        mark = base64.b64encode(hashlib.sha256(body.encode()).digest()).decode()
        assert f"{directive} &#39;sha256-{mark}&#39;" in text or f"{directive} 'sha256-{mark}'" in text
    assert "default-src" in text
    assert not re.search(r"\sstyle=|\son[a-z]+=|innerHTML|https?:|//[a-z]|@import", text)


@pytest.fixture(scope="module")
def axe(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Fetch the rules of axe-core once."""
    folder = tmp_path_factory.mktemp("axe")
    if shutil.which("npm"):
        subprocess.run(["npm", "install", "--silent", "--no-audit", "--no-fund", "axe-core"], cwd=folder,
                       capture_output=True, check=False, timeout=300)
    source = folder / "node_modules" / "axe-core" / "axe.min.js"
    if not source.is_file():
        pytest.skip("axe-core could not be had from npm")
    return source.read_text("utf-8")


@pytest.mark.nightly
def test_axe_finds_nothing(tab: Any, axe: str) -> None:
    """The rules of axe-core (WCAG 2.2 A and AA and best practice) find no violation, by day and by night."""
    tab.evaluate(axe)
    found = tab.evaluate("() => axe.run(document)")
    assert {each["id"]: [node["html"][:90] for node in each["nodes"]][:3]
            for each in found["violations"]} == {}
