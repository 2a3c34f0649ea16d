"""Flow, pressure, sizes, catch test and droplet categories of nozzles."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from oracles.registry import computes
from workbook_builder import units
from workbook_builder.planning.nozzles import DROPLETS, SIZES, catch_course, catch_rate, flow_at, nozzle_flow, pressure_for

Given = Mapping[str, Any]


@computes("mixing-C2|mixing-C23", "planning.nozzles.nozzle_flow")
def flow_wanted(given: Given, expected: Given) -> Given:
    """Return the flow of each nozzle in US units, and what it fills in a time."""
    flow = nozzle_flow(given["carrier_gpa"], given["speed_mph"], given["spacing_in"])
    ounces = flow * units.factor("gal", "fl oz")
    return {
        "flow_gpm": flow, "flow_fl_oz_per_min": ounces, "catch_fl_oz": ounces * given.get("catch_s", 60.0) / 60,
        "flow_l_per_min": flow * units.factor("gal", "L"),
    }


@computes("mixing-C22|mixing-C23-metric", "planning.nozzles.nozzle_flow")
def flow_wanted_metric(given: Given, expected: Given) -> Given:
    """Return the flow of each nozzle in metric units."""
    return {"flow_l_per_min": nozzle_flow(given["carrier_l_per_ha"], given["speed_km_per_h"], given["spacing_m"] * 100, 60000)}


@computes("mixing-C4|mixing-C5", "planning.nozzles.catch_rate, catch_course")
def ounces_equal_gallons(given: Given, expected: Given) -> Given:
    """Return the volume per acre of a catch over the 1/128-acre course, whatever the spacing."""
    return {"carrier_gpa": catch_rate(given["catch_fl_oz"], 20.0, catch_course(20.0))}


@computes("mixing-C6", "planning.nozzles.catch_rate")
def hand_gun(given: Given, expected: Given) -> Given:
    """Return the volume per acre of a square; 18.5 ft square is 342 sq ft, so the printed figure is rounded."""
    return {"carrier_gpa": round(catch_rate(given["catch_fl_oz"], given["width_ft"] * 12, given["length_ft"]))}


@computes("mixing-C11|mixing-C12|mixing-C13-.*", "planning.nozzles.catch_rate")
def band(given: Given, expected: Given) -> Given:
    """Return the volume per acre of a band from one tip over a course."""
    return {"carrier_gpa": catch_rate(given["catch_fl_oz"], given["band_in"], given["course_ft"])}


@computes("mixing-C21", "planning.nozzles.catch_rate")
def catch_metric(given: Given, expected: Given) -> Given:
    """Return the volume per hectare of a catch over 50 m."""
    return {"carrier_l_per_ha": catch_rate(given["catch_ml"], given["spacing_m"] * 100, given["course_m"], 1000)}


@computes(r"mixing-spacing-\d+-(exact|lsu|osu)", "planning.nozzles.catch_course")
def course(given: Given, expected: Given) -> Given:
    """Return the 1/128-acre course of a spacing; printed whole feet come from 340 sq ft."""
    return {"course_ft": catch_course(given["spacing_in"])} if "spacing_in" in given and "course_ft" in expected else {}


@computes(r"mixing-P2|mixing-P4-.*", "planning.nozzles.flow_at")
def flow_at_pressure(given: Given, expected: Given) -> Given:
    """Return the flow at another pressure."""
    pressure = given.get("new_pressure_psi", given.get("pressure_psi"))
    return {"new_flow_gpm": flow_at(pressure, given["flow_gpm"], given["pressure_psi"])}


@computes("mixing-P3", "planning.nozzles.pressure_for")
def pressure_of_flow(given: Given, expected: Given) -> Given:
    """Return the pressure for another flow."""
    return {"new_pressure_psi": pressure_for(given["new_flow_gpm"], given["flow_gpm"], given["pressure_psi"])}


@computes("mixing-P1-double|mixing-P5|mixing-P1-root", "planning.nozzles.pressure_for, flow_at")
def square_root_law(given: Given, expected: Given) -> Given:
    """Return how pressure goes with flow, and flow with pressure."""
    return {
        "pressure_ratio": pressure_for(given.get("flow_ratio", given.get("speed_ratio", 1.0)), 1.0, 1.0),
        "flow_ratio": flow_at(given.get("pressure_ratio", 1.0), 1.0, 1.0),
    }


@computes(r"mixing-iso-\d+", "planning.nozzles.SIZES")
def nominal_size(given: Given, expected: Given) -> Given:
    """Return a size of the shipped list."""
    _, colour, litres, gallons, _ = next(row for row in SIZES if row[0] == given["size"])
    return {"colour": colour, "flow_l_per_min_at_3_bar": litres, "flow_gpm_at_40_psi": gallons}


@computes(r"mixing-iso-\d+-\dbar", "planning.nozzles.flow_at")
def nominal_size_at(given: Given, expected: Given) -> Given:
    """Return the flow of a size at another pressure."""
    return {"new_flow_l_per_min": flow_at(given["new_pressure_bar"], given["flow_l_per_min"], given["pressure_bar"])}


@computes(r"mixing-droplet-.*", "planning.nozzles.DROPLETS")
def droplet_category(given: Given, expected: Given) -> Given:
    """Return a category of the shipped list."""
    rank, (symbol, name, colour) = next((n, row) for n, row in enumerate(DROPLETS, 1) if row[0] == given["symbol"])
    return {"symbol": symbol, "rank": rank, "category": name, "colour": colour}
