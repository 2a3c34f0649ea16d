"""What was built from what: one small record per client beside its workbook, and what of it is summed up.

A restart reads the records and passes over every client whose source has not changed.
"""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

from workbook_builder import __version__
from workbook_builder.core.adding import added
from workbook_builder.features import VIEWS
from workbook_builder.finish.write import Output
from workbook_builder.planning import Plan
from workbook_builder.read.source import tables_in
from workbook_builder.theme import DEFAULT_THEME, Theme

LEDGER = ".built"


def fingerprint(source: Path, theme: Theme = DEFAULT_THEME) -> str:
    """Return a mark that changes with any byte of a source, with the theme and with the program's version.

    Parameters
    ----------
    source : Path
        A workbook, or a folder of tables.
    theme : Theme
    """
    found = hashlib.sha256(__version__.encode())
    if theme != DEFAULT_THEME:
        found.update(repr(theme).encode())
    files = tables_in(source) if source.is_dir() else [source]
    for file in files:
        data = file.read_bytes()
        found.update(f"\0{file.name}\0{len(data)}\0".encode())
        found.update(data)
    return found.hexdigest()


def record_path(workbook: Path) -> Path:
    """Return where the record of a workbook stands."""
    return workbook.parent / LEDGER / f"{workbook.stem}.json"


def read_record(workbook: Path) -> dict[str, Any]:
    """Return the record of a workbook; an empty one when there is none or it cannot be read."""
    try:
        content = json.loads(record_path(workbook).read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return content if isinstance(content, dict) else {}


def record(workbook: Path, mark: str, facts: dict[str, Any]) -> Output:
    """Return the note of what a workbook was built from and what the summary shows of it,
    to be written with it.
    """
    return Output(record_path(workbook),
                  json.dumps({"source": mark, "facts": facts}, ensure_ascii=False).encode(), make_folder=True)


GLANCE = ("not_allowed", "not_entered", "look", "passes", "total_cost")
OPEN = ("status", "pass", "field", "check", "finding")
ORDER = ("product", "wanted", "on_hand", "packages", "cost")


def facts_of(plan: Plan) -> dict[str, Any]:
    """Return figures, points to fix and orders of one plan, plain enough for JSON."""
    farm, glance = plan.tables["farm"][0], plan.tables["glance"][0]
    fields = [row for _, row in plan.inputs.filled("fields")]
    return {
        "farm": farm["farm"],
        "season": farm["season"],
        "units": plan.system,
        "currency": plan.inputs.currency,
        "fields": len(fields),
        "area": added(float(row.get("area") or 0) for row in fields),
        **{key: glance[key] for key in GLANCE},
        "open_points": [{key: row[key] for key in OPEN} for row in VIEWS["open_points"](plan)],
        "orders": [{key: row.get(key) for key in ORDER} for row in VIEWS["order_list"](plan)],
    }
