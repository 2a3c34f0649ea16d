"""One load of one pass, worked out from a finished plan the way the mix sheet does."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from workbook_builder.core.draft import Cells
from workbook_builder.planning import Again, Plan


@dataclass(frozen=True)
class PlannedLoad:
    """One load: its own figures and its products in mixing order.

    Attributes
    ----------
    row : int
        Row of the pass, counted from 0.
    load : int
        Number of the load, from 1.
    sheet : Cells
        What the mix sheet shows of it (volume, area, water, first fill ...).
    lines : tuple of Cells
        One per product in mixing order; each also carries ``adding`` (the row of the adding
        order) and ``amounts`` (the row of the product amounts).
    """

    row: int
    load: int
    sheet: Cells
    lines: tuple[Cells, ...]

    @property
    def top_up(self) -> Any:
        """Water that follows the last product [volume]; blank where the room of a product is not known."""
        return "" if self.sheet["water"] == "" else self.sheet["water"] - self.sheet["first_fill"]

    @property
    def liquid(self) -> Any:
        """Room that the liquid products take in the tank [volume]; blank where it is not known."""
        return "" if self.sheet["water"] == "" else self.sheet["volume"] - self.sheet["water"]


class PlannedLoads:
    """The loads of a finished plan, worked out one by one the way the mix sheet does.

    Parameters
    ----------
    plan : Plan
    """

    def __init__(self, plan: Plan) -> None:
        self._plan, self._again = plan, Again(plan, "load_choice", ("load_sheet", "load_lines"))

    def load(self, row: int, load: int) -> PlannedLoad:
        """Work out one load.

        Parameters
        ----------
        row : int
            Row of the pass, counted from 0.
        load : int
            Number of the load, from 1.

        Raises
        ------
        ValueError
            When the pass has no such load.
        """
        plan, typed = self._plan, self._plan.tables["passes"][row]
        (sheet,), found = self._again(**{"pass": typed["pass"], "field": typed["field"], "load": load})
        if sheet["volume"] == "":
            raise ValueError(f"{typed['pass']} on {typed['field']} has no load {load}")
        lines = []
        for line in found:
            if line["product"] != "":
                line["adding"] = plan.tables["adding_order"][line["order_row"] - 1]
                line["amounts"] = plan.tables["mix_lines"][line["line_row"] - 1]
                lines.append(line)
        return PlannedLoad(row, load, sheet, tuple(lines))
