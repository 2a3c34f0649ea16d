"""The page that shows what the benchmarks measured."""

from __future__ import annotations

import math
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

Figures = dict[str, float]

PAGE = Path("docs/benchmarks.md")
CLIENTS_HEADING = "## Many clients"
#: What was asked for: ratios of processor time and of memory to bare openpyxl, of help to importing typer, of
#: opening to a file of plain values.
WANTED = {"build": 2.0, "memory": 2.0, "help": 1.5, "open": 3.0}

Column = tuple[str, Callable[[Figures], str]]

BUILDING: tuple[Column, ...] = (
    ("fields", lambda row: f"{row['fields']:.0f}"), ("pass rows", lambda row: f"{row['rows']:,.0f}"),
    ("cells", lambda row: f"{row['cells']:,.0f}"),
    ("file MB", lambda row: f"{row['size']:.1f}"), ("build s", lambda row: f"{row['seconds']:.1f}"),
    ("openpyxl s", lambda row: f"{row['openpyxl_seconds']:.1f}"),
    ("ratio", lambda row: verdict(row["seconds"] / row["openpyxl_seconds"], WANTED["build"])),
)
MEMORY: tuple[Column, ...] = (
    ("fields", lambda row: f"{row['fields']:.0f}"), ("build MB", lambda row: f"{row['memory']:.0f}"),
    ("openpyxl MB", lambda row: f"{row['openpyxl_memory']:.0f}"),
    ("ratio", lambda row: verdict(row["memory"] / row["openpyxl_memory"], WANTED["memory"])),
)
READING: tuple[Column, ...] = (
    ("fields", lambda row: f"{row['fields']:.0f}"), ("read s", lambda row: f"{row['read']:.1f}"),
    ("openpyxl opens it in s", lambda row: f"{row['load']:.1f}"),
    ("ratio", lambda row: f"{row['read'] / row['load']:.2f}"), ("check s", lambda row: f"{row['check']:.2f}"),
    ("check ms a pass row", lambda row: f"{1000 * row['check'] / row['rows']:.1f}"),
)
RECALCULATING: tuple[Column, ...] = (
    ("fields", lambda row: f"{row['fields']:.0f}"), ("cells", lambda row: f"{row['cells']:,.0f}"),
    *((f"{name} s", lambda row, key=key: f"{row[key]:.1f}")
      for name, key in (("IronCalc", "ironcalc"), ("LibreOffice", "libreoffice"), ("Gnumeric", "gnumeric"))),
)


def verdict(ratio: float, wanted: float) -> str:
    """Say whether a ratio is within what was asked for."""
    return f"{ratio:.2f} ({'within' if ratio <= wanted else 'over'} {wanted:g})"


def exponent(rows: Sequence[Figures], key: str = "seconds", size: str = "rows") -> float:
    """Return b of seconds = a x size^b, by least squares on logarithms."""
    points = [(math.log(row[size]), math.log(row[key])) for row in rows]
    middle_x, middle_y = (sum(point[n] for point in points) / len(points) for n in (0, 1))
    return (sum((x - middle_x) * (y - middle_y) for x, y in points)
            / sum((x - middle_x) ** 2 for x, _ in points))


def table(columns: Sequence[Column], rows: Sequence[Figures]) -> list[str]:
    """Return the lines of a table."""
    head = ["| " + " | ".join(name for name, _ in columns) + " |", "|" + "---|" * len(columns)]
    return head + ["| " + " | ".join(show(row) for _, show in columns) + " |" for row in rows]


def page(rows: Sequence[Figures], largest: Figures | None, helped: tuple[float, float],
         opened: tuple[float, float, float] | None, load: float) -> str:
    """Return the page up to the part on many clients."""
    from workbook_builder import __version__

    recalculated = [row for row in rows if "ironcalc" in row]
    lines = [
        "# Benchmarks", "",
        f"Written by `python -m tests.bench` with version {__version__} on {os.cpu_count()} processors, "
        f"Python {sys.version.split()[0]}; load at the start {load:.1f}.",
        "Seconds are processor time, memory is the peak of a process of its own; ratios are taken within "
        "one run.", "",
        "## Building", "",
        "Five passes a field, mixes of four products.",
        "`build` plans, lays out, styles and stores every value; bare openpyxl writes the same texts and "
        "formulas with no styles, drop-downs or stored values, and has nothing to work out.",
        "The time of reading the source and of writing the file to disk is in neither.", "",
        *table(BUILDING, rows), "",
        f"Time grows as pass rows to the power {exponent(rows):.2f} and as cells to the power "
        f"{exponent(rows, size='cells'):.2f}.",
        *_largest(rows, largest), "", "## Memory", "", *table(MEMORY, rows), "",
        "## Reading and checking", "",
        "`read` takes the inputs out of the workbook just built; openpyxl opens the same file whole.", "",
        *table(READING, rows), "",
        "## Recalculating", "",
        "Each engine starts, loads the workbook, recalculates it and gives every cell.", "",
        *table(RECALCULATING, recalculated), "",
        "## Starting", "",
        f"`workbook-builder --help` takes {helped[0]:.3f} s and `python -c 'import typer'` {helped[1]:.3f} "
        f"s: ratio {verdict(helped[0] / helped[1], WANTED['help'])}.", "",
    ]
    if opened:
        lines += ["## Opening", "",
                  f"LibreOffice as it is installed opens the 200-field workbook and exports a sheet in "
                  f"{opened[0]:.1f} s of processor time, and a file of the same "
                  f"cells as plain values in {opened[2]:.1f} s: ratio "
                  f"{verdict(opened[0] / opened[2], WANTED['open'])}.",
                  f"Told to calculate every formula anew it takes {opened[1]:.1f} s.", ""]
    return "\n".join(lines)


def _largest(rows: Sequence[Figures], largest: Figures | None) -> list[str]:
    if largest is None:
        return []
    per_row = [1000 * row["seconds"] / row["rows"] for row in (rows[-1], largest)]
    return [f"A farm of {largest['rows']:,.0f} pass rows builds in {largest['seconds']:.0f} s and "
            f"{largest['memory'] / 1000:.1f} GB, "
            f"{per_row[1]:.0f} ms a pass row; at {rows[-1]['rows']:,.0f} pass rows it was "
            f"{per_row[0]:.0f} ms."]


def with_new_figures(before: str, text: str) -> str:
    """Return the page with its part on many clients kept."""
    _, heading, clients = before.partition(CLIENTS_HEADING)
    return text + "\n" + heading + clients
