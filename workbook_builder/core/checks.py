"""Checks made of every pass: where each stands, so that they can be listed, counted and explained."""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.core.columns import OK
from workbook_builder.core.short import worst_status


@dataclass(frozen=True)
class CheckKind:
    """One check made of every pass: where its status and finding stand.

    Parameters
    ----------
    name : str
        Printed name.
    table : str
        Table that holds the check.
    status, finding : str
        Columns of that table.
    of : str
        Table that says in ``parent_no`` which pass each line belongs to,
        where the check is made line by line and the worst one counts.
    rank : int
        Place among the checks of a pass: what the law asks first.
    """

    name: str
    table: str
    status: str
    finding: str
    of: str = ""
    rank: int = 0

    @property
    def status_formula(self) -> str:
        """Formula of the status for one pass."""
        if self.of:
            return worst_status(f"{{{self.of}.parent_no:all}},{{parent_no}},"
                                f"{{{self.table}.{self.status}:all}}")
        return f"{{{self.table}.{self.status}}}"

    @property
    def finding_formula(self) -> str:
        """Formula of the finding for one pass."""
        if self.of:
            first = (f"_xlfn.MINIFS({{{self.of}.row_no:all}},{{{self.of}.parent_no:all}},{{parent_no}},"
                     f"{{{self.table}.{self.status}:all}},{{status}})")
            return (f'IF(OR({{status}}="",{{status}}="{OK}"),"",INDEX({{{self.table}.{self.finding}:all}},'
                    f'{first}))')
        return f"{{{self.table}.{self.finding}}}"
