"""The unit that a header names in brackets, held against the unit of its column: the same, converted,
or a problem.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from workbook_builder.check.problems import WARNING
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.quantities import SYSTEMS, Quantity, quantity
from workbook_builder.read.cells import Reading, Remark
from workbook_builder.read.headers import plain, split_unit
from workbook_builder.read.numbers import same_money
from workbook_builder.read.unit_words import Conversion, conversion, unit_readings

#: Own label -> what else measures the same: water weighs one kilogram a liter.
_ALSO: Mapping[str, tuple[str, ...]] = {"ppm": ("mg/L",)}
_CLOCK = re.compile(r"[dmyhsap:./\-, ]*|24 ?h|local", re.IGNORECASE)
#: What a sign or code of a currency looks like.
_MONEY = re.compile(r"[A-Z]{3}|[A-Z]{0,2}[^\w\s]", re.ASCII)
#: Remarks in brackets that name no unit.
_NO_UNIT = ("optional", "required")


def readings_of(table: Table, seen: Mapping[str, str],
                reading: Reading) -> tuple[dict[str, Reading], list[tuple[str, Remark]]]:
    """Return how to read each column, given the unit its header counts in, and what is to be said of headers.

    Parameters
    ----------
    table : Table
    seen : mapping of str to str
        Column key -> header as written.
    reading : Reading

    Returns
    -------
    (readings, remarks) : tuple
        Readings by column key; remarks with the header they are about.
    """
    found = {column.key: reading for column in table.columns}
    remarks: list[tuple[str, Remark]] = []
    for key, text in seen.items():
        column = table.by_key[key]
        unit, contradiction = unit_of(text, column)
        converted, said = ((None, [contradiction]) if contradiction
                           else unit_remarks(unit, column, table, reading))
        remarks += [(text, remark) for remark in said]
        if converted is not None:
            found[key] = replace(reading, conversion=converted)
    return found, remarks


def unit_of(text: str, column: Column) -> tuple[str, Remark | None]:
    """Return the unit that a header names, in brackets or by a title that differs between systems,
    and whether both disagree.
    """
    if plain(text) == plain(column.header):
        # A title that was declared with brackets holds no unit in them.
        return _unit_of_title(text, column), None
    title, unit = split_unit(text)
    said = _unit_of_title(title, column)
    same = conversion(unit, said) if unit and said else None
    if unit and said and (same is None or not same.changes_nothing) and unit.casefold() not in _NO_UNIT:
        return (unit, Remark("unit-mismatch", f"the title counts in {said} and the brackets in {unit}",
                             "Let both say the same"))
    return unit or said, None


def _unit_of_title(title: str, column: Column) -> str:
    """Return the unit of a title such as Hectares, blank where both systems have one title."""
    titles = {plain(column.header_in(system)): quantity(column.quantity).unit(system) for system in SYSTEMS}
    return titles.get(plain(title), "") if len(titles) > 1 else ""


def unit_remarks(unit: str, column: Column, table: Table,
                 reading: Reading) -> tuple[Conversion | None, list[Remark]]:
    """Return how numbers in a unit become numbers of the column, and what is to be said of the unit.

    Parameters
    ----------
    unit : str
        As written in a header, or beside a value; blank when there is none.
    column : Column
    table : Table
        The column's table.
    reading : Reading
    """
    kind = quantity(column.quantity)
    own = kind.unit(reading.system, reading.currency)
    if " per " in column.header and "/" in own and "/" not in unit and " per " not in unit:
        # Fuel per hour (gal): the title says the rest.
        unit = unit and f"{unit}/{own.partition('/')[2]}"
    # Numbers of a share count in 1, whatever its cells show.
    is_own = _letters(unit) == _letters(own) and kind.form != "share"
    if not unit or is_own or unit.casefold() in _NO_UNIT or kind.form in ("text", "name", "code"):
        return None, []
    if kind.form in ("date", "time", "moment"):
        return None, [] if _CLOCK.fullmatch(unit) else [_not_read(unit)]
    if kind.form == "money":
        return _of_money(unit, kind, reading)
    if not own:
        return None, _without_unit(unit, table)
    is_share = kind.form == "share"
    for target in ("dimensionless",) if is_share else (own, *_ALSO.get(own, ())):
        found = conversion(unit, target, column.quantity == "delta_t")
        if found is not None and found.changes_nothing:
            return None, []
        if found is not None:
            # Percent is how everybody writes a share.
            return (found, [] if is_share and abs(found.factor - 0.01) < 1e-12
                    else [_converted(unit, "shares of 1" if is_share else own, found)])
    fix = f"Give the numbers in {own}, and the header as ({own})"
    if unit_readings(unit):
        return (None, [Remark("unit-mismatch",
                              f"{unit} cannot be converted to {own}, in which the column counts", fix)])
    return (None,
            [Remark("unknown-unit",
                    f"{unit!r} in the header is no unit that is known; the column counts in {own}", fix)])


def names_unit(text: str, column: Column) -> bool:
    """Return whether a text beside a number reads like a unit, and not like a note."""
    kind = quantity(column.quantity)
    if kind.form != "money":
        return bool(kind.us and unit_readings(text))
    sign, _, per = text.partition("/")
    return bool(unit_readings(f"1/{per}") if per else _MONEY.fullmatch(sign.strip()))


def _letters(unit: str) -> str:
    return "".join(unit.split()).casefold()


def _converted(unit: str, own: str, found: Conversion) -> Remark:
    shown = 20 if found.offset else 1
    message = (f"the numbers are in {unit}, the plan counts in {own}; each of them is converted ({shown} "
               f"{unit} is {found(shown):.6g} {own})")
    return Remark("unit-converted", message, f"Nothing, if they are in {unit}; otherwise fix the header",
                  WARNING)


def _not_read(unit: str) -> Remark:
    return Remark("unknown-unit", f"({unit}) in the header is not read",
                  "Leave it out if the numbers mean the same without it", WARNING)


def _without_unit(unit: str, table: Table) -> list[Remark]:
    if not unit_readings(unit):
        return [_not_read(unit)]
    beside = next((column.header for column in table.columns if column.quantity == "unit_label"
                   or column.key == "interval_unit"), "")
    fix = (f"Give each row its unit in the column {beside}, and leave it out of the header" if beside
           else "Leave it out of the header")
    return [Remark("unit-mismatch",
                   f"the numbers of this column have no unit in their header, and it says {unit}", fix)]


def _of_money(unit: str, kind: Quantity, reading: Reading) -> tuple[Conversion | None, list[Remark]]:
    """Convert what the money is counted by; one currency is never converted to another."""
    own = kind.unit(reading.system, reading.currency)
    sign, _, per = (part.strip() for part in re.sub(r"(^|\s+)per\s+", "/", unit,
                                                    flags=re.IGNORECASE).partition("/"))
    own_per = own[len(reading.currency) :].lstrip("/")
    remarks = []
    if sign and not same_money(sign, reading.currency):
        if not (reading.from_workbook and unit in (kind.us, kind.metric)):
            message = (f"the header counts in {sign} and the farm in {reading.currency}, and no rate of "
                       f"exchange is known here")
            return (None, [Remark("currency-mismatch", message,
                                  f"Give the numbers in {reading.currency}, and the header as ({own})")])
        message = (f"headers of this workbook count money in {sign} and the farm in {reading.currency}; "
                   f"every amount is taken as {reading.currency}")
        remarks = [Remark("currency-assumed", message, "Build once: the new workbook has headers to match",
                          WARNING)]
    if _letters(per) == _letters(own_per):
        return None, remarks
    # A larger unit below the line makes the number smaller.
    found = conversion(f"1/{per}", f"1/{own_per}") if per and own_per else None
    if found is None:
        return (None,
                [Remark("unit-mismatch", f"{unit} cannot be converted to {own}, in which the column counts",
                        f"Give the numbers in {own}")])
    return (None, remarks) if found.changes_nothing else (found, [*remarks, _converted(unit, own, found)])
