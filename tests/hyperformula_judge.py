"""A fourth judge for the long run: HyperFormula, a calculation library for JavaScript (npm),
as an engine like the others.

The package neither holds nor needs it: ``python -m tests.hyperformula_judge`` fetches it into a folder of its
own,
or takes the one that ``--folder`` names, and recalculates every formula cell of the shipped farms,
and of one with every tab and column.
What it reads otherwise than the file format says, and than every other engine,
stands in `FAULTS` and is asked in another way;
no cell is left out, and no difference taken off.
"""

from __future__ import annotations

import argparse
import io
import json
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from html import unescape
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))

from conftest import built_from, shipped_inputs
from engine_help import small_book
from farms_strategy import EVERY_TAB, build_small
from live_book import where
from openpyxl.workbook.defined_name import DefinedName

from workbook_builder.core.place import column_letter
from workbook_builder.engines import CellError, Cells, Edit, EngineFailed
from workbook_builder.engines.edits import edited_parts
from workbook_builder.engines.ironcalc_engine import row_and_column
from workbook_builder.finish.parts import WORKBOOK_PART, Parts, read_parts, sheet_parts
from workbook_builder.finish.sheet_cells import cell_formulas, cell_values, shared_strings
from workbook_builder.verify import compare_after, plan_cells

#: Functions that the library knows by their newer names only, and the last argument that these ask for.
NEWER = {"BETADIST": ("BETA.DIST", ",TRUE()"), "NORMSDIST": ("NORM.S.DIST", ",TRUE()")}
CALLED = re.compile(rf'"(?:[^"]|"")*"|_xlfn\.|\b(?:{"|".join(NEWER)})\(')
NAMED = re.compile(r'<definedName name="([^"]+)"(?![^>]*localSheetId)[^>]*>([^<]+)</definedName>')
#: Texts and sheets in quotes, or a word that may be a name.
WORDS = re.compile(r""""(?:[^"]|"")*"|'(?:[^']|'')*'|(?<![A-Za-z0-9_.$])[A-Za-z_][A-Za-z0-9_.]*"""
                   "(?![A-Za-z0-9_.(!])")
#: What stands for a bar while the library works: a sign that no pattern and no formula of ours gives a
#: meaning.
STAND_IN = "\u00a6"
PROGRAM = """
const { HyperFormula, DetailedCellError } = require("hyperformula");
const { readFileSync, writeFileSync } = require("fs");
const [from, to] = process.argv.slice(1);
const { sheets, names, settings } = JSON.parse(readFileSync(from));
const options = { licenseKey: "gpl-v3", precisionRounding: 15, smartRounding: false,
  maxRows: 100000, maxColumns: 2000, useArrayArithmetic: true, ...settings };
const book = HyperFormula.buildFromSheets(sheets, options,
  Object.entries(names).map(([name, expression]) => ({ name, expression })));
const told = (value) => (value instanceof DetailedCellError ? { error: value.value } : value);
const found = Object.keys(sheets).map((title) =>
  [title, book.getSheetValues(book.getSheetId(title)).map((row) => row.map(told))]);
writeFileSync(to, JSON.stringify(Object.fromEntries(found)));
"""


@dataclass(frozen=True)
class Fault:
    """What the library reads otherwise than the file format says."""

    why: str
    # The least sheet S that shows it, where the name ``spare`` stands for A1; F1 holds the formula
    cells: Mapping[str, Any]
    value: Any  # What F1 comes to


#: Each is asked in another way: a formula spelled anew, a sign in place of another, a setting.
FAULTS = {
    "older names": Fault(
        "It knows BETADIST and NORMSDIST, functions of the format from its first edition, by their newer "
        "names alone.",
        {"F1": "=ROUND(BETADIST(0.5,2,3)+NORMSDIST(0),6)"}, 1.1875,
    ),
    "bars": Fault(
        "It makes a regular expression of what is looked for and forgets to guard the bar there; the format "
        "gives a meaning to * ? ~ alone, and so does its own guide.",
        {"A1": "1|2", "F1": '=COUNTIF(A1:A1,"1|2")'}, 1,
    ),
    "blank results": Fault(
        "A formula that leads to a blank cell stays blank, unless its setting evaluateNullToZero asks for "
        "the 0 that a formula shows there.",
        {"B1": 5, "F1": "=INDEX(A1:B1,1)"}, 0,
    ),
    "named blanks": Fault(
        "With that setting the name of a blank cell is 0 and no blank any more; a name is but another way to "
        "write the cell.",
        {"B1": 5, "F1": '=IF(spare="",B1,spare)'}, 5,
    ),
}


def respelled(formula: str) -> str:
    """Return a formula with the functions that the library knows by newer names only,
    and without the prefix of the file format.
    """
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


def placed(formula: str, names: Mapping[str, str]) -> str:
    """Return a formula with the place of a cell where it has a name for it."""
    return WORDS.sub(lambda word: names.get(word[0], word[0]), formula)


def rows_of(cells: dict[str, Any]) -> list[list[Any]]:
    """Return cells by reference as rows."""
    placed = {row_and_column(place): value for place, value in cells.items()}
    rows = [[None] * max((column for _, column in placed), default=0)
            for _ in range(max((row for row, _ in placed), default=0))]
    for (row, column), value in placed.items():
        rows[row - 1][column - 1] = value
    return rows


def contents(parts: Parts, plain: Collection[str] = ()) -> dict[str, Any]:
    """Return every sheet of a workbook as rows of values and formulas, what each defined name stands for,
    and settings; `plain` names the faults that stay.
    """
    strings, sheets = shared_strings(parts), {}
    names = {name: unescape(place) for name, place in NAMED.findall(parts[WORKBOOK_PART].decode("utf-8"))}

    def asked(formula: str) -> str:
        spelled = formula.replace("_xlfn.", "") if "older names" in plain else respelled(formula)
        return f"={spelled if 'named blanks' in plain else placed(spelled, names)}"

    for title, part in sheet_parts(parts).items():
        text = parts[part].decode("utf-8")
        formulas = cell_formulas(text)
        typed = {place: value for place, value in cell_values(text, strings).items() if place not in formulas}
        cells = {place: f"'{value}" if isinstance(value, str) else value for place, value in typed.items()}
        sheets[title] = rows_of(cells | {place: asked(formula) for place, formula in formulas.items()})
    settings = {} if "blank results" in plain else {"evaluateNullToZero": True}
    return {"sheets": sheets, "names": {name: f"={place}" for name, place in names.items()},
            "settings": settings}


@dataclass(frozen=True)
class HyperFormulaEngine:
    """Calculate with HyperFormula under Node.

    Parameters
    ----------
    folder : Path
        Where npm put the library.
    plain : collection of str
        Faults of the library that are not minded.
    """

    folder: Path
    plain: Collection[str] = ()
    name: str = "HyperFormula"

    def available(self) -> str | None:
        """Return None when the library is there, or else how to get it."""
        there = shutil.which("node") and (self.folder / "node_modules" / "hyperformula").is_dir()
        return None if there else "Node or its package hyperformula is not there: npm install hyperformula"

    def recalculate(self, path: Path, edits: Sequence[Edit] = ()) -> Cells:
        """Return every non-blank cell after `edits` and a full calculation."""
        with tempfile.TemporaryDirectory(prefix="workbook_") as room:
            asked, answer = Path(room, "asked.json"), Path(room, "answer.json")
            text = json.dumps(contents(edited_parts(read_parts(path), edits), self.plain), ensure_ascii=False)
            if STAND_IN in text:
                raise EngineFailed(self.name, path, f"the workbook holds {STAND_IN} itself")
            asked.write_text(text if "bars" in self.plain else text.replace("|", STAND_IN), "utf-8")
            done = subprocess.run(["node", "-e", PROGRAM, asked, answer], cwd=self.folder,
                                  capture_output=True, text=True, check=False)
            if done.returncode:
                raise EngineFailed(self.name, path, done.stderr)
            sheets = json.loads(answer.read_text("utf-8").replace(STAND_IN, "|"))
        return {title: dict(_told(rows)) for title, rows in sheets.items()}


def _told(rows: list[list[Any]]) -> Iterable[tuple[str, Any]]:
    """Yield reference and value of every cell that is not blank."""
    for number, row in enumerate(rows, 1):
        for column, value in enumerate(row, 1):
            if value is not None:
                yield (f"{column_letter(column)}{number}", CellError(value["error"])
                       if isinstance(value, dict) else value)


def least_book(fault: Fault) -> bytes:
    """Return the workbook that shows a fault."""
    book, target = small_book({"S": fault.cells}), io.BytesIO()
    book.defined_names["spare"] = DefinedName("spare", attr_text="S!$A$1")
    book.save(target)
    return target.getvalue()


def unlike(engine: HyperFormulaEngine) -> list[str]:
    """Return which declared faults are none any more, and which show though they are minded."""
    found = []
    with tempfile.TemporaryDirectory() as room:
        path = Path(room, "least.xlsx")
        for name, fault in FAULTS.items():
            path.write_bytes(least_book(fault))
            minded, plain = (each.recalculate(path)["S"].get("F1")
                             for each in (engine, replace(engine, plain={name})))
            if minded != fault.value:
                found.append(f"{name}: {minded!r} and not {fault.value!r}, though it is minded")
            if plain == fault.value:
                found.append(f"{name}: the library reads it as all others do; take it from the list")
    return found


def fetched(folder: Path) -> HyperFormulaEngine:
    """Return the engine after npm has fetched the library into a folder."""
    npm = shutil.which("npm")
    if npm:
        # Without its prefix npm would take a folder above that holds packages already.
        subprocess.run([npm, "install", "--prefix", folder, "--silent", "--no-audit", "--no-fund",
                        "hyperformula"], cwd=folder, check=False, timeout=300)
    return HyperFormulaEngine(folder)


def judge(engine: HyperFormulaEngine) -> int:
    """Recalculate the shipped farms, and one with every tab and column.

    Say how many cells differ and which first, and return how many.
    """
    faults = unlike(engine)
    print(*faults, sep="\n", end="\n" if faults else "")
    cells = wrong = 0
    for name in ("demo", "demo_metric", "every tab"):
        built = (build_small(shipped_inputs("demo_metric")[0], 2, EVERY_TAB) if name == "every tab"
                 else built_from(name))
        found = compare_after(built, engine, built.plan.inputs, [])
        cells += sum(map(len, plan_cells(built.plan, built.placement).values()))
        wrong += len(found)
        for each in found[:10]:
            print(f"{name}: {where(built, each)}")
    print(f"{cells:,} formula cells, {wrong} differences")
    return wrong + len(faults)


def main() -> int:
    """Judge the shipped farms."""
    parser = argparse.ArgumentParser(description="Recalculate the shipped farms with HyperFormula.")
    parser.add_argument("--folder", type=Path,
                        help="where `npm install hyperformula` was run; fetched anew when left out")
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
