"""Rows of label figures found by a product (or ingredient) and a crop."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.draft import Cells, at, find, first_rows
from workbook_builder.features.labels.names import ANY


class Labels:
    """Rows of a table of label figures, found by the number of a product (or ingredient) and a crop.

    Parameters
    ----------
    facts : list of Cells
        Rows with their keys.
    """

    def __init__(self, facts: list[Cells]) -> None:
        self.facts = facts
        self.keys, self.families = (first_rows(facts, key) for key in ("key", "family_key"))
        self.others: dict[object, int] = {}
        for row, fact in enumerate(facts, 1):
            number, _, crops = fact["other_key"].partition(":")
            for crop in crops.split("|"):
                self.others.setdefault(f"{number}|{crop}", row)

    def match(self, number: object, crop: Cells, prefix: str = "crop") -> dict[str, Any]:
        """Return the row that names a crop, the one that nearly names it, and the row used.

        Parameters
        ----------
        number : int or ""
        crop : Cells
            Row that holds the crop's one name, wider crop and family; a crop called any is none that grows.
        prefix : str
            Start of their keys.
        """
        out: dict[str, Any] = {"named_row": "", "near_row": "", "found_row": ""}
        name, wider, family, group = (crop[f"{prefix}_{key}"] for key in ("name", "wider", "family", "group"))
        if number == "" or name in ("", ANY):
            return out
        named = find(self.keys, f"{number}|{name}")
        if named == "" and wider != "":
            named = find(self.keys, f"{number}|{wider}")
        out["named_row"] = named
        if named == "":
            near = (find(rows, f"{number}|{crops}") for crops in (family, group) if crops for rows in (self.families, self.others))
            out["near_row"] = next((row for row in near if row != ""), "")
        used = named if named != "" else out["near_row"]
        out["found_row"] = used if used != "" else find(self.keys, f"{number}|{ANY}")
        return out

    def strictest(self, matched: Cells | dict[str, Any], key: str) -> Any:
        """Return the strictest figure for the crop a row was found for; blank where no row was or none says it."""
        if matched["found_row"] == "":
            return ""
        prefix = "own" if matched["near_row"] == "" else "near"
        return at(self.facts, matched["found_row"], f"{prefix}_{key}")
