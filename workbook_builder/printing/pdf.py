"""PDF from HTML through a browser or an office program that is already there."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from workbook_builder.printing.browser import SECONDS, Browser, BrowserFailed
from workbook_builder.printing.office_pdf import book_of

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
OFFICES = ("soffice", "libreoffice")
#: Pages made at a time: each takes a process of its own.
AT_ONCE = max(1, min(4, os.cpu_count() or 1))


class NoPdfMaker(RuntimeError):
    """No program that makes PDF was found, or it failed; the text says which."""


def pdf_program() -> str:
    """Return the path of the first browser or office program found, or blank."""
    return next((found for name in (*BROWSERS, *OFFICES) if (found := shutil.which(name))), "")


@contextmanager
def pdf_maker(program: str = "") -> Iterator[Callable[[str], bytes]]:
    """Start what makes PDF, and give the function that turns an HTML document into one; several threads may call it.

    Parameters
    ----------
    program : str
        Path of a browser or office program; the first one found when left out.

    Raises
    ------
    NoPdfMaker
        When no program is there, or it made nothing.
    """
    program = program or pdf_program()
    if not program:
        raise NoPdfMaker("no program that makes PDF was found. Install Chromium or LibreOffice, or leave out --pdf and print the HTML from a browser")
    if Path(program).name in OFFICES:
        yield lambda html: _by_office(program, html)
        return
    try:
        with Browser(program) as browser:
            yield browser.pdf
    except BrowserFailed as failed:
        raise NoPdfMaker(f"{program} did not make the PDF: {failed}") from failed


def make_pdf(html: str, program: str = "") -> bytes:
    """Return one HTML document as PDF, as :func:`pdf_maker` makes it."""
    with pdf_maker(program) as made:
        return made(html)


def _by_office(program: str, html: str) -> bytes:
    with tempfile.TemporaryDirectory(prefix="print-") as name:
        folder = Path(name)
        page, target, profile = folder / "page.xlsx", folder / "page.pdf", folder / "profile"
        page.write_bytes(book_of(html))
        profile.mkdir()
        command = [program, f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", "pdf", "--outdir", str(folder), str(page)]
        try:
            done = subprocess.run(command, capture_output=True, timeout=SECONDS, check=False)
        except (OSError, subprocess.TimeoutExpired) as error:
            raise NoPdfMaker(f"{program} did not make the PDF: {error}") from error
        if not target.is_file():
            raise NoPdfMaker(f"{program} did not make the PDF: {done.stderr.decode('utf-8', 'replace').strip()[-200:]}")
        return target.read_bytes()
