"""Results as pandas frames, and as CSV files.

pandas is loaded when a frame is asked for, so that the commands start without it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from workbook_builder.core.columns import FIXED, Column, Table
from workbook_builder.core.quantities import quantity
from workbook_builder.features import BY_KEY, TABLES
from workbook_builder.features.records.columns import LINE

if TYPE_CHECKING:
    import pandas as pd

    from workbook_builder.planning import Plan

#: Day 0 of the numbers in which plan and workbook count days.
ORIGIN = "1899-12-30"
#: pandas types of what a column measures; a blank cell is a missing value in each of them.
TYPES = {"text": "string", "name": "string", "code": "string", "whole": "Int64", "number": "Float64",
         "share": "Float64", "money": "Float64", "time": "Float64"}
#: Signs with which a spreadsheet program starts to calculate when it opens a CSV file.
STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def result_tables() -> list[Table]:
    """Return the tables that people read results from."""
    return [table for table in TABLES if table.kind == "result"]


def frame(plan: Plan, key: str) -> pd.DataFrame:
    """Return one table of a plan as a frame: a row for each filled row,
    a typed column for each that people read.

    Parameters
    ----------
    plan : Plan
    key : str
        Key of the table, for instance ``"cost_passes"``.

    Returns
    -------
    pandas.DataFrame
        Dates and moments are ``datetime64``, whole numbers ``Int64``,
        other numbers ``Float64`` and words ``string``;
        ``attrs["units"]`` maps each column to its unit, for instance ``"gal/ac"``.

    Raises
    ------
    KeyError
        When no table has that key.
    """
    import pandas as pd

    table = BY_KEY[key]
    columns = [column for column in table.columns if not column.folded and column.role != "working"]
    # Spare rows and free slots hold nothing but what is given to every row.
    telling = [column.key for column in columns if column.role != FIXED]
    named = [column.key for column in table.columns if quantity(column.quantity).form == "name"
             and column.role != FIXED]
    rows = [row for row in plan.tables[key] if any(row[name] not in ("", None) for name in named or telling)]
    found = pd.DataFrame({column.key: _series(column, [row[column.key] for row in rows])
                          for column in columns})
    currency = str(plan.inputs.form("farm").get("currency") or "$")
    found.attrs["units"] = {column.key: quantity(column.quantity).unit(plan.system, currency)
                            for column in columns}
    return found


def frames(plan: Plan) -> dict[str, pd.DataFrame]:
    """Return every result table of a plan as a frame, by its key."""
    return {table.key: frame(plan, table.key) for table in result_tables()}


def as_csv(found: pd.DataFrame) -> str:
    """Return a frame as CSV text that no spreadsheet program takes for formulas:
    words that start like one get an apostrophe.
    """
    words = found.select_dtypes("string").columns
    safe = found.assign(**{name: found[name].map(lambda text: f"'{text}" if text.startswith(STARTS_A_FORMULA)
                                                else text, na_action="ignore") for name in words})
    text: str = safe.to_csv(index=False, lineterminator="\n")
    return text


def _series(column: Column, values: list[Any]) -> pd.Series[Any]:
    import pandas as pd

    form = quantity(column.quantity).form
    # A line to write on stands for what is not there.
    cells = [None if value in ("", None, LINE) else value for value in values]
    if form in ("date", "moment"):
        days = pd.Series(cells, dtype="Float64").astype("float64")
        return pd.to_datetime(days, unit="D", origin=ORIGIN).dt.round("s")
    if TYPES[form] == "string" or any(isinstance(value, str) for value in cells):
        # A few columns of numbers hold a word where there is none to show.
        return pd.Series([None if value is None else str(value) for value in cells], dtype="string")
    return pd.Series(cells, dtype=TYPES[form])
