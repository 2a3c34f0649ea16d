"""Helpers for tests of printed sheets: a browser, its PDF, and the text on each page."""

from __future__ import annotations

import atexit
import copy
import os
import shutil
import subprocess
from collections.abc import Callable
from contextlib import ExitStack
from functools import cache
from pathlib import Path

import pytest
from conftest import shipped_inputs

from workbook_builder.build import with_defaults
from workbook_builder.core.inputs import Inputs
from workbook_builder.planning import Plan, make_plan
from workbook_builder.printing.pdf import BROWSERS, pdf_maker


def need_browser() -> None:
    """Skip when the browser or the PDF reader is missing, but fail where everything must run."""
    missing = [name for name, there in (("Chromium", any(map(shutil.which, BROWSERS))),
                                        ("pdftotext", shutil.which("pdftotext"))) if not there]
    if missing:
        reason = f"{' and '.join(missing)} not installed"
        if os.environ.get("CI", "").lower() == "true":
            pytest.fail(reason)
        pytest.skip(reason)


@cache
def browser_pdf() -> Callable[[str], bytes]:
    """Return what makes PDF in one browser for all tests of this process."""
    stack = ExitStack()
    atexit.register(stack.close)
    return stack.enter_context(pdf_maker())


def pdf_pages(html: str, folder: Path) -> list[str]:
    """Return the text of each page that a browser prints."""
    need_browser()
    path = folder / "sheet.pdf"
    path.write_bytes(browser_pdf()(html))
    text = subprocess.run(["pdftotext", str(path), "-"], capture_output=True,
                          check=True).stdout.decode("utf-8")
    return text.split("\f")[:-1]


def plain(text: str) -> str:
    """Return text with all white space made single, to look for sentences across lines."""
    return " ".join(text.split())


def demo_tables(folder: str = "demo") -> dict[str, list[dict[str, object]]]:
    """Return a copy of a demo farm's tables, to change."""
    inputs, _ = shipped_inputs(folder)
    return {key: [dict(row) for row in rows] for key, rows in inputs.tables.items()}


def plan_of(tables: dict[str, list[dict[str, object]]]) -> Plan:
    """Plan changed tables."""
    return make_plan(with_defaults(Inputs(copy.deepcopy(tables))))
