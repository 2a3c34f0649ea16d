"""The points to fix of a plan as lines for a terminal: grouped, worst first, with places."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TextIO

from workbook_builder.commands.messages import COLOURS, counted, open_counts, paint

if TYPE_CHECKING:
    from workbook_builder.planning import Plan

#: Lines shown of one cause before the rest is only counted.
SHOWN_OF_EACH = 12


def open_rows(plan: Plan) -> list[dict[str, Any]]:
    """Return every open check with its sheet and the row of its pass, worst first.

    Each row has status, pass, field, check, finding, sheet (of the workbook) and place
    (of the pass in its source).
    """
    from workbook_builder.check.problems import where
    from workbook_builder.core.columns import OPEN_STATUSES
    from workbook_builder.features import BY_KEY

    sheets = {row["check"]: row["where"] for row in plan.tables["check_list"]}
    per_pass = len(sheets)
    rows = []
    for number, row in enumerate(plan.tables["all_checks"]):
        if row["status"] in OPEN_STATUSES:
            found = {key: row[key] for key in ("status", "pass", "field", "check", "finding")}
            spot = where(plan.inputs, BY_KEY["passes"], (number // per_pass) + 1)
            parts = (spot["file"], f"sheet {spot['sheet']}" if spot["sheet"] else "", f"row {spot['row']}"
                     if spot["row"] else "")
            rows.append({**found, "sheet": sheets[row["check"]],
                         "place": ", ".join(part for part in parts if part)})
    for row in plan.tables["farm_checks"]:
        if row["status"] in OPEN_STATUSES:
            rows.append({**row, "pass": "", "field": "", "sheet": row["where"], "place": ""})
    return sorted(rows, key=lambda row: OPEN_STATUSES.index(row["status"]))


def summary_line(plan: Plan) -> str:
    """Return one line on the farm, its size, its cost and its points to fix."""
    glance, farm = plan.tables["glance"][0], plan.tables["farm"][0]
    fields = sum(1 for _ in plan.inputs.filled("fields"))
    cost = glance["total_cost"]
    money = f", {plan.inputs.currency}{cost:,.2f}" if isinstance(cost, (int, float)) else ""
    size = f"{counted(fields, 'field')}, {counted(int(glance['passes'] or 0), 'pass', 'passes')}"
    return f"{farm['farm']}, season {farm['season']}: {size}{money}; {open_counts(glance)}"


def finding_lines(plan: Plan, stream: TextIO, show_all: bool = False) -> list[str]:
    """Return the points to fix as lines: by status, then by cause, then by pass and field."""
    from workbook_builder.features.to_fix.columns import cause_of

    lines: list[str] = []
    rows = open_rows(plan)
    for status in dict.fromkeys(row["status"] for row in rows):
        group = [row for row in rows if row["status"] == status]
        lines += ["", paint(f"{status}: {len(group)}", COLOURS[status], stream)]
        for check in dict.fromkeys(row["check"] for row in group):
            alike = [row for row in group if row["check"] == check]
            lines.append(f"  {paint(cause_of(check, status), '', stream)}: {len(alike)} "
                         f"(tab {alike[0]['sheet']})")
            shown = alike if show_all else alike[:SHOWN_OF_EACH]
            for row in shown:
                lines += [f"    {row['pass']}, {row['field']} ({row['place']})"] if row["pass"] else []
                lines.append(f"      {row['finding']}")
            if len(alike) > len(shown):
                lines.append(f"    and {len(alike) - len(shown)} more like it; --all shows them")
    return lines
