"""The declared column: the one record everything else follows from.

A column says what a number is called, what it measures, where it comes from and,
when it is calculated, the formula the workbook uses.  The header with its unit, the
number format, the drop-down, the input message, the documentation row and the test
case are all derived from it.
"""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from workbook_builder.core.quantities import US, quantity
from workbook_builder.core.units import factor, tidy

INPUT = "input"
SETTING = "setting"
FIXED = "fixed"
WORKING = "working"
RESULT = "result"
CHECK = "check"

OK = "OK"
LOOK = "Review"
NOT_ALLOWED = "Not allowed"
NOT_ENTERED = "Not entered"
#: Open statuses, worst first: the order of every list of points to fix.
OPEN_STATUSES = (NOT_ALLOWED, NOT_ENTERED, LOOK)
#: Headers of slot numbers that people read; all others are folded away.
SHOWN_NUMBERS = ("Order", "No.")
STATUSES = (OK, LOOK, NOT_ALLOWED, NOT_ENTERED)


#: Short for the cell of a column in a row whose number another column holds.
_FETCH = re.compile(r"\{([a-z_0-9.]+)(:[a-z]+)?@([a-z_0-9.]+)\}")


def spelled_out(text: str) -> str:
    """Return a formula with every short form of a cell of another row spelled out."""
    return _FETCH.sub(lambda found: f"INDEX({{{found[1]}{found[2] or ':all'}}},{{{found[3]}}})", text)


@dataclass(frozen=True)
class InUs:
    """A default given in US units; a metric farm has the same amount, converted by the column's quantity."""

    value: float


def same_amount(value: float, kind: str, system: str) -> float:
    """Return an amount given in US units in the unit of one system.

    Parameters
    ----------
    value : float
    kind : str
        Name of a quantity kind that has a unit in both systems.
    system : str
        ``us`` or ``metric``.
    """
    unit = quantity(kind)
    return value if system == US else tidy(value * factor(unit.us, unit.metric))


@dataclass(frozen=True)
class Column:
    """One declared column (or one cell of a form).

    Parameters
    ----------
    key : str
        Snake-case name; also the field of the plan and the anchor in the docs.
    header : str
        Printed title without its unit.
    quantity : str
        Name of a quantity kind in :mod:`workbook_builder.core.quantities`.
    role : str
        `INPUT`, `SETTING`, `FIXED`, `WORKING`, `RESULT` or `CHECK`.
    formula : str or tuple of str
        Formula text with ``{tokens}`` (see :mod:`workbook_builder.core.formulas`); blank for
        inputs.  A tuple gives one formula per slot of a table with slots.
    needs : str
        Columns, told as tokens without braces, of which none may be blank: where one is, so is the
        cell.  Stated once, it opens the formula and guards the twin.
    twin : callable or tuple of (callable or None), optional
        One, or one per slot where the formula is a tuple.  The second witness,
        written apart from the formula: takes the plain values of the cells it
        names (blank ones as ``""``, columns as lists, dates as day numbers) and returns the value.
        Without one the value is worked out from the formula, which is right for what only fetches,
        copies, counts and words.
    takes : str or tuple of str
        Tokens whose values the twin takes, in order; its parameters' names when left out.
    required : bool
        For inputs: may not be blank.
    choices : str or tuple of str
        For inputs: ``"table.column"`` for a drop-down from a range, or the words themselves.
    suggest_only : bool
        The drop-down helps but other text is accepted.
    several : bool
        A cell may name several of the names at once, which the drop-down does not offer.
    minimum, maximum : float, optional
        Inclusive limits of an input in the farm's units.
    digits : int, optional
        Digits shown, where the quantity kind's own do not fit.
    tolerance : float
        Relative difference allowed between the two witnesses.
    note, source : str
        What the reader should know; where the method comes from.
    width : float, optional
        Column width in characters, where the one derived does not fit.
    given : tuple
        For fixed columns: what the rows or slots hold, one after the other and over again.
    was : tuple of str
        Earlier titles of the column, which readers still accept.
    also : tuple of (str, str)
        Other spellings and earlier words of the choices, each with the word of today it is read as.
    """

    key: str
    header: str
    quantity: str = "text"
    role: str = INPUT
    formula: str | tuple[str, ...] = ""
    needs: str = ""
    twin: Callable[..., Any] | tuple[Callable[..., Any] | None, ...] | None = None
    takes: str | tuple[str, ...] = ""
    required: bool = False
    choices: str | tuple[str, ...] = ""
    suggest_only: bool = False
    several: bool = False
    minimum: float | None = None
    maximum: float | None = None
    digits: int | None = None
    tolerance: float = 1e-7
    note: str = ""
    source: str = ""
    width: float | None = None
    default: object = None
    given: tuple[object, ...] = ()
    was: tuple[str, ...] = ()
    also: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        blank = [f'{{{token}}}=""' for token in self.needs.split()]
        guard = f'IF(OR({",".join(blank)}),"",' if len(blank) > 1 else f'IF({"".join(blank)},"",'
        # A column made from another by dataclasses.replace is guarded already.
        whole = tuple(spelled_out(text if not blank or not text or text.startswith(spelled_out(guard))
                                  else f"{guard}{text})") for text in self.formulas)
        object.__setattr__(self, "formula", whole if isinstance(self.formula, tuple) else "".join(whole))
        if callable(self.twin) and not self.takes:
            object.__setattr__(self, "takes", " ".join(inspect.signature(self.twin).parameters))

    @property
    def formulas(self) -> tuple[str, ...]:
        """The formula, or one a slot; none for what is typed."""
        if isinstance(self.formula, tuple):
            return self.formula
        return (self.formula,) if self.formula else ()

    def __getstate__(self) -> dict[str, Any]:
        """Return the declaration without its twin: what goes to another process is a plan already made."""
        return {**self.__dict__, "twin": None}

    def header_in(self, system: str) -> str:
        """Return the header in one unit system: only one that names the unit of area differs."""
        return (self.header.replace("Acres", "Hectares") if self.quantity == "area" and system == "metric"
                else self.header)

    @property
    def typed(self) -> bool:
        """Whether a person types this cell."""
        return self.role in (INPUT, SETTING)

    def default_in(self, system: str) -> object:
        """Return the default in one unit system: the same money, length or speed in both."""
        return (same_amount(self.default.value, self.quantity, system) if isinstance(self.default, InUs)
                else self.default)

    @property
    def calculated(self) -> bool:
        """Whether the workbook calculates this cell by a formula."""
        return bool(self.formula)

    @property
    def folded(self) -> bool:
        """Whether the column is of use to formulas alone, and is folded away on the sheets people read."""
        numbers = (self.key in ("row_no", "check_no", "parent_no")
                   or (self.key == "slot" and self.header not in SHOWN_NUMBERS))
        return self.role == WORKING or (self.role == FIXED and numbers)


#: Every table with slots carries the number of the row its slots belong to: formulas fetch
#: from that row by INDEX, so that they read the same down the whole column.
PARENT_NUMBER = Column("parent_no", "Belongs to row", "index", FIXED)


@dataclass(frozen=True)
class Table:
    """A declared table: a grid of rows, or a form of single cells.

    Parameters
    ----------
    key, title : str
        Name in files and in JSON; printed name.
    about : str
        One sentence on what the table holds.
    columns : tuple of Column
    rows : str
        Where the rows come from: ``"typed"`` (rows people type, with spare ones),
        ``"given"`` (reference rows shipped or derived at build time),
        ``"form"`` (single cells), ``"as:T"`` (one row beside each row of T),
        ``"under:T:S"`` (S slots under each row of T), ``"of:T:S"`` (S rows in all, of which each says in
        ``parent_no`` which row of T it belongs to) or ``"list:S"`` (S rows).
    kind : str
        ``"input"``, ``"setting"``, ``"result"``, ``"working"`` or ``"reference"``.
    sheet : str
        Title of the sheet it stands on where no tab shows it, and in a workbook to type into;
        several tables may share one.
    caution : str
        Sentence printed under the table's description.
    shows : str
        Key of the table whose filled rows this one lists for people, or blank.
    was : tuple of str
        Earlier titles of the table or of its sheet, which readers still accept.
    whole : callable, optional
        The second witness of columns that can't be told one by one: takes the plan as far as it is
        made and returns the rows of the table.
    gives : str
        Keys of the columns `whole` gives; all with a formula and no twin when left out.
    """

    key: str
    title: str
    about: str
    columns: tuple[Column, ...]
    rows: str = "typed"
    kind: str = "input"
    sheet: str = ""
    caution: str = ""
    named: bool = False
    shows: str = ""
    was: tuple[str, ...] = ()
    whole: Callable[[Any], list[Any]] | None = None
    gives: str = ""
    by_key: dict[str, Column] = field(init=False, repr=False, compare=False, default_factory=dict)

    def __post_init__(self) -> None:
        if self.rows.startswith("under:") and PARENT_NUMBER not in self.columns:
            object.__setattr__(self, "columns", (*self.columns, PARENT_NUMBER))
        self.by_key.update((column.key, column) for column in self.columns)
        if len(self.by_key) != len(self.columns):
            raise ValueError(f"table {self.key} declares a column twice")

    def __getstate__(self) -> dict[str, Any]:
        """Return the declaration without its function, as a column does without its twin."""
        return {**self.__dict__, "whole": None}

    @cached_property
    def given_whole(self) -> frozenset[str]:
        """Keys of the columns with a formula that `whole` gives."""
        given = (self.gives.split() if self.gives
                 else (column.key for column in self.columns if column.formula and not column.twin))
        return frozenset(given if self.whole else ())

    @property
    def is_form(self) -> bool:
        """Whether the table is a form: one cell per declared column."""
        return self.rows == "form"

    @property
    def is_typed(self) -> bool:
        """Whether people type into the table."""
        return self.kind in ("input", "setting")

    @property
    def sheet_title(self) -> str:
        """Title of the sheet the table stands on."""
        return self.sheet or self.title

    @property
    def file_name(self) -> str:
        """Name of the table as a CSV file, which is that of its tab."""
        return self.title.lower().replace("-", "_").replace(" ", "_") + ".csv"

    @property
    def parent(self) -> str:
        """Key of the table whose rows this table stands beside or under or belongs to, or blank."""
        return self.rows.split(":")[1] if self.rows.startswith(("as:", "under:", "of:")) else ""

    @property
    def slot_kind(self) -> str:
        """Name of the slot count of an ``under:``, ``of:`` or ``list:`` table, or blank."""
        if self.rows.startswith(("under:", "of:")):
            return self.rows.split(":")[2]
        return self.rows.split(":")[1] if self.rows.startswith("list:") else ""
