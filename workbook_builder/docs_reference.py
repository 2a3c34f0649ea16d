"""The reference pages, written from the declarations: ``python -m workbook_builder.docs_reference
[--check]``.

Nothing in them is typed a second time; a test fails when they are not what the
declarations say.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

from workbook_builder.check.names import REQUIRED_TABLES
from workbook_builder.check.problem_codes import CELL_CODES, CROSS_CODES, MAP_CODES, SHAPE_CODES, SOURCE_CODES
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.quantities import quantity
from workbook_builder.export.json_text import FORMATS
from workbook_builder.features import BY_KEY, TABLES, VIEWS
from workbook_builder.features.tabs import TAB_OF

FOLDER = Path("docs/reference")
MADE = ("This page is written from the declarations by `python -m workbook_builder.docs_reference`; change "
        "them, not the page.")

ROWS_WORDS = {"typed": "one row per entry, with spare rows",
              "given": "rows shipped or derived when the workbook is built", "form": "one value per line"}


def pages() -> dict[str, str]:
    """Return file name -> text of every reference page."""
    return {
        "inputs.md": inputs_page(),
        "results.md": results_page("result", "Result sheets", "What the workbook works out, sheet by sheet."),
        "workings.md": results_page("working", "Working sheets",
                                    "The steps between inputs and results; folded away in the workbook, one "
                                    "step per column."),
        "problems.md": problems_page(),
        "commands.md": commands_page(),
        "json.md": json_page(),
    }

HEADERS = (
    "Headers are accepted as key or as printed title, in any case, with or without the unit.",
    "A header may name another unit of the same measure in brackets, such as `Area (hectares)`: every number "
    "is converted, and `check` says so.",
    "Any other word in brackets there is a problem, and no number is taken in a unit that its header does "
    "not name.",
)


def inputs_page() -> str:
    """Return the page on everything people type."""
    lines = ["# Tables you type", "", MADE, "", *HEADERS, ""]
    for table in (table for table in TABLES if table.is_typed):
        need = "needed" if table.key in REQUIRED_TABLES else "optional"
        lines += [f"## {table.title}", "",
                  f"`{table.file_name}`, {_where(table)}; {need}; {_rows_words(table)}.", table.about, ""]
        rows = [(f"`{column.key}`", column.header, _units(column),
                 "yes" if column.required else "" if column.default is None else f"default {column.default}",
                 _accepts(column), column.note) for column in table.columns if column.typed]
        lines += _grid(("key", "header", "unit (US, metric)", "needed", "accepts", "note"), rows)
    return _text(lines)


def _accepts(column: Column) -> str:
    if isinstance(column.choices, tuple) and column.choices:
        return ", ".join(column.choices)
    if column.choices:
        table, _, key = str(column.choices).partition(".")
        word = "suggests" if column.suggest_only else "one of"
        return f"{word} {BY_KEY[table].title}: {BY_KEY[table].by_key[key].header}"
    form = quantity(column.quantity).form
    if column.minimum is not None and column.maximum is not None:
        return f"{'whole number' if form == 'whole' else 'number'} {column.minimum:g} to {column.maximum:g}"
    return {"name": "text", "code": "whole number or code", "whole": "whole number",
            "share": "number 0 to 1, or %"}.get(form, form)


def results_page(kind: str, title: str, about: str) -> str:
    """Return the page on every calculated table of one kind, each column with formula, unit, source and twin.
    """
    lines = [f"# {title}", "", MADE, "", about,
             "Formulas are as declared: `{key}` is a cell of the same row, `{table.key}` one of another "
             "table.",
             "A column that people do not see and no formula reads is left out of workbooks; JSON and pandas "
             "have it from the plan.", ""]
    twins = {table.key: f"{table.whole.__module__.removeprefix('workbook_builder.')}.{table.whole.__name__}"
             for table in TABLES if table.whole}
    for table in (table for table in TABLES if table.kind == kind):
        lines += [f"## {table.title}", "", f"`{table.key}`, {_where(table)}; {_rows_words(table)}.",
                  table.about]
        if table.key in twins:
            lines += [f"Worked out in Python by `{twins[table.key]}`."]
        if table.caution:
            lines += [table.caution]
        rows = []
        for column in table.columns:
            formulas = column.formulas
            formula = ("" if not formulas else formulas[0] if len(set(formulas)) == 1
                       else f"{formulas[0]} ... ({len(formulas)} slots, each its own)")
            source = f"[{column.source}]" if column.source else ""
            rows.append((f"`{column.key}`", column.header, _units(column),
                         f"`{formula}`" if formula else ("typed" if column.typed else ""),
                         f"{column.note} {source}".strip()))
        lines += ["", *_grid(("key", "header", "unit (US, metric)", "formula", "note and source"), rows)]
    return _text(lines)


def problems_page() -> str:
    """Return the page on every problem code."""
    lines = ["# Problems", "", MADE, "",
             "Every problem names its file, sheet, row and column, says what is wrong and what would be "
             "right.", ""]
    groups = (
        ("The file or folder", SOURCE_CODES), ("A table's header or shape", SHAPE_CODES),
        ("One cell", CELL_CODES), ("Tables seen together", CROSS_CODES),
        ("Logs, boundaries and overlays", MAP_CODES),
    )
    for title, codes in groups:
        lines += [f"## {title}", "",
                  *_grid(("code", "meaning"), [(f"`{code}`", meaning) for code, meaning in codes.items()])]
    return _text(lines)


def commands_page() -> str:
    """Return the page on every command: its own help."""
    from typer.main import get_command
    from typer.testing import CliRunner

    from workbook_builder.cli import PROGRAM, app

    lines = ["# Commands", "", MADE, ""]
    names = [name for name, command in getattr(get_command(app), "commands", {}).items()
             if not command.hidden]
    for name in ("", *names):
        arguments = [part for part in (name, "--help") if part]
        shown = CliRunner(env={"COLUMNS": "100", "NO_COLOR": "1"}).invoke(
            app, arguments, prog_name=PROGRAM).stdout
        lines += [f"## {f'{PROGRAM} {name}'.strip()}", "", "```text",
                  *(line.rstrip() for line in shown.strip().splitlines()), "```", ""]
    return _text(lines)


def json_page() -> str:
    """Return the page on the views that ``--json`` writes."""
    lines = ["# JSON", "", MADE, "",
             "`--json PATH` writes one object: the views below, then every other table by its key, then "
             "`problems`.",
             "Numbers are in the farm's units, dates in ISO form, blank is null.", ""]
    rows = [(f"`{name}`", view.about) for name, view in VIEWS.items()]
    changed = [line for number, changes in FORMATS.items()
               for line in (f"## Format {number}", "", *(f"- {change}" for change in changes), "")]
    return _text([*lines, *_grid(("view", "holds"), rows), *changed])


def _first_line(text: str | None) -> str:
    return (text or "").strip().partition("\n")[0]


def _where(table: Table) -> str:
    return f"tab {TAB_OF[table.key]}" if table.key in TAB_OF else "behind the tabs"


def _rows_words(table: Table) -> str:
    if table.rows.startswith("as:"):
        return f"one row beside each row of {BY_KEY[table.parent].title}"
    if table.rows.startswith("under:"):
        return f"{table.slot_kind.replace('_', ' ')} under each row of {BY_KEY[table.parent].title}"
    if table.rows.startswith("of:"):
        return (f"a list of {table.slot_kind.replace('_', ' ')}, each of one row of "
                f"{BY_KEY[table.parent].title}")
    return ROWS_WORDS.get(table.rows, f"a list of {table.slot_kind.replace('_', ' ')}")


def _units(column: Column) -> str:
    kind = quantity(column.quantity)
    us, metric = kind.unit("us"), kind.unit("metric")
    return us if us == metric else f"{us}, {metric}"


def _grid(headers: Sequence[str], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    yield "| " + " | ".join(headers) + " |"
    yield "|" + "---|" * len(headers)
    for row in rows:
        yield "| " + " | ".join(re.sub(r"\s+", " ", cell).replace("|", "\\|").strip() for cell in row) + " |"
    yield ""


def _text(lines: Sequence[str]) -> str:
    return "\n".join(lines).rstrip() + "\n"


def main() -> int:
    """Write the pages, or with ``--check`` say which are out of date."""
    stale = []
    for name, text in pages().items():
        path = FOLDER / name
        if path.is_file() and path.read_text("utf-8") == text:
            continue
        stale.append(str(path))
        if "--check" not in sys.argv:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, "utf-8")
    print("\n".join(stale) or "reference is up to date")
    return 1 if stale and "--check" in sys.argv else 0


if __name__ == "__main__":
    sys.exit(main())
