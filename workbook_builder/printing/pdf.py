"""PDF from HTML through a browser or an office program that is already there."""

from __future__ import annotations

import base64
import contextlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Lock, Thread
from typing import Any

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
    """Start what makes PDF, and give the function that turns an HTML document into one.

    Several threads may call it.

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
        raise NoPdfMaker("no program that makes PDF was found. Install Chromium or LibreOffice, or leave out "
                         "--pdf and print the HTML from a browser")
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
        command = [program, f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", "pdf",
                   "--outdir", str(folder), str(page)]
        try:
            done = subprocess.run(command, capture_output=True, timeout=SECONDS, check=False)
        except (OSError, subprocess.TimeoutExpired) as error:
            raise NoPdfMaker(f"{program} did not make the PDF: {error}") from error
        if not target.is_file():
            raise NoPdfMaker(f"{program} did not make the PDF: "
                             f"{done.stderr.decode('utf-8', 'replace').strip()[-200:]}")
        return target.read_bytes()


SECONDS = 120
#: No network, no first-run pages, no extensions, no spare windows: the page is all there is to show.
OPTIONS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--no-default-browser-check",
    "--disable-background-networking", "--disable-sync", "--disable-extensions", "--disable-component-update",
    "--disable-features=PreloadTopChromeWebUI", "--host-resolver-rules=MAP * ~NOTFOUND",
    "--remote-debugging-pipe",
)
#: As the page itself asks: its own size and margins, its tints, and tags for those who have it read aloud.
PRINTED = {"printBackground": True, "preferCSSPageSize": True, "generateTaggedPDF": True}
#: Where the browser looks for its two ends on other systems than Windows.
_ENDS = (3, 4)


class BrowserFailed(RuntimeError):
    """The browser did not start, stopped, or refused a command; the text says what it said."""


class Browser:
    """A running browser, to be used as a context; several threads may ask it for PDFs at a time.

    Parameters
    ----------
    program : str
        Path of a browser of the Chromium family.
    """

    def __init__(self, program: str) -> None:
        self._folder = TemporaryDirectory(prefix="print-", ignore_cleanup_errors=True)
        self._lock, self._sent, self._pages, self._ended = Lock(), 0, 0, False
        self._waiting: dict[object, Future[dict[str, Any]]] = {}
        read, self._to = os.pipe()
        self._from, write = os.pipe()
        try:
            with open(Path(self._folder.name, "said"), "wb") as said:
                self._process = _started([program, *OPTIONS, f"--user-data-dir={self._folder.name}/profile"],
                                         read, write, said)
        except OSError as error:
            raise BrowserFailed(f"{program} did not start: {error}") from error
        finally:
            os.close(read)
            os.close(write)
        self._listener = Thread(target=self._listen, daemon=True)
        self._listener.start()

    def __enter__(self) -> Browser:
        return self

    def __exit__(self, *_: object) -> None:
        self._process.terminate()
        try:
            self._process.wait(5)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        os.close(self._to)
        self._listener.join(5)
        self._folder.cleanup()

    def pdf(self, html: str) -> bytes:
        """Return an HTML document as PDF.

        Raises
        ------
        BrowserFailed
            When the browser stops, refuses, or takes too long.
        """
        with self._lock:
            self._pages += 1
            page = Path(self._folder.name, f"page{self._pages}.html")
        page.write_bytes(html.encode("utf-8"))
        target = self._ask("Target.createTarget", url="about:blank")["targetId"]
        session = self._ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        self._ask("Page.enable", session)
        loaded = self._waiting[session, "Page.loadEventFired"] = Future()
        self._ask("Page.navigate", session, url=page.as_uri())
        _waited_for(loaded)
        made = base64.b64decode(self._ask("Page.printToPDF", session, **PRINTED)["data"])
        self._ask("Target.closeTarget", targetId=target)
        return made

    def _ask(self, method: str, session: str = "", **wanted: object) -> dict[str, Any]:
        """Send a command and return its answer."""
        answer: Future[dict[str, Any]] = Future()
        with self._lock:
            self._sent += 1
            number = self._sent
            self._waiting[number] = answer
            message = {"id": number, "method": method, "params": wanted,
                       **({"sessionId": session} if session else {})}
            # Where the browser has gone, the listener says so.
            with contextlib.suppress(OSError):
                data = json.dumps(message).encode() + b"\0"
                while data:
                    data = data[os.write(self._to, data) :]
        if self._ended:
            self._lost()
        told = _waited_for(answer)
        if "error" in told:
            raise BrowserFailed(f"the browser refused {method}: {told['error'].get('message', '')}")
        result: dict[str, Any] = told["result"]
        return result

    def _listen(self) -> None:
        """Hand every answer and event to who waits for it, until the browser closes its end."""
        with open(self._from, "rb", buffering=0) as pipe:
            held = bytearray()
            while block := pipe.read(1 << 20):
                *whole, rest = block.split(b"\0")
                for each in whole:
                    told = json.loads(held + each)
                    held.clear()
                    waits = self._waiting.pop(told.get("id") or (told.get("sessionId"), told.get("method")),
                                              None)
                    if waits:
                        waits.set_result(told)
                held += rest
        self._ended = True
        self._lost()

    def _lost(self) -> None:
        keys = list(self._waiting)
        said = (Path(self._folder.name, "said").read_bytes().decode("utf-8", "replace").strip()[-200:]
                if keys else "")
        for key in keys:
            waits = self._waiting.pop(key, None)
            if waits:
                waits.set_exception(BrowserFailed(f"the browser stopped: {said}"))


def _waited_for(answer: Future[dict[str, Any]]) -> dict[str, Any]:
    try:
        return answer.result(SECONDS)
    except TimeoutError as error:
        raise BrowserFailed(f"the browser gave no answer for {SECONDS} s") from error


def _started(command: list[str], read: int, write: int, said: Any) -> subprocess.Popen[bytes]:
    """Start a browser that reads commands from one end of a pipe and writes answers to one of another."""
    if sys.platform == "win32":
        import msvcrt

        handles = [msvcrt.get_osfhandle(end) for end in (read, write)]
        for handle in handles:
            os.set_handle_inheritable(handle, True)
        info = subprocess.STARTUPINFO(lpAttributeList={"handle_list": handles})
        return subprocess.Popen([*command, f"--remote-debugging-io-pipes={handles[0]},{handles[1]}"],
                                stdout=said, stderr=said, startupinfo=info)
    import fcntl

    # Out of the way of the two numbers they are to get.
    high = [fcntl.fcntl(end, fcntl.F_DUPFD_CLOEXEC, max(_ENDS) + 1) for end in (read, write)]

    def put_in_place() -> None:
        for end, place in zip(high, _ENDS, strict=True):
            os.dup2(end, place)

    try:
        return subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=said, stderr=said,
                                preexec_fn=put_in_place, pass_fds=_ENDS)
    finally:
        for end in high:
            os.close(end)
