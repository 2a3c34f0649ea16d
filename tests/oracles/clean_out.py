"""Rinsing a tank."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from small_farm import first, small_plan

from oracles.registry import computes
from workbook_builder.features.clean_out.definitions import (
    SMALL_RINSES,
    container_rinse,
    residue_share,
    rinses_exactly,
    rinses_needed,
)

Given = Mapping[str, Any]


@computes(r"mixing-R1[12]-.*", "clean_out.definitions.residue_share")
def successive_rinses(given: Given, expected: Given) -> Given:
    """Return what part of the mix some rinses leave."""
    return {"residue_share": residue_share(given["left_gal"], given["water_per_rinse_gal"],
                                           int(given["rinses"]))}


@computes(r"mixing-R14-.*", "clean_out.definitions.rinses_exactly, rinses_needed")
def rinses(given: Given, expected: Given) -> Given:
    """Return how many rinses a dilution needs."""
    ratio, dilution = given["water_to_left_ratio"], given["residue_divided_by"]
    return {"rinses": rinses_needed(ratio, dilution), "rinses_exact": rinses_exactly(ratio, dilution)}


@computes("mixing-R1-tank", "plan: tank_rinses")
def water_of_a_rinse(given: Given, expected: Given) -> Given:
    """Return the water of one rinse where none is typed, and how many small rinses one big one is set
    against.
    """
    row = first(small_plan(), "tank_rinses")
    return {"percent_of_tank": 100 * row["water"] / row["volume"], "rinses": SMALL_RINSES}


@computes("mixing-R9", "setting: clean_dilution")
def sensitive_crop(given: Given, expected: Given) -> Given:
    """Return the dilution wanted before a sensitive crop."""
    return {"label_rate_divided_by": small_plan().tables["agronomy_settings"][0]["clean_dilution"]}


@computes(r"mixing-R4-(small|large)", "clean_out.definitions.container_rinse")
def water_of_a_container(given: Given, expected: Given) -> Given:
    """Return the water of each rinse as a share of an empty container, just under a size or from it on."""
    holds = (given["container_gal_from"] if "container_gal_from" in given
             else given["container_gal_below"] - 0.001)
    return {"rinse_share": container_rinse("liquid", 1.0, holds, 5.0, 55.0)}
