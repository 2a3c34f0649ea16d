"""Published check values: the rows of ``tests/published``, with their source and how sure it is."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parents[1] / "published"
Value = float | str | tuple[float | str, ...]


@dataclass(frozen=True)
class Row:
    """One published check.

    Attributes
    ----------
    given, expected : dict
        Numbers as numbers, lists as tuples, the rest as text.
    tolerance : tuple
        ``("abs", x)`` or ``("rel", x)``; exact figures are decimals people wrote, so 1e-9.
    """

    id: str
    topic: str
    given: Mapping[str, Value]
    expected: Mapping[str, Value]
    tolerance: tuple[str, float]
    source: str
    grade: str
    file: str

    def holds(self, key: str, found: object) -> bool:
        """Return whether a computed value is the published one, within the stated tolerance."""
        wanted = self.expected[key]
        if isinstance(wanted, str) or isinstance(found, str):
            return wanted == found
        if isinstance(wanted, tuple):
            return tuple(found) == wanted  # type: ignore[arg-type]
        kind, size = self.tolerance
        limit = size if kind == "abs" else size * abs(wanted)
        return math.isfinite(float(found)) and abs(float(found) - wanted) <= limit * (1 + 1e-6) + 1e-12


@cache
def all_rows() -> tuple[Row, ...]:
    """Return every published row, in the order of the files."""
    return tuple(row for path in sorted(FOLDER.glob("*.csv")) for row in _rows(path))


def _rows(path: Path) -> list[Row]:
    lines = csv.DictReader(path.read_text("utf-8").splitlines())
    return [
        Row(
            line["id"], line["topic"], _pairs(line["inputs"]), _pairs(line["expected"]),
            _tolerance(line["tolerance"]),
            line["source"], line["grade"], path.stem,
        )
        for line in lines
    ]


def _pairs(text: str) -> dict[str, Value]:
    # Some names hold commas but none holds a semicolon.
    return {key: tuple(_single(key, each) for each in value.split("|")) if "|" in value
            else _single(key, value)
            for key, _, value in (part.partition("=") for part in text.split(";") if part)}


def _single(key: str, text: str) -> float | str:
    is_name = (key in ("size", "label_code", "version")
               or not re.fullmatch(r"-?[0-9]+(\.[0-9]+)?(e-?[0-9]+)?", text))
    return text if is_name else float(text)


def _tolerance(text: str) -> tuple[str, float]:
    kind, _, size = text.partition("=")
    return (kind, float(size)) if size else ("rel", 1e-9)
