"""Every word that people meet on screen, on paper and in commands, on one page: ``python -m tests.words``.

Whoever reviews the words reads `docs/words.md`; nothing on it is typed a second time.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable, Iterator
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

sys.path.insert(0, str(Path(__file__).parent))

from openpyxl import load_workbook
from small_farm import small_farm
from typer.main import get_command

from workbook_builder.build import Built, build_inputs
from workbook_builder.cli import PROGRAM, app
from workbook_builder.commands.new import guide_text
from workbook_builder.core.columns import STATUSES, Table
from workbook_builder.core.quantities import METRIC, US
from workbook_builder.features import TABLES
from workbook_builder.features.calendar.columns import FIELD_EVENTS, PASS_EVENTS
from workbook_builder.features.checks import CHECK_KINDS
from workbook_builder.features.spot_volumes.definitions import CHOICES
from workbook_builder.features.tabs import TAB_OF
from workbook_builder.layout.guides import title_with_unit
from workbook_builder.many.summary import SHEETS
from workbook_builder.planning import Plan
from workbook_builder.printing import Choice, documents

PAGE = Path(__file__).parents[1] / "docs" / "words.md"
MADE = "This page is read from the program by `python -m tests.words`; change the words there, not here."
_TAG, _CHART_TEXT = re.compile(r"<[^>]+>"), re.compile(r"<a:t>([^<]*)</a:t>")
_WEEK = re.compile(r"W\d+")
_PRINTED = re.compile(r"<(h1|h2|th|dt)\b[^>]*>(.*?)</\1>", re.DOTALL)


def spot_farm() -> Built:
    """Return the smallest farm, its one pass a spot pass, so that every kind of page and chart is made."""
    return build_inputs(small_farm(passes={"method": "spot", "sprayed_share": 0.3}))


def words_page() -> str:
    """Return the page."""
    built = spot_farm()
    lines = ["# Words", "", MADE, "", *_plain("Statuses", STATUSES)]
    lines += _plain("Tabs", (sheet.title if sheet.sheet_state == "visible" else f"{sheet.title} (hidden)"
                             for sheet in load_workbook(BytesIO(built.data)).worksheets))
    lines += ["## Titles and headers", "",
              "US units; where the metric header has other words it follows in brackets.", ""]
    lines += [line for table in TABLES for line in _table(table)]
    lines += ["## Summary of many clients", "", *(line for table in SHEETS for line in _table(table))]
    lines += _plain("Checks", (kind.name for kind in CHECK_KINDS))
    lines += _plain("Events of the calendar", (kind.name for kind in (*PASS_EVENTS, *FIELD_EVENTS)))
    lines += _plain("Volumes to choose from", CHOICES)
    lines += _plain("Charts", chart_texts(built.data))
    lines += ["## Printed pages", "", *printed(built.plan), "## First sheet of a new workbook", "",
              *(f"- {line[:-1]}" for line in guide_text("farm.xlsx", US, False).splitlines()
                if line.endswith(":")), "", "## Commands", "", *_commands()]
    return "\n".join(lines).rstrip() + "\n"


def _plain(title: str, words: Iterable[str]) -> list[str]:
    return [f"## {title}", "", *(f"- {word}" for word in dict.fromkeys(words)), ""]


def _table(table: Table) -> Iterator[str]:
    title = TAB_OF.get(table.key)
    place = "" if title in (None, table.title) else f", on the tab {title}"
    yield f"### {table.title}{place}"
    yield ""
    words = []
    for column in table.columns:
        us, metric = (title_with_unit(column, system, "$") for system in (US, METRIC))
        header = us if column.header_in(US) == column.header_in(METRIC) else f"{us} [{metric}]"
        words.append(f"{header}: {', '.join(column.choices)}" if isinstance(column.choices, tuple)
                     and column.choices else header)
    weeks = [word for word in words if _WEEK.fullmatch(word)]
    words = [word for word in dict.fromkeys(words) if word not in weeks[1:-1]]
    yield "; ".join(words)
    yield ""


def chart_texts(data: bytes) -> list[str]:
    """Return the titles of charts and of their axes."""
    with ZipFile(BytesIO(data)) as parts:
        charts = sorted(name for name in parts.namelist() if name.startswith("xl/charts/chart"))
        return [text for name in charts for text in _CHART_TEXT.findall(parts.read(name).decode("utf-8"))]


def printed(plan: Plan) -> Iterator[str]:
    """Yield the headings and labels of every printed page; names on them are the smallest farm's."""
    for name, text in documents(plan, Choice()).items():
        found = [" ".join(_TAG.sub(" ", inner).split()) for _, inner in _PRINTED.findall(text)]
        yield f"### {name}.html"
        yield ""
        yield "; ".join(dict.fromkeys(word for word in found if word))
        yield ""


def _commands() -> Iterator[str]:
    group = get_command(app)
    for name, command in ("", group), *getattr(group, "commands", {}).items():
        if not command.hidden:
            yield f"### {PROGRAM} {name}".rstrip()
            yield ""
            yield from (f"- `{', '.join(each.opts)}` {getattr(each, 'help', None) or ''}".rstrip()
                        for each in command.params)
            yield ""


def main() -> None:
    """Write the page."""
    PAGE.write_text(words_page(), "utf-8")
    print(f"Wrote {PAGE}.")


if __name__ == "__main__":
    main()
