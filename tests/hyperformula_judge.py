"""A fourth judge for the long run: HyperFormula, a calculation library for JavaScript (npm), as an engine like the others.

The package neither holds nor needs it: ``python -m tests.hyperformula_judge`` fetches it into a folder of its own,
or takes the one that ``--folder`` names, and recalculates every formula cell of the shipped farms.
"""

from __future__ import annotations

import argparse
import json
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import unescape
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))

from conftest import built_from
from live_book import where

from workbook_builder.core.place import column_letter
from workbook_builder.engines import CellError, Cells, Edit, EngineFailed
from workbook_builder.engines.edits import edited_parts
from workbook_builder.engines.ironcalc_engine import _row_and_column
from workbook_builder.finish.parts import WORKBOOK_PART, Parts, read_parts, sheet_parts
from workbook_builder.finish.sheet_cells import cell_formulas, cell_values, shared_strings
from workbook_builder.verify import compare_after, plan_cells

#: Functions that the library knows by their newer names only, and the last argument that these ask for.
NEWER = {"BETADIST": ("BETA.DIST", ",TRUE()"), "NORMSDIST": ("NORM.S.DIST", ",TRUE()")}
CALLED = re.compile(rf'"(?:[^"]|"")*"|_xlfn\.|\b(?:{"|".join(NEWER)})\(')
#: A cell of a column by a number that stands in a cell of its own.
PICKED = re.compile(r"INDEX\(((?:'[^']+'!)?\$[A-Z]+\$)(\d+):\$[A-Z]+\$\d+,\$([A-Z]+\d+)\)")
NAMED = re.compile(r'<definedName name="([^"]+)"(?![^>]*localSheetId)[^>]*>([^<]+)</definedName>')
PROGRAM = """
const { HyperFormula, DetailedCellError } = require("hyperformula");
const { readFileSync, writeFileSync } = require("fs");
const [from, to] = process.argv.slice(1);
const { sheets, names } = JSON.parse(readFileSync(from));
const options = { licenseKey: "gpl-v3", precisionRounding: 15, smartRounding: false, maxRows: 100000, maxColumns: 2000, useArrayArithmetic: true };
const book = HyperFormula.buildFromSheets(Object.fromEntries(Object.keys(sheets).map((title) => [title, []])), options);
for (const [name, formula] of Object.entries(names)) book.addNamedExpression(name, formula);
book.suspendEvaluation();
for (const [title, rows] of Object.entries(sheets)) book.setSheetContent(book.getSheetId(title), rows);
book.resumeEvaluation();
const told = (value) => (value instanceof DetailedCellError ? { error: value.value } : value);
const found = Object.keys(sheets).map((title) => [title, book.getSheetValues(book.getSheetId(title)).map((row) => row.map(told))]);
writeFileSync(to, JSON.stringify(Object.fromEntries(found)));
"""


def respelled(formula: str) -> str:
    """Return a formula with the functions that the library knows by newer names only, and without the prefix of the file format."""
    found, at = "", 0
    for call in CALLED.finditer(formula):
        if call.start() < at or call[0].startswith('"'):
            continue
        found, at = found + formula[at : call.start()], call.end()
        if call[0] != "_xlfn.":
            end, (newer, last) = _closing(formula, at), NEWER[call[0][:-1]]
            found, at = f"{found}{newer}({respelled(formula[at:end])}{last}", end
    return found + formula[at:]


def _closing(formula: str, at: int) -> int:
    """Return where the bracket closes that opened before a place."""
    depth = 1
    for mark in re.finditer(r'"(?:[^"]|"")*"|[()]', formula[at:]):
        depth += {"(": 1, ")": -1}.get(mark[0], 0)
        if depth == 0:
            return at + mark.start()
    raise ValueError(f"the brackets of {formula!r} do not match")


def picked(formula: str, values: Mapping[str, Any]) -> str:
    """Return a formula that names a cell where it picks it from a column by a number that is no formula.

    The library follows references column by column, so it would see a circle where the next line of a list reads the one before.
    """
    def cell(found: re.Match[str]) -> str:
        at = values.get(found[3])
        return f"{found[1]}{int(found[2]) + int(at) - 1}" if type(at) is float else found[0]

    return PICKED.sub(cell, formula)


def rows_of(cells: dict[str, Any]) -> list[list[Any]]:
    """Return cells by reference as rows."""
    placed = {_row_and_column(place): value for place, value in cells.items()}
    rows = [[None] * max((column for _, column in placed), default=0) for _ in range(max((row for row, _ in placed), default=0))]
    for (row, column), value in placed.items():
        rows[row - 1][column - 1] = value
    return rows


def contents(parts: Parts) -> dict[str, Any]:
    """Return every sheet of a workbook as rows of values and formulas, and what each defined name stands for."""
    strings, sheets = shared_strings(parts), {}
    for title, part in sheet_parts(parts).items():
        text = parts[part].decode("utf-8")
        formulas, values = cell_formulas(text), cell_values(text, strings)
        typed = {place: value for place, value in values.items() if place not in formulas}
        cells = {place: f"'{value}" if isinstance(value, str) else value for place, value in typed.items()}
        sheets[title] = rows_of(cells | {place: f"={respelled(picked(formula, typed))}" for place, formula in formulas.items()})
    names = {name: f"={unescape(place)}" for name, place in NAMED.findall(parts[WORKBOOK_PART].decode("utf-8"))}
    return {"sheets": sheets, "names": names}


@dataclass(frozen=True)
class HyperFormulaEngine:
    """Calculate with HyperFormula under Node.

    Parameters
    ----------
    folder : Path
        Where npm put the library.
    """

    folder: Path
    name: str = "HyperFormula"

    def available(self) -> str | None:
        """Return None when the library is there, or else how to get it."""
        there = shutil.which("node") and (self.folder / "node_modules" / "hyperformula").is_dir()
        return None if there else "Node or its package hyperformula is not there: npm install hyperformula"

    def recalculate(self, path: Path, edits: Sequence[Edit] = ()) -> Cells:
        """Return every non-blank cell after `edits` and a full calculation."""
        with tempfile.TemporaryDirectory(prefix="workbook_") as room:
            asked, answer = Path(room, "asked.json"), Path(room, "answer.json")
            asked.write_text(json.dumps(contents(edited_parts(read_parts(path), edits))), "utf-8")
            done = subprocess.run(["node", "-e", PROGRAM, asked, answer], cwd=self.folder, capture_output=True, text=True, check=False)
            if done.returncode:
                raise EngineFailed(self.name, path, done.stderr)
            sheets = json.loads(answer.read_text("utf-8"))
        return {title: dict(_told(rows)) for title, rows in sheets.items()}


def _told(rows: list[list[Any]]) -> Iterable[tuple[str, Any]]:
    """Yield reference and value of every cell that is not blank."""
    for number, row in enumerate(rows, 1):
        for column, value in enumerate(row, 1):
            if value is not None:
                yield f"{column_letter(column)}{number}", CellError(value["error"]) if isinstance(value, dict) else value


def fetched(folder: Path) -> HyperFormulaEngine:
    """Return the engine after npm has fetched the library into a folder."""
    npm = shutil.which("npm")
    if npm:
        subprocess.run([npm, "install", "--silent", "--no-audit", "--no-fund", "hyperformula"], cwd=folder, check=False, timeout=300)
    return HyperFormulaEngine(folder)


def judge(engine: HyperFormulaEngine) -> int:
    """Recalculate the shipped farms, say how many cells differ and which first, and return how many."""
    cells = wrong = 0
    for name in ("demo", "demo_metric"):
        built = built_from(name)
        found = compare_after(built, engine, built.plan.inputs, [])
        cells += sum(map(len, plan_cells(built.plan, built.placement).values()))
        wrong += len(found)
        for each in found[:10]:
            print(f"{name}: {where(built, each)}")
    print(f"{cells:,} formula cells, {wrong} differences")
    return wrong


def main() -> int:
    """Judge the shipped farms."""
    parser = argparse.ArgumentParser(description="Recalculate the shipped farms with HyperFormula.")
    parser.add_argument("--folder", type=Path, help="where `npm install hyperformula` was run; fetched anew when left out")
    with tempfile.TemporaryDirectory() as room:
        folder = parser.parse_args().folder
        engine = HyperFormulaEngine(folder) if folder else fetched(Path(room))
        missing = engine.available()
        if missing:
            print(missing)
            return 1
        return int(judge(engine) > 0)


if __name__ == "__main__":
    sys.exit(main())
