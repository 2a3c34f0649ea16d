"""Flow, pressure, sizes, catch test and droplet categories of nozzles."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from small_farm import first, small_plan

from oracles.registry import computes
from workbook_builder.core import units
from workbook_builder.features.loads.definitions import amount_in
from workbook_builder.features.nozzles.definitions import (
    DROPLETS,
    SIZES,
    carrier_factor,
    catch_course,
    catch_rate,
    flow_at,
    nozzle_flow,
    pressure_for,
)

Given = Mapping[str, Any]


@computes("mixing-C2|mixing-C23", "nozzles.definitions.nozzle_flow")
def flow_wanted(given: Given, expected: Given) -> Given:
    """Return the flow of each nozzle in US units, and what it fills in a time."""
    flow = nozzle_flow(given["carrier_gpa"], given["speed_mph"], given["spacing_in"])
    ounces = flow * units.factor("gal", "fl oz")
    return {
        "flow_gpm": flow, "flow_fl_oz_per_min": ounces,
        "catch_fl_oz": ounces * given.get("catch_s", 60.0) / 60,
        "flow_l_per_min": flow * units.factor("gal", "L"),
    }


@computes("mixing-C22|mixing-C23-metric", "nozzles.definitions.nozzle_flow")
def flow_wanted_metric(given: Given, expected: Given) -> Given:
    """Return the flow of each nozzle in metric units."""
    return {"flow_l_per_min": nozzle_flow(given["carrier_l_per_ha"], given["speed_km_per_h"],
                                          given["spacing_m"] * 100, 60000)}


@computes("mixing-C4|mixing-C5", "nozzles.definitions.catch_rate, catch_course")
def ounces_equal_gallons(given: Given, expected: Given) -> Given:
    """Return the volume per acre of a catch over the 1/128-acre course, whatever the spacing."""
    return {"carrier_gpa": catch_rate(given["catch_fl_oz"], 20.0, catch_course(20.0))}


@computes("mixing-C6", "nozzles.definitions.catch_rate")
def hand_gun(given: Given, expected: Given) -> Given:
    """Return the volume per acre of a square.

    18.5 ft square is 342 sq ft, so the printed figure is rounded.
    """
    return {"carrier_gpa": round(catch_rate(given["catch_fl_oz"], given["width_ft"] * 12,
                                            given["length_ft"]))}


@computes("mixing-C11|mixing-C12|mixing-C13-.*", "nozzles.definitions.catch_rate")
def band(given: Given, expected: Given) -> Given:
    """Return the volume per acre of a band from one tip over a course."""
    return {"carrier_gpa": catch_rate(given["catch_fl_oz"], given["band_in"], given["course_ft"])}


@computes("mixing-C21", "nozzles.definitions.catch_rate")
def catch_metric(given: Given, expected: Given) -> Given:
    """Return the volume per hectare of a catch over 50 m."""
    return {"carrier_l_per_ha": catch_rate(given["catch_ml"], given["spacing_m"] * 100,
                                           given["course_m"], 1000)}


@computes(r"mixing-spacing-\d+-(exact|lsu|osu)", "nozzles.definitions.catch_course")
def course(given: Given, expected: Given) -> Given:
    """Return the 1/128-acre course of a spacing; printed whole feet come from 340 sq ft."""
    return ({"course_ft": catch_course(given["spacing_in"])} if "spacing_in" in given
            and "course_ft" in expected else {})


@computes(r"mixing-P2|mixing-P4-.*", "nozzles.definitions.flow_at")
def flow_at_pressure(given: Given, expected: Given) -> Given:
    """Return the flow at another pressure."""
    pressure = given.get("new_pressure_psi", given.get("pressure_psi"))
    return {"new_flow_gpm": flow_at(pressure, given["flow_gpm"], given["pressure_psi"])}


@computes("mixing-P3", "nozzles.definitions.pressure_for")
def pressure_of_flow(given: Given, expected: Given) -> Given:
    """Return the pressure for another flow."""
    return {"new_pressure_psi": pressure_for(given["new_flow_gpm"], given["flow_gpm"], given["pressure_psi"])}


@computes("mixing-P1-double|mixing-P5|mixing-P1-root", "nozzles.definitions.pressure_for, flow_at")
def square_root_law(given: Given, expected: Given) -> Given:
    """Return how pressure goes with flow, and flow with pressure."""
    return {
        "pressure_ratio": pressure_for(given.get("flow_ratio", given.get("speed_ratio", 1.0)), 1.0, 1.0),
        "flow_ratio": flow_at(given.get("pressure_ratio", 1.0), 1.0, 1.0),
    }


@computes(r"mixing-iso-\d+", "nozzles.definitions.SIZES")
def nominal_size(given: Given, expected: Given) -> Given:
    """Return a size of the shipped list."""
    _, colour, litres, gallons, _ = next(row for row in SIZES if row[0] == given["size"])
    return {"colour": colour, "flow_l_per_min_at_3_bar": litres, "flow_gpm_at_40_psi": gallons}


@computes(r"mixing-iso-\d+-\dbar", "nozzles.definitions.flow_at")
def nominal_size_at(given: Given, expected: Given) -> Given:
    """Return the flow of a size at another pressure."""
    return {"new_flow_l_per_min": flow_at(given["new_pressure_bar"], given["flow_l_per_min"],
                                          given["pressure_bar"])}


@computes(r"mixing-droplet-.*", "nozzles.definitions.DROPLETS")
def droplet_category(given: Given, expected: Given) -> Given:
    """Return a category of the shipped list."""
    rank, (symbol, name, colour) = next((n, row) for n, row in enumerate(DROPLETS, 1)
                                        if row[0] == given["symbol"])
    return {"symbol": symbol, "rank": rank, "category": name, "colour": colour}


@computes("mixing-F1c", "nozzles.definitions.nozzle_flow")
def constant_for_ounces(given: Given, expected: Given) -> Given:
    """Return the constant of the flow in fl oz per minute."""
    return {"constant": 1 / (nozzle_flow(1.0, 1.0, 1.0) * units.factor("gal", "fl oz"))}


@computes("mixing-F4", "nozzles.definitions.nozzle_flow")
def metric_constant(given: Given, expected: Given) -> Given:
    """Return the constant of the metric flow, spacing in metres."""
    return {"constant": 1 / nozzle_flow(1.0, 1.0, 100.0, 60000)}


@computes("mixing-F3", "nozzles.definitions.catch_course")
def course_constant(given: Given, expected: Given) -> Given:
    """Return course in feet times spacing in inches."""
    return {"ft_times_in": catch_course(1.0)}


@computes("mixing-F4b", "nozzles.definitions.catch_rate")
def metric_catch_constant(given: Given, expected: Given) -> Given:
    """Return L/ha times metres of spacing in one mL over 50 m."""
    return {"constant": catch_rate(1.0, 100.0, 50.0, 1000)}


@computes("mixing-C3", "nozzles.definitions.catch_rate, catch_course")
def nozzles_of_a_row(given: Given, expected: Given) -> Given:
    """Return the volume per acre of all nozzles of a row over the course of the row."""
    return {"carrier_gpa": catch_rate(given["catch_fl_oz"], given["row_in"], catch_course(given["row_in"]))}


@computes("mixing-C7", "nozzles.definitions.catch_rate")
def boomless(given: Given, expected: Given) -> Given:
    """Return the volume per acre of a catch that stands for an area of a foot's width."""
    return {"carrier_gpa": catch_rate(given["catch_fl_oz"], 12.0, given["course_sq_ft"])}


@computes("mixing-C8-exact", "nozzles.definitions.catch_rate")
def rate_on_a_strip(given: Given, expected: Given) -> Given:
    """Return the volume per acre of what was put on a strip."""
    return {"carrier_gpa": catch_rate(given["applied_gal"] * units.factor("gal", "fl oz"), 12.0,
                                      given["area_sq_ft"])}


@computes("mixing-C10", "nozzles.definitions.catch_rate")
def refill_method(given: Given, expected: Given) -> Given:
    """Return the volume per acre of what refills the tank after a course."""
    return {"carrier_gpa": catch_rate(given["used_gal"] * units.factor("gal", "fl oz"),
                                      given["swath_ft"] * 12, given["course_ft"])}


@computes("mixing-C12-two", "nozzles.definitions.catch_rate")
def two_tips(given: Given, expected: Given) -> Given:
    """Return the volume per acre of a band from two tips that catch alike."""
    return {"carrier_gpa": catch_rate(given["tips_per_row"] * given["catch_fl_oz"], given["band_in"],
                                      given["course_ft"])}


@computes("mixing-C15", "nozzles.definitions.catch_rate; loads.definitions.amount_in")
def hand_gun_load(given: Given, expected: Given) -> Given:
    """Return the volume per acre of a hand gun and the area of its tank.

    18.5 ft square is a rounded 1/128 acre.
    """
    carrier = catch_rate(given["catch_fl_oz"], given["width_ft"] * 12, given["course_ft"])
    return {"carrier_gpa": carrier, "area_per_tank_ac": amount_in(1.0, given["tank_gal"], carrier)}


@computes("mixing-C16", "nozzles.definitions.flow_at, nozzle_flow")
def whole_chain(given: Given, expected: Given) -> Given:
    """Return the volume per acre of a nozzle size at a pressure and speed."""
    flow = flow_at(given["pressure_psi"], given["nozzle_gpm_at_40_psi"], 40.0)
    return {"carrier_gpa": flow / nozzle_flow(1.0, given["speed_mph"], given["spacing_in"])}


@computes("mixing-boom-(9|12|15)|mixing-band-13|mixing-swath-13", "nozzles.definitions.catch_course")
def course_of_a_width(given: Given, expected: Given) -> Given:
    """Return the 1/128-acre course of a boom or band, and ten times it for a swath."""
    feet = given.get("boom_ft", given.get("swath_ft"))
    course_ft = catch_course(given["band_in"] if feet is None else feet * 12)
    return {"course_ft": 10 * course_ft if "swath_ft" in given else course_ft}


@computes("mixing-C3-speed", "plan: catch_checks")
def speed_on_a_course(given: Given, expected: Given) -> Given:
    """Return the speed of a run over a course, from the plan's factor."""
    factors = first(small_plan(), "agronomy_factors")
    return {"speed_mph": given["course_ft"] / given["time_s"] * factors["speed_per_course"]}


@computes("mixing-iso-us-metric", "nozzles.definitions.flow_at")
def size_at_three_bar(given: Given, expected: Given) -> Given:
    """Return the flow of a US nominal size at a metric pressure."""
    pressure = given["pressure_bar"] * units.factor("bar", "psi")
    return {"flow_l_per_min": flow_at(pressure, given["flow_gpm_at_40_psi"], 40.0) * units.factor("gal", "L")}


@computes("mixing-iso-metric-us", "nozzles.definitions.flow_at")
def size_at_forty_psi(given: Given, expected: Given) -> Given:
    """Return the flow of a metric nominal size at a US pressure."""
    pressure = given["pressure_psi"] * units.factor("psi", "bar")
    return {"flow_gpm": flow_at(pressure, given["flow_l_per_min_at_3_bar"], 3.0) * units.factor("L", "gal")}


@computes(r"mixing-density-.*", "nozzles.definitions.carrier_factor")
def carrier_of_another_density(given: Given, expected: Given) -> Given:
    """Return the flow of water that stands for a flow of the carrier."""
    return {"factor": carrier_factor(given["density_lb_per_gal"], given["water_lb_per_gal"])}
