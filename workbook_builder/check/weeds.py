"""The groups that weeds are said to be resistant to."""

from __future__ import annotations

import re
from collections.abc import Iterator

from workbook_builder.check.places import where
from workbook_builder.check.problems import WARNING, Problem, nearest
from workbook_builder.check.products import GROUPS_IN_USE
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs
from workbook_builder.features.effective_modes.definitions import MOST_RESISTANT
from workbook_builder.features.reference.data import active_list, letter_groups

#: Longest list of numbers that the sheet takes apart, spaces left out.
LONGEST = 20
_LIST = re.compile(r"[0-9;, ]*")
_SYNTAX = f"Type up to {MOST_RESISTANT} group numbers, such as 2;9"


def check_weeds(inputs: Inputs, tables: dict[str, Table]) -> list[Problem]:
    """Return what is doubtful about the groups that weeds are resistant to."""
    return [*_resistant_groups(inputs, tables)]


def _resistant_groups(inputs: Inputs, tables: dict[str, Table]) -> Iterator[Problem]:
    for at, row in inputs.filled("weeds") if "weeds" in tables else ():
        text = row.get("resistant_groups")
        if text is None:
            continue
        place = where(inputs, tables["weeds"], at, "resistant_groups")
        groups = numbers_in(str(text))
        if groups is None:
            message = f"{text!r} is not a list of herbicide groups, so no resistance is counted"
            yield Problem("unreadable-groups", message, **place, severity=WARNING, fix=hint(str(text)))
            continue
        for group in groups:
            if group not in GROUPS_IN_USE:
                fix = "Type the HRAC number as it is today: 0 to 34, some numbers are not in use"
                yield Problem("unknown-group", f"{group} is not a herbicide group of today", **place, severity=WARNING, fix=fix)


def numbers_in(text: str) -> list[int] | None:
    """Return the numbers of a list such as ``2;9``, each once; None when it is no such list."""
    parts = text.replace(" ", "").replace(",", ";")
    listed = parts.split(";") if parts else []
    if not _LIST.fullmatch(text) or len(listed) > MOST_RESISTANT or len(parts) > LONGEST:
        return None
    return list(dict.fromkeys(int(part) for part in listed if part))


def hint(text: str) -> str:
    """Return what was probably meant: the numbers in the text, or the groups of the letters or ingredients it names."""
    found = [int(digits) for digits in re.findall(r"[0-9]+", text)]
    named = ""
    letters = [part.strip().upper() for part in re.split(r"[;,/+&]", text)]
    by_letter = letter_groups()
    if not found and all(letter in by_letter for letter in letters):
        found, named = [by_letter[letter] for letter in letters], "older HRAC letters"
    if not found:
        known = {str(row["active_ingredient"]): row["mode_group"] for row in active_list()}
        names = [nearest(part.strip(), known) for part in re.split(r"[;,/+&]| and ", text)]
        found = [int(known[name]) for name in names if name and known[name] is not None]
        named = ", ".join(name for name in names if name)
    groups = [str(group) for group in dict.fromkeys(found) if group in GROUPS_IN_USE]
    if not 0 < len(groups) <= MOST_RESISTANT:
        return _SYNTAX
    return f"Did you mean {';'.join(groups)!r}{f' ({named})' if named else ''}?"
