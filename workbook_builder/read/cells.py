"""From the raw cell to the value its column declares."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, Any

from openpyxl.utils.datetime import WINDOWS_EPOCH

from workbook_builder.check.problems import ERROR, WARNING, Severity, suggestion
from workbook_builder.core.columns import Column
from workbook_builder.core.quantities import US, quantity
from workbook_builder.read.grid import ErrorCell, FormulaCell, is_blank
from workbook_builder.read.numbers import (
    BadCell,
    brief,
    ends_of_range,
    number_from_text,
    percent_from_text,
    refuse_other_money,
    split_currency,
)
from workbook_builder.read.texts import (
    FORMULA_STARTS,
    LONGEST_LINE,
    LONGEST_TEXT,
    has_time,
    is_garbled,
    mended_letters,
    read_choice,
    read_date,
    read_moment,
    read_name,
    read_text,
    read_time,
)
from workbook_builder.read.unit_words import Counting, as_counted

if TYPE_CHECKING:
    from workbook_builder.read.unit_words import Conversion

#: Shares that may be told as a range: their table has a column for each end.
RANGED, ENDS = ("sprayed_share", "expected_share"), ("share_low", "share_high")
#: What says better than a number how unsure a share is.
INSTEAD_OF_A_SHARE = {
    "sprayed_share": "; or leave it blank and choose a pressure class, which also says how sure it is",
    "expected_share": "; the area behind it says how sure it is",
}
ERROR_VALUES = ("#N/A", "#VALUE!", "#REF!", "#DIV/0!", "#NUM!", "#NAME?", "#NULL!", "#SPILL!", "#CALC!")


@dataclass(frozen=True)
class Reading:
    """What reading a cell depends on besides the cell."""

    #: As in :class:`workbook_builder.read.grid.Grid`
    from_workbook: bool = False
    decimal_comma: bool | None = False
    epoch: datetime = WINDOWS_EPOCH
    #: The farm's units and currency sign
    system: str = US
    currency: str = "$"
    conversion: Conversion | None = None  # From the unit of the column's header to the column's own


@dataclass(frozen=True)
class Remark:
    """What is wrong or doubtful about one cell."""

    code: str
    message: str
    fix: str = ""
    severity: Severity = ERROR


def read_cell(raw: Any, column: Column, reading: Reading, row_unit: str = "") -> tuple[Any, list[Remark]]:
    """Return the value of a cell and what is to be said about it.

    Parameters
    ----------
    raw : object
        Cell as found in the grid.
    column : Column
        Declaration the cell belongs to.
    reading : Reading
    row_unit : str
        Unit that the row gives for its numbers, such as ``% v/v``.

    Returns
    -------
    (value, remarks) : tuple
        The value is None for a blank cell and for one that cannot be read.
    """
    try:
        plain, remarks = _result_of(raw)
        if is_blank(plain):
            return None, remarks
        kind = quantity(column.quantity)
        own = kind.unit(reading.system, reading.currency)
        in_percent = kind.form == "number" and (own == "%" or (not own and row_unit.lstrip().startswith("%")))
        counting = Counting(kind.form, "%" if in_percent else own, reading.currency, in_percent,
                            reading.conversion, reading.decimal_comma)
        plain, changed = as_counted(plain, counting)
        remarks += [Remark("percent-shown", changed, "Nothing, if that is meant", WARNING)] if changed else []
        value = _read_plain(plain, column, reading)
        _refuse_limits(value, column)
    except BadCell as bad:
        return None, [Remark(bad.code, bad.message, bad.fix)]
    return value, remarks + _doubts(plain, value, column)


def read_range(typed: dict[str, Any], readings: Mapping[str, Reading]) -> dict[str, float]:
    """Return middle, low and high of a share that is typed as a range, such as ``10-60 %``.

    Nothing where none is, or where an end is typed by itself.
    """
    for key in RANGED:
        try:
            raw = _result_of(typed[key])[0] if key in typed and key in readings else None
        except BadCell:  # told where the cell is read
            continue
        ends = ends_of_range(raw, readings[key].decimal_comma) if isinstance(raw, str) else None
        if ends is not None and all(end in readings and is_blank(typed.get(end)) for end in ENDS):
            return {key: sum(ends) / 2, **dict(zip(ENDS, ends, strict=True))}
    return {}


def _result_of(raw: Any) -> tuple[Any, list[Remark]]:
    remarks = []
    if isinstance(raw, FormulaCell):
        message = f"the cell holds the formula {brief(raw.text)}; its last result is used"
        remarks = [Remark("formula-in-input", message, "Type the value itself", WARNING)]
        result = raw.result()
        if result is None:
            message = f"the cell holds the formula {brief(raw.text)} without a stored result"
            raise BadCell("formula-without-value", message, "Type the value itself")
        raw = result
    if isinstance(raw, ErrorCell) or (isinstance(raw, str) and raw.strip().upper() in ERROR_VALUES):
        text = raw.text if isinstance(raw, ErrorCell) else raw.strip()
        if not text.startswith("#"):
            raise BadCell("not-finite",
                          f"the cell stores {brief(text)} as a number, which nothing can be calculated with",
                          "Type the value again")
        raise BadCell("excel-error", f"the cell holds the error {text}",
                      "Type the value, or leave the cell blank")
    return raw, remarks


def _read_plain(raw: Any, column: Column, reading: Reading) -> Any:
    if isinstance(column.choices, tuple) and column.choices and not column.suggest_only:
        chosen = read_choice(raw, column.choices, column.also)
        if chosen is None:
            text = read_text(raw, LONGEST_TEXT)
            raise BadCell("not-a-choice", f"{brief(text)!r} is not allowed here",
                          suggestion(text, column.choices))
        return chosen
    return _READERS[quantity(column.quantity).form](raw, column, reading)


def _name(raw: Any, column: Column, reading: Reading) -> str:
    return read_name(_unguarded(raw, reading))


def _text(raw: Any, column: Column, reading: Reading) -> str:
    is_long = column.quantity == "long_text"
    return read_text(_unguarded(raw, reading), LONGEST_TEXT if is_long else LONGEST_LINE, keep_lines=is_long)


def _code(raw: Any, column: Column, reading: Reading) -> int | str:
    """Return a whole number as such, and any other code in capitals without spaces."""
    if isinstance(raw, str) and any(sign.isalpha() for sign in raw):
        return _name(raw, column, reading).upper().replace(" ", "")
    return _whole(raw, column, reading)


def _unguarded(raw: Any, reading: Reading) -> Any:
    # A quote before a formula sign is how CSV files are kept from running it; it is not part of the text.
    is_guarded = isinstance(raw, str) and len(raw) > 1 and raw[0] == "'" and raw[1] in FORMULA_STARTS
    return raw[1:] if is_guarded and not reading.from_workbook else raw


def _number(raw: Any, column: Column, reading: Reading) -> int | float:
    if isinstance(raw, bool):
        raise BadCell("boolean", f"the cell holds {str(raw).upper()}, not a number", "Type the number")
    if isinstance(raw, (date, time, timedelta)):
        message = f"the cell holds a date or time ({raw}), not a number"
        raise BadCell("not-a-number", message, "Format the cell as a number and type it again")
    value: int | float = number_from_text(raw, reading.decimal_comma) if isinstance(raw, str) else raw
    return value if reading.conversion is None else reading.conversion(value)


def _whole(raw: Any, column: Column, reading: Reading) -> int:
    value = _number(raw, column, reading)
    if value != int(value):
        raise BadCell("not-whole", f"{value} is not a whole number",
                      f"Type {round(value)} or another whole number")
    return int(value)


def _share(raw: Any, column: Column, reading: Reading) -> int | float:
    try:
        percent = percent_from_text(raw, reading.decimal_comma) if isinstance(raw, str) else None
        value = _number(raw, column, reading) if percent is None else percent
    except BadCell as bad:
        if bad.code != "not-a-number" or not isinstance(raw, str):
            raise
        ends = ends_of_range(raw, reading.decimal_comma)
        typed = ("Type one number, for instance 30 % or 0.3" if ends is None
                 else f"Type one number, the middle for instance: {50 * sum(ends):g} %")
        what = "no share" if ends is None else "a range, not a share"
        raise BadCell(bad.code, f"{brief(raw.strip())!r} is {what}",
                      typed + INSTEAD_OF_A_SHARE.get(column.key, "")) from bad
    if percent is None and reading.conversion is not None and 0 < value <= reading.conversion.factor:
        message = f"{brief(str(raw))} may count in the unit of the header, or be a share of 1"
        raise BadCell("ambiguous-number", message,
                      f"Type {value * 100:g} % or {value / reading.conversion.factor * 100:g} %")
    if value > 1:
        fix = (f"Type {value:g} % or {value / 100:g}" if percent is None and value <= 100
               else "Type at most 100 %")
        raise BadCell("share-over-one", f"{str(raw).strip()} is more than 1, which stands for 100 %", fix)
    if value < 0:
        raise BadCell("below-minimum", f"{str(raw).strip()} is less than 0", "Type a share from 0 % to 100 %")
    return value


def _money(raw: Any, column: Column, reading: Reading) -> int | float:
    if isinstance(raw, str):
        raw, sign = split_currency(raw, reading.currency)
        refuse_other_money(sign, reading.currency)
    return _number(raw, column, reading)


def _not_boolean(raw: Any) -> Any:
    if isinstance(raw, bool):
        raise BadCell("boolean", f"the cell holds {str(raw).upper()}, not a date or time",
                      "Type the date or time")
    return raw


_READERS: dict[str, Callable[[Any, Column, Reading], Any]] = {
    "number": _number, "whole": _whole, "share": _share, "money": _money, "name": _name, "text": _text,
    "code": _code,
    "date": lambda raw, column, reading: read_date(_not_boolean(raw), reading.epoch, reading.from_workbook),
    "moment": lambda raw, column, reading: read_moment(_not_boolean(raw), reading.epoch,
                                                       reading.from_workbook),
    "time": lambda raw, column, reading: read_time(_not_boolean(raw), reading.from_workbook),
}


def _refuse_limits(value: Any, column: Column) -> None:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return
    if column.minimum is not None and value < column.minimum:
        raise BadCell("below-minimum", f"{value:g} is less than {column.minimum:g}",
                      f"Type {column.minimum:g} or more")
    if column.maximum is not None and value > column.maximum:
        raise BadCell("above-maximum", f"{value:g} is more than {column.maximum:g}",
                      f"Type {column.maximum:g} or less")


def _doubts(raw: Any, value: Any, column: Column) -> list[Remark]:
    form = quantity(column.quantity).form
    if form in ("name", "text") and isinstance(value, str) and value.startswith(tuple(FORMULA_STARTS)):
        message = f"{brief(value)!r} begins like a formula; it is kept as text"
        return [Remark("looks-like-formula", message, f"Begin with something other than {value[0]}", WARNING)]
    if form in ("name", "text") and isinstance(value, str) and not value.isascii() and is_garbled(value):
        mended = mended_letters(value)
        fix = f"Did you mean {mended!r}?" if mended else "Type it again; its letters are lost"
        return [Remark("garbled-text", f"{brief(value)!r} was saved in one encoding and opened in another",
                       fix, WARNING)]
    if form == "date" and has_time(raw):
        return [Remark("date-with-time", f"the time of day in {raw!s} is dropped",
                       "Type the date alone", WARNING)]
    return []
