"""Which passes to print."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from workbook_builder.check.problems import suggestion
from workbook_builder.core.draft import serial
from workbook_builder.core.room import folded
from workbook_builder.planning import Plan


class NothingToPrint(ValueError):
    """The choice fits no pass; the text says which part and what would fit."""


@dataclass(frozen=True)
class Choice:
    """A choice of passes; a part left blank leaves all in."""

    #: Compared without regard to case
    pass_name: str = ""
    field: str = ""
    load: int | None = None  # Number of the load, from 1
    #: Planned dates, both included
    first_day: dt.date | None = None
    last_day: dt.date | None = None
    even: bool = False  # Even loads in place of full ones and a last one
    jar: bool = False  # The jar test of each mix too
    printed: str = ""  # When it is printed, as it stands on the sheets; blank leaves it out

    def rows(self, plan: Plan) -> list[int]:
        """Return the rows of the chosen passes, counted from 0, in sheet order.

        Raises
        ------
        NothingToPrint
            When no pass fits.
        """
        passes = plan.tables["passes"]
        rows = [n for n, row in enumerate(passes) if row["pass"] != "" and row["field"] != ""]
        for key, wanted in (("pass", self.pass_name), ("field", self.field)):
            if wanted:
                names = list(dict.fromkeys(str(passes[n][key]) for n in rows))
                rows = [n for n in rows if folded(passes[n][key]) == folded(wanted)]
                if not rows:
                    raise NothingToPrint(f"there is no {key} {wanted!r} to print. "
                                         f"{suggestion(wanted, names)}")
        if self.first_day or self.last_day:
            first, last = serial(self.first_day), serial(self.last_day)
            days = {n: passes[n]["date"] for n in rows if isinstance(passes[n]["date"], (int, float))}
            rows = [n for n, day in days.items() if (first == "" or day >= first)
                    and (last == "" or day <= last)]
        if not rows:
            raise NothingToPrint("no pass is planned between these dates" if self.first_day or self.last_day
                                 else "the plan has no passes")
        return rows

    def loads(self, plan: Plan, row: int) -> list[int]:
        """Return the chosen loads of one pass, from 1; none when loads cannot be worked out."""
        loads = plan.tables["pass_volumes"][row]["loads"]
        every = list(range(1, int(loads) + 1)) if loads != "" else []
        return every if self.load is None else [load for load in every if load == self.load]
