"""The summary workbook over clients: figures, points to fix and orders on three sheets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from workbook_builder.build import MOMENT
from workbook_builder.core.adding import added
from workbook_builder.core.columns import FIXED, Column, Table
from workbook_builder.core.draft import Cells
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.place import Placement
from workbook_builder.core.room import Room
from workbook_builder.core.short import result
from workbook_builder.many.work import Outcome
from workbook_builder.planning import Plan

CAUTION = "The label is the law; the figures are planning aids typed in by people."


def _fixed(key: str, header: str, quantity: str = "text") -> Column:
    return Column(key, header, quantity, FIXED)


CLIENTS = Table(
    "clients", "Clients", "One row per client: state of the plan, points to fix and cost.",
    (
        _fixed("client", "Client", "name"), _fixed("farm", "Farm", "name"),
        _fixed("season", "Season", "season"),
        _fixed("state", "Workbook"), _fixed("fields", "Fields", "count"), _fixed("passes", "Passes", "count"),
        _fixed("not_allowed", "Not allowed", "count"), _fixed("not_entered", "Not entered", "count"),
        _fixed("look", "Review", "count"),
        _fixed("area", "Area", "number"), _fixed("area_unit", "Area unit"),
        _fixed("total_cost", "Cost", "number"), _fixed("currency", "Currency"),
        _fixed("trouble", "What went wrong", "long_text"),
    ),
    rows="given", kind="result", caution=CAUTION,
)

TOTALS = Table(
    "totals", "All clients together", "Sums over the rows above.",
    tuple(
        result(key, header, "SUM({clients.%s:all})" % key, "count")  # noqa: UP031 - braces are formula tokens
        for key, header in (("fields", "Fields"), ("passes", "Passes"), ("not_allowed", "Not allowed"),
                            ("not_entered", "Not entered"), ("look", "Review"))
    ),
    rows="form", kind="result", sheet="Totals",
)

OPEN_POINTS = Table(
    "client_open_points", "To fix", "Every open check of every client, worst first.",
    (
        _fixed("status", "Status", "status"), _fixed("client", "Client", "name"),
        _fixed("pass", "Pass", "name"),
        _fixed("field", "Field", "name"), _fixed("check", "Check"), _fixed("finding", "Finding", "long_text"),
    ),
    rows="given", kind="result", caution=CAUTION,
)

ORDERS = Table(
    "client_orders", "Orders", "What each client needs of each product, by product.",
    (
        _fixed("product", "Product", "name"), _fixed("client", "Client", "name"),
        _fixed("wanted", "Needed", "number"),
        _fixed("on_hand", "On hand", "number"), _fixed("packages", "Packages", "count"),
        _fixed("cost", "Cost", "number"),
        _fixed("currency", "Currency"),
    ),
    rows="given", kind="result",
)

SHEETS = (CLIENTS, TOTALS, OPEN_POINTS, ORDERS)
_SEVERITY = {"Not allowed": 0, "Not entered": 1, "Review": 2}


def summary_workbook(outcomes: Sequence[Outcome]) -> bytes:
    """Return the summary over all clients as a file; the same outcomes give the same bytes."""
    from workbook_builder.finish import finish
    from workbook_builder.finish.sheet_data import TakenCells
    from workbook_builder.layout.plain_book import lay_out_plain

    outcomes = sorted(outcomes, key=lambda outcome: outcome.task.name.casefold())
    clients = []
    for outcome in outcomes:
        facts = {key: value for key, value in outcome.facts.items() if not isinstance(value, list)}
        unit = {"us": "ac", "metric": "ha"}.get(str(facts.get("units")), "")
        trouble = outcome.messages[0] if outcome.state == "failed" and outcome.messages else ""
        clients.append(_filled({**facts, "client": outcome.task.name, "state": outcome.state,
                                "area_unit": unit, "trouble": trouble}))
    found = [Cells(client=outcome.task.name, **row) for outcome in outcomes
             for row in outcome.facts.get("open_points", [])]
    orders = [_filled({"client": outcome.task.name, "currency": outcome.facts.get("currency"), **row})
              for outcome in outcomes for row in outcome.facts.get("orders", [])]
    totals = Cells({column.key: added(row[column.key] or 0 for row in clients) for column in TOTALS.columns})
    rows = {
        CLIENTS.key: clients, TOTALS.key: [totals],
        OPEN_POINTS.key: sorted(found, key=lambda row: _SEVERITY.get(row["status"], 9)),
        ORDERS.key: sorted(orders, key=lambda row: str(row["product"]).casefold()),
    }
    room = Room({table.key: max(1, len(rows[table.key])) for table in SHEETS if table.rows == "given"}, {})
    for table in SHEETS:
        rows[table.key] = rows[table.key] or [Cells()]
    cells = TakenCells()
    return finish(lay_out_plain(Plan(rows, room, Inputs({})), Placement(SHEETS, room), cells.take), {},
                  MOMENT, cells)


def _filled(row: dict[str, Any]) -> Cells:
    return Cells({key: value for key, value in row.items() if value is not None})
