"""The spreadsheet functions that look up, count, choose and word: what holds a workbook together.

What is arithmetic of the trade is not here: a column that takes a root, an angle or a
distribution has a Python function of its own, written beside its formula.
"""

from __future__ import annotations

import calendar
import datetime as dt
import math
import re
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any

from workbook_builder.core.rounding import rounded
from workbook_builder.core.values import (
    DIVIDED,
    NOT_FOUND,
    NUMBER,
    OUT_OF_RANGE,
    VALUE,
    CellError,
    Cells,
    One,
    Upto,
    above,
    as_number,
    at_least,
    at_most,
    below,
    is_number,
    looked_up,
    number,
    plain,
    text,
    truth,
)

_EPOCH = dt.date(1899, 12, 30).toordinal()
_WILD = re.compile(r"[*?~]")
_CRITERION = re.compile(r"(<>|<=|>=|=|<|>)?(.*)\Z", re.DOTALL)
_WHOLE = frozenset((int,))
#: Criteria that are kept ready: those of a farm are few and asked for in row after row.
KEPT_CRITERIA = 4096
#: Shorter columns are looked through as quickly as an index is made.
_SHORT = 12
_ORDERS = {"<": below, ">": above, "<=": at_most, ">=": at_least}
Test = Callable[[Any], bool]


def _numbers(arguments: Sequence[Any]) -> list[float]:
    """Return the numbers of ranges and cells, passing over their texts.

    A text handed over by itself is an error.
    """
    found: list[float] = []
    for each in arguments:
        if isinstance(each, list):
            found += [value for value in each if type(value) is float or type(value) is int]
        elif type(each) is not One:
            found.append(number(each))
        elif is_number(each.value):
            found.append(each.value)
    return found


def _total(values: Sequence[float]) -> float:
    """Return a sum; whole numbers add up to a whole number."""
    return sum(values) if _WHOLE.issuperset(map(type, values)) else math.fsum(values)


def _text_test(words: str) -> Test:
    if words == "":
        return lambda value: value is None or value == ""
    if _WILD.search(words):
        # The wildcards * and ?, and ~ before one that is meant.
        pattern = re.compile(re.sub(
            "~(.)|(.)", lambda sign: {"*": ".*", "?": "."}.get(sign[2], re.escape(sign[1] or sign[2])),
            words.casefold(), flags=re.DOTALL), re.DOTALL)
        return lambda value: type(value) is str and pattern.fullmatch(value.casefold()) is not None
    folded = words.casefold()
    return lambda value: type(value) is str and value.casefold() == folded


@lru_cache(KEPT_CRITERIA, typed=True)
def criterion(wanted: Any) -> Test:
    """Return the test of one cell that a criterion of COUNTIF and its kin stands for.

    Parameters
    ----------
    wanted : object
        A number, or a text that may begin with a comparison and hold wildcards; blank counts as 0.
    """
    sign, value = "=", 0 if wanted is None else wanted
    if type(wanted) is str:
        match = _CRITERION.match(wanted)
        assert match is not None
        sign, value = match[1] or "=", match[2]
        if match[1] and value == "":
            return (lambda cell: cell is None) if sign == "=" else lambda cell: cell is not None
        found = as_number(value) if value else None
        value = value if found is None else found
    if sign in ("=", "<>"):
        hit: Test = _text_test(value) if type(value) is str else (
            lambda cell: cell == value if is_number(cell)
            else type(cell) is str and cell != "" and as_number(cell) == value)
        return hit if sign == "=" else lambda cell: not hit(cell)
    order = _ORDERS[sign]
    if type(value) is str:
        return lambda cell: type(cell) is str and order(cell, value)
    return lambda cell: is_number(cell) and order(cell, value)


def _kept(column: list[Any]) -> bool:
    """Whether a column is finished and long enough for an index to pay."""
    return type(column) is Cells and column.finished and len(column) > _SHORT


def _index(column: Cells) -> dict[Any, list[int]]:
    if column.places is None:
        column.places = defaultdict(list)
        for place, value in enumerate(column):
            if value is not None and value != "":
                column.places[looked_up(value)].append(place)
                digits = as_number(value) if type(value) is str else None
                if digits is not None:
                    column.places[digits].append(place)
    return column.places


def places(column: Any, wanted: Any) -> Sequence[int]:
    """Return where a column meets a criterion, counted from 0.

    Equal values are found by an index kept with the column.
    """
    if _as_it_is(wanted):
        if _kept(column):
            return _index(column).get(looked_up(wanted), ())
        if type(column) is Upto and _kept(column.column):
            found = _index(column.column).get(looked_up(wanted), [])
            return found[: bisect_left(found, column.rows)]
    hit = criterion(wanted)
    return [place for place, value in enumerate(column) if hit(value)]


@lru_cache(KEPT_CRITERIA, typed=True)
def _as_it_is(wanted: Any) -> bool:
    """Whether a criterion asks for one value, so that an index finds it."""
    return is_number(wanted) or (
        type(wanted) is str and wanted != "" and wanted[0] not in "<>=" and not _WILD.search(wanted)
        and as_number(wanted) is None
    )


def _where(pairs: Sequence[Any]) -> Sequence[int]:
    """Return where columns meet their criteria, all of them; one that an index finds is asked first."""
    if len(pairs) == 2:
        return places(pairs[0], plain(pairs[1]))
    asked = [(column, plain(wanted)) for column, wanted in zip(pairs[::2], pairs[1::2], strict=True)]
    asked.sort(key=lambda pair: not _as_it_is(pair[1]))
    found = places(*asked[0])
    for column, wanted in asked[1:]:
        if not found:
            break
        hit = criterion(wanted)
        found = [place for place in found if hit(column[place])]
    return found


def match(wanted: Any, column: Cells, how: float = 1) -> int:
    """Return the place of a value in a column, counted from 1.

    With `how` 1 that of the last one not after it.
    """
    wanted = plain(wanted)
    if how == 0:
        return _exactly(wanted, column)
    best = 0
    for place, value in enumerate(column, 1):
        if value is None or (type(value) is str) != (type(wanted) is str):
            continue
        if not at_most(value, wanted):
            break
        best = place
    if not best:
        raise CellError(NOT_FOUND)
    return best


def _exactly(wanted: Any, column: Cells) -> int:
    if wanted is None:
        raise CellError(NOT_FOUND)
    if type(wanted) is str and _WILD.search(wanted):
        hit = criterion(f"={wanted}")
        found = next((place for place, value in enumerate(column) if hit(value)), None)
    elif _kept(column):
        if column.first is None:
            column.first = {}
            for place, value in enumerate(column):
                if value is not None:
                    column.first.setdefault(looked_up(value), place)
        found = column.first.get(looked_up(wanted))
    else:
        key = looked_up(wanted)
        found = next((place for place, value in enumerate(column) if value is not None and looked_up(value)
                      == key), None)
    if found is None:
        raise CellError(NOT_FOUND)
    return found + 1


def index(column: Cells, place: Any) -> Any:
    """Return the cell at a place counted from 1."""
    at = int(number(plain(place)))
    if not 1 <= at <= len(column):
        raise CellError(OUT_OF_RANGE)
    return column[at - 1]


def _sum_if(column: Cells, wanted: Any, values: Cells | None = None) -> float:
    values = column if values is None else values
    return _total([values[place] for place in places(column, plain(wanted)) if is_number(values[place])])


def _those(values: Cells, pairs: Sequence[Any]) -> list[float]:
    return [values[place] for place in _where(pairs) if is_number(values[place])]


def _by_size(column: Cells) -> list[float]:
    """Return the numbers of a column by size, kept with it once it is finished."""
    kept = type(column) is Cells and column.finished
    values = column.ranked if kept and column.ranked is not None else sorted(_numbers([column]))
    if kept:
        column.ranked = values
    return values


def _count_if(column: Cells, wanted: Any) -> int:
    """Count the cells that meet a criterion; smaller and larger numbers are counted by halving, since many
    rows ask it of one column.
    """
    match = _CRITERION.match(wanted) if type(wanted) is str and _kept(column) else None
    bound = as_number(match[2]) if match and match[1] in _ORDERS and match[2] else None
    if match is None or bound is None:
        return len(places(column, wanted))
    values, order = _by_size(column), _ORDERS[match[1]]
    if match[1][0] == "<":
        return bisect_left(values, True, key=lambda value: not order(value, bound))
    return len(values) - bisect_left(values, True, key=lambda value: order(value, bound))


def _ranked(column: Cells, place: Any, largest: bool) -> float:
    at, values = int(number(plain(place))), _by_size(column)
    if not 1 <= at <= len(values):
        raise CellError(NUMBER)
    return values[-at] if largest else values[at - 1]


def _average(*arguments: Any) -> float:
    values = _numbers(arguments)
    if not values:
        raise CellError(DIVIDED)
    return math.fsum(values) / len(values)


def day_of(value: Any) -> dt.date:
    """Return the day of a serial number."""
    serial = math.floor(number(plain(value)))
    if serial < 0:
        raise CellError(NUMBER)
    return dt.date.fromordinal(serial + _EPOCH)


def _date(year: Any, month: Any, day: Any) -> int:
    years, months = divmod(int(number(plain(year))) * 12 + int(number(plain(month))) - 1, 12)
    return dt.date(years, months + 1, 1).toordinal() - _EPOCH + int(number(plain(day))) - 1


def _months_on(value: Any, months: Any) -> int:
    day = day_of(value)
    year, month = divmod(day.year * 12 + day.month - 1 + int(number(plain(months))), 12)
    return dt.date(year, month + 1,
                   min(day.day, calendar.monthrange(year, month + 1)[1])).toordinal() - _EPOCH


def _substitute(words: Any, old: Any, new: Any, nth: Any = None) -> str:
    whole, part, other = text(plain(words)), text(plain(old)), text(plain(new))
    if nth is None or not part:
        return whole.replace(part, other) if part else whole
    at = -len(part)
    for _ in range(int(number(plain(nth)))):
        at = whole.find(part, at + len(part))
        if at < 0:
            return whole
    return whole[:at] + other + whole[at + len(part) :]


def _find(part: Any, words: Any, start: Any = 1) -> int:
    at = text(plain(words)).find(text(plain(part)), int(number(plain(start))) - 1)
    if at < 0:
        raise CellError(VALUE)
    return at + 1


def _middle(words: Any, start: Any, length: Any) -> str:
    at, long = int(number(plain(start))), int(number(plain(length)))
    if at < 1 or long < 0:
        raise CellError(VALUE)
    return text(plain(words))[at - 1 : at - 1 + long]


def _right(words: Any, length: Any = 1) -> str:
    whole, long = text(plain(words)), int(number(plain(length)))
    return whole[max(0, len(whole) - long) :] if long > 0 else ""


def _modulo(value: Any, by: Any) -> float:
    amount, step = number(plain(value)), number(plain(by))
    if step == 0:
        raise CellError(DIVIDED)
    return amount - step * math.floor(amount / step)


def _rounded_up(value: Any, digits: Any) -> float:
    amount, scale = number(plain(value)), 10 ** int(number(plain(digits)))
    return math.copysign(math.ceil(abs(amount) * scale) / scale, amount)


def each(operation: Callable[..., Any], *operands: Any) -> Cells:
    """Return an operation on every row of columns, as SUMPRODUCT has it done."""
    rows = max(len(operand) for operand in operands if isinstance(operand, list))
    return Cells(operation(*(operand[row] if isinstance(operand, list) else operand for operand in operands))
                 for row in range(rows))


#: Name in a formula -> the function.  IF, AND, OR, IFERROR, ISNUMBER and CHOOSE are turned into Python
#: itself.
FUNCTIONS: dict[str, Callable[..., Any]] = {
    "SUM": lambda *arguments: _total(_numbers(arguments)),
    "SUMIF": _sum_if,
    "SUMIFS": lambda values, *pairs: _total(_those(values, pairs)),
    "COUNTIF": lambda column, wanted: _count_if(column, plain(wanted)),
    "COUNTIFS": lambda *pairs: len(_where(pairs)),
    "MINIFS": lambda values, *pairs: min(_those(values, pairs), default=0),
    "MAXIFS": lambda values, *pairs: max(_those(values, pairs), default=0),
    "MAX": lambda *arguments: max(_numbers(arguments), default=0),
    "MIN": lambda *arguments: min(_numbers(arguments), default=0),
    "COUNT": lambda *arguments: sum([sum(map(is_number, each)) if isinstance(each, list)
                                     else is_number(plain(each)) for each in arguments]),
    "COUNTA": lambda *arguments: sum(value is not None for each in arguments
                                     for value in (each if isinstance(each, list) else [plain(each)])),
    "AVERAGE": _average,
    "SMALL": lambda column, place: _ranked(column, place, largest=False),
    "LARGE": lambda column, place: _ranked(column, place, largest=True),
    "MATCH": match,
    "INDEX": index,
    "DATE": _date,
    "EDATE": _months_on,
    "WEEKDAY": lambda value, how=1: (day_of(value).isoweekday() if how == 2
                                     else day_of(value).isoweekday() % 7 + 1),
    "YEAR": lambda value: day_of(value).year,
    "MONTH": lambda value: day_of(value).month,
    "DAY": lambda value: day_of(value).day,
    "SUBSTITUTE": _substitute,
    "FIND": _find,
    "TRIM": lambda words: " ".join(part for part in text(plain(words)).split(" ") if part),
    "MID": _middle,
    "LEFT": lambda words, length=1: text(plain(words))[: int(number(plain(length)))],
    "RIGHT": _right,
    "REPT": lambda words, times: text(plain(words)) * int(number(plain(times))),
    "LEN": lambda words: len(text(plain(words))),
    "ROUND": lambda value, digits: rounded(number(plain(value)), int(number(plain(digits)))),
    "ROUNDUP": _rounded_up,
    "INT": lambda value: math.floor(number(plain(value))),
    "ABS": lambda value: abs(number(plain(value))),
    "MOD": _modulo,
    "SUMPRODUCT": lambda *vectors: math.fsum(
        math.prod(number(value) if type(value) is not str else 0 for value in row)
        for row in zip(*vectors, strict=True)),
    "NOT": lambda value: not truth(plain(value)),
}
#: Functions that pass over the text of a cell handed to them.
PASS_OVER_TEXTS = {"SUM", "MAX", "MIN", "COUNT", "COUNTA", "AVERAGE"}
