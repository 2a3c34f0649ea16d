"""Hours in which bees forage, and residues that outlast the night."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from oracles.registry import computes
from workbook_builder.features.pollinators.definitions import foraging, next_flight, residue_left

Given = Mapping[str, Any]


@computes(r"others-OA108-.*", "pollinators.definitions.residue_left")
def residue(given: Given, expected: Given) -> Given:
    """Return whether residues of an evening spray still hurt when bees fly again."""
    end = given["end"] / 24
    return {"left": residue_left(given["hours"], 1, end + given["hours"] / 24,
                                 next_flight(end, given["fly"] / 24))}


@computes(r"others-OA111-.*", "pollinators.definitions.foraging")
def hours(given: Given, expected: Given) -> Given:
    """Return whether bees forage at an hour of a day from 6 to 20."""
    return {"forage": foraging(given["start"] / 24, 1, (given["start"] + 1) / 24, 6 / 24, 20 / 24,
                               given["air"], given["cold"])}
