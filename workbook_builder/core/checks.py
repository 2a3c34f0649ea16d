"""Checks made of every pass: where each stands, so that they can be listed, counted and explained."""

from __future__ import annotations

from dataclasses import dataclass

from workbook_builder.core.short import finding_of, worst_status


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
    block : bool
        Whether the check is made per slot, so that the worst slot counts.
    rank : int
        Place among the checks of a pass: what the law asks first.
    """

    name: str
    table: str
    status: str
    finding: str
    block: bool = False
    rank: int = 0

    @property
    def status_formula(self) -> str:
        """Formula of the status for one pass."""
        if self.block:
            return worst_status(f"{{{self.table}.{self.status}:block}}")
        return f"{{{self.table}.{self.status}}}"

    @property
    def finding_formula(self) -> str:
        """Formula of the finding for one pass."""
        if self.block:
            return finding_of("{status}", f"{{{self.table}.{self.status}:block}}", f"{{{self.table}.{self.finding}:block}}")
        return f"{{{self.table}.{self.finding}}}"
