"""Short forms for declaring calculated columns."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.columns import CHECK, FIXED, RESULT, WORKING, Column


def working(key: str, header: str, formula: str | tuple[str, ...], quantity: str = "index", **more: Any) -> Column:
    """Declare a working column."""
    return Column(key, header, quantity, WORKING, formula, **more)


def result(key: str, header: str, formula: str | tuple[str, ...], quantity: str = "amount", **more: Any) -> Column:
    """Declare a result column."""
    return Column(key, header, quantity, RESULT, formula, **more)


def check(key: str, header: str, formula: str | tuple[str, ...], quantity: str = "status", **more: Any) -> Column:
    """Declare a status or finding column."""
    return Column(key, header, quantity, CHECK, formula, **more)


def row_number() -> Column:
    """Declare the constant row number of a table."""
    return Column("row_no", "Row", "index", FIXED)


def slot_number(header: str = "Slot") -> Column:
    """Declare the constant slot number of a table with slots."""
    return Column("slot", header, "index", FIXED)


def or_blank(token: str) -> str:
    """Return a formula that fetches a typed cell: a blank one, told as it is, would show as nought."""
    return f'IF({{{token}}}="","",{{{token}}})'


def worst_status(block: str) -> str:
    """Return a formula for the worst status in a block of slots (blank when all are blank)."""
    parts = "".join(f'IF(COUNTIF({block},"{word}")>0,"{word}",' for word in ("Not allowed", "Not entered", "Review"))
    return parts + f'IF(COUNTIF({block},"OK")>0,"OK",""))))'


def finding_of(status: str, statuses: str, findings: str) -> str:
    """Return a formula for the first finding that has the given (worst) status."""
    return f'IF(OR({status}="",{status}="OK"),"",INDEX({findings},MATCH({status},{statuses},0)))'
