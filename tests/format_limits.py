"""Limits of the workbook format for titles, names and texts, as Excel states them for ``.xlsx``:
past them it offers to repair the file.

Each check returns sentences saying what is wrong, none when all is well.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

LONGEST_CELL_TEXT = 32767
MOST_LINE_BREAKS = 253
LONGEST_SHEET_TITLE = 31
LONGEST_NAME = 255
LONGEST_PROMPT = 255
LONGEST_PROMPT_TITLE = 32
LONGEST_CHOICE_LIST = 255
_CELL_LIKE = re.compile(r"[A-Za-z]{1,3}[0-9]{1,7}|[Rr][0-9]*[Cc][0-9]*|[RrCc]")
_FORBIDDEN_IN_TITLE = re.compile(r"[\\/*?:\[\]]")
_NAME = re.compile(r"[A-Za-z_\\][A-Za-z0-9_.\\]*")


def check_sheet_title(title: str) -> list[str]:
    """Return what is wrong with the title of a sheet."""
    found = []
    if not title.strip():
        found.append("a sheet title may not be blank")
    if len(title) > LONGEST_SHEET_TITLE:
        found.append(f"the sheet title {title!r} has {len(title)} characters; the limit is "
                     f"{LONGEST_SHEET_TITLE}")
    if _FORBIDDEN_IN_TITLE.search(title):
        found.append(f"the sheet title {title!r} has one of the characters \\ / * ? : [ ]")
    if title.startswith("'") or title.endswith("'"):
        found.append(f"the sheet title {title!r} begins or ends with an apostrophe")
    if title.lower() == "history":
        found.append(f"the sheet title {title!r} is reserved by spreadsheet programs")
    return found


def check_sheet_titles(titles: Iterable[str]) -> list[str]:
    """Return what is wrong with the titles of a workbook, each one and together."""
    found, seen = [], set[str]()
    for title in titles:
        found += check_sheet_title(title)
        if title.lower() in seen:
            found.append(f"the sheet title {title!r} is there twice (capitals do not count)")
        seen.add(title.lower())
    return found


def check_defined_name(name: str) -> list[str]:
    """Return what is wrong with a defined name or the name of a table."""
    found = []
    if len(name) > LONGEST_NAME:
        found.append(f"the name {name[:40]!r} has {len(name)} characters; the limit is {LONGEST_NAME}")
    if not _NAME.fullmatch(name):
        found.append(f"the name {name[:40]!r} must be letters, digits, _ and . and may not begin with a "
                     f"digit")
    if _CELL_LIKE.fullmatch(name):
        found.append(f"the name {name!r} reads like a cell")
    if name.upper() in ("TRUE", "FALSE"):
        found.append(f"the name {name!r} reads like a truth value")
    return found


def check_validation_text(title: str, text: str) -> list[str]:
    """Return what is wrong with the title and text of an input message or an error message."""
    return (_too_long("the message title", title, LONGEST_PROMPT_TITLE)
            + _too_long("the message", text, LONGEST_PROMPT))


def check_choice_list(text: str) -> list[str]:
    """Return what is wrong with a drop-down typed as text (``"a,b"``) and not as a range."""
    return _too_long("the list of choices", text.strip('"'), LONGEST_CHOICE_LIST)


def check_cell_text(text: str) -> list[str]:
    """Return what is wrong with the text of a cell."""
    found = _too_long("the text", text, LONGEST_CELL_TEXT)
    if (breaks := text.count("\n")) > MOST_LINE_BREAKS:
        found.append(f"the text has {breaks} line breaks; the limit is {MOST_LINE_BREAKS}")
    return found


def _too_long(what: str, text: str, limit: int) -> list[str]:
    """Return a sentence when a text is longer than its limit, counted as the format does."""
    length = len(text.encode("utf-16-le")) // 2
    return [f"{what} {text[:30]!r} has {length} characters; the limit is {limit}"] if length > limit else []
