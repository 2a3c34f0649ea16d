"""Short forms for declaring calculated columns."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import wraps
from typing import Any

from workbook_builder.core.columns import CHECK, FIXED, RESULT, WORKING, Column
from workbook_builder.core.rounding import with_commas


def working(key: str, header: str, formula: str | tuple[str, ...], quantity: str = "index",
            **more: Any) -> Column:
    """Declare a working column."""
    return Column(key, header, quantity, WORKING, formula, **more)


def result(key: str, header: str, formula: str | tuple[str, ...], quantity: str = "amount",
           **more: Any) -> Column:
    """Declare a result column."""
    return Column(key, header, quantity, RESULT, formula, **more)


def check(key: str, header: str, formula: str | tuple[str, ...], quantity: str = "status",
          **more: Any) -> Column:
    """Declare a status or finding column."""
    return Column(key, header, quantity, CHECK, formula, **more)


def row_number() -> Column:
    """Declare the constant row number of a table."""
    return Column("row_no", "Row", "index", FIXED)


def slot_number(header: str = "Slot") -> Column:
    """Declare the constant slot number of a table with slots."""
    return Column("slot", header, "index", FIXED)


def belonging(before: str) -> tuple[Column, ...]:
    """Declare which row of its table each line of a list belongs to.

    Lines past the last one belong to the last row.

    Parameters
    ----------
    before : str
        Column of that table that counts the lines before those of its row.
    """
    return row_number(), working("parent_no", "Belongs to row", f'COUNTIF({{{before}:all}},"<"&{{row_no}})')


def lines_of(key: str, header: str, count: str) -> tuple[Column, Column]:
    """Declare how many lines of a list belong to a row, and those of the rows above,
    which :func:`belonging` takes.
    """
    return (
        working(key, header, count, "count"),
        working(f"{key}_before", f"{header}, rows above", f"SUM({{{key}_before:above}},{{{key}:above}})",
                "count"),
    )


def part_of(function: Callable[..., tuple[Any, ...]], place: int) -> Callable[..., Any]:
    """Return a twin that gives one part of what a function tells, such as the status or the finding."""
    return wraps(function)(lambda *cells: function(*cells)[place])


def or_blank(token: str) -> str:
    """Return a formula that fetches a typed cell: a blank one, told as it is, would show as nought."""
    return f'IF({{{token}}}="","",{{{token}}})'


def listed(column: Column, table: str, row: str) -> Column:
    """Return a column that shows a column of another table, as it stands in the row that `row` names.

    Parameters
    ----------
    column : Column
        As it is declared there.
    table : str
        Key of that table.
    row : str
        Column that holds the row, blank for none.
    """
    return replace(column, formula=f"{{{table}.{column.key}@{row}}}", needs=row, twin=None, takes="")


def worst_status(block: str) -> str:
    """Return a formula for the worst status in a block of slots,
    or of the lines that columns and criteria before it choose (blank when all are blank).
    """
    parts = "".join(f'IF(COUNTIFS({block},"{word}")>0,"{word}",'
                    for word in ("Not allowed", "Not entered", "Review"))
    return parts + f'IF(COUNTIFS({block},"OK")>0,"OK",""))))'


def told_whole(key: str, header: str, money: str) -> tuple[Column, Column]:
    """Declare a sum of money without cents, and how a sentence tells it: with commas.

    Parameters
    ----------
    key, header : str
        Begin of the keys and headers.
    money : str
        Key of the sum.
    """
    whole, size = f"{{{key}_whole}}", f"ABS({{{key}_whole}})"

    def three(part: str) -> str:
        return f'","&RIGHT("00"&MOD({part},1000),3)'

    thousands, millions, billions = (f"INT({size}/{unit})" for unit in (1000, 1000000, 1000000000))
    above = (f"IF({size}<1000000,{thousands},IF({size}<1000000000,{millions},"
             f"{billions}&{three(millions)})&{three(thousands)})")
    return (
        working(f"{key}_whole", f"{header}, without cents", f"ROUND(ROUND({{{money}}},6),0)", "count"),
        working(f"{key}_told", f"{header}, in words",
                f'IF({size}<1000,{whole}&"",IF({whole}<0,"-","")&{above}&{three(size)})', "text",
                twin=with_commas, takes=f"{key}_whole"),
    )


def place(key: str, header: str, value: str, column: str, **more: Any) -> Column:
    """Declare the row of a value in a column, blank where either is not there.

    Parameters
    ----------
    key, header : str
    value : str
        Token of the cell that holds the value.
    column : str
        Token of the column it is looked for in, as ``products.product``.
    """
    return working(key, header, f'IFERROR(MATCH({{{value}}},{{{column}:all}},0),"")', needs=value, **more)


def typed_in(key: str, header: str, column: str, row: str, quantity: str, role: str = WORKING,
             **more: Any) -> Column:
    """Declare the number or date that is typed in a row of a column, blank where none is.

    Parameters
    ----------
    key, header : str
    column, row : str
        Tokens of the column, and of the cell that holds the row.
    quantity, role : str
    """
    return Column(key, header, quantity, role, or_blank(f"{column}@{row}"), needs=row, **more)
