"""PDF from HTML through a browser or an office program that is already there."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from workbook_builder.printing.office_pdf import book_of

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge")
OFFICES = ("soffice", "libreoffice")
SECONDS = 120
#: No network, no first-run pages, no scripts from elsewhere: the page is all there is to show.
BROWSER_OPTIONS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--no-default-browser-check",
    "--disable-background-networking", "--disable-sync", "--disable-extensions", "--disable-component-update",
    "--host-resolver-rules=MAP * ~NOTFOUND", "--no-pdf-header-footer", "--export-tagged-pdf",
)


class NoPdfMaker(RuntimeError):
    """No program that makes PDF was found, or it failed; the text says which."""


def pdf_program() -> str:
    """Return the path of the first browser or office program found, or blank."""
    return next((found for name in (*BROWSERS, *OFFICES) if (found := shutil.which(name))), "")


def make_pdf(html: str, program: str = "") -> bytes:
    """Return an HTML document as PDF.

    Parameters
    ----------
    html : str
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
    with tempfile.TemporaryDirectory(prefix="print-") as folder:
        return _run(program, Path(folder), html)


def make_pdfs(pages: Iterable[str]) -> list[bytes]:
    """Return HTML documents as PDF, as many at a time as there are processors.

    Raises
    ------
    NoPdfMaker
        When no program is there, or it made nothing.
    """
    with ThreadPoolExecutor(max(1, min(4, os.cpu_count() or 1))) as pool:
        return list(pool.map(make_pdf, pages))


def _run(program: str, folder: Path, html: str) -> bytes:
    office = Path(program).name in OFFICES
    page, target = folder / ("page.xlsx" if office else "page.html"), folder / "page.pdf"
    page.write_bytes(book_of(html) if office else html.encode("utf-8"))
    try:
        done = subprocess.run(_command(program, folder, page, target), capture_output=True, timeout=SECONDS, check=False)
    except (OSError, subprocess.TimeoutExpired) as error:
        raise NoPdfMaker(f"{program} did not make the PDF: {error}") from error
    if not target.is_file():
        raise NoPdfMaker(f"{program} did not make the PDF: {done.stderr.decode('utf-8', 'replace').strip()[-200:]}")
    return target.read_bytes()


def _command(program: str, folder: Path, page: Path, target: Path) -> list[str]:
    profile = folder / "profile"
    profile.mkdir()
    if Path(program).name in OFFICES:
        return [program, f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", "pdf", "--outdir", str(folder), str(page)]
    return [program, *BROWSER_OPTIONS, f"--user-data-dir={profile}", f"--print-to-pdf={target}", page.as_uri()]
