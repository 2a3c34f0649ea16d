"""A carrier of another density, what a camera cannot see, and where rinsate goes."""

from __future__ import annotations

from typing import Any

import pytest
from agreement import differences
from small_farm import first, small_farm, small_plan

from workbook_builder.features import VIEWS

NOZZLE = {"sprayer": "Boom", "nozzle": "N", "size": "04", "spacing": 20.0, "low_pressure": 20.0,
          "high_pressure": 60.0}
SPRAYER = {"speed": 10.0, "boom_width": 90.0, "unusable_volume": 10.0}
SPOT = {"method": "spot", "sprayed_share": 0.2}
TERMS = {"sprayer": "Boom", "use": "in crop", "footprint_width": 2.0, "footprint_length": 3.0,
         "lead_and_lag_length": 1.0}
LABEL = {"product": "Product", "crop": "any", "rate_unit": "fl oz/ac"}


#: Pounds a gallon and kilograms a litre of water at 4 deg C.
WATER = {"us": 8.345404, "metric": 1.0}


@pytest.mark.parametrize(("system", "density", "on_charts"),
                         [("us", None, 1.0), ("us", 8.345404, 1.0), ("us", 10.65, 1.13), ("us", 11.06, 1.15),
                          ("us", 7.0, 0.92), ("metric", 1.28, 1.13)])
def test_a_heavier_carrier_wants_a_larger_nozzle(system: str, density: float | None,
                                                 on_charts: float) -> None:
    """Flow goes by the square root of the density over that of water, pressure by the ratio itself.

    Nozzle charts, from memory, say the same in two digits.
    """
    ratio = (density or WATER[system]) / WATER[system]
    nozzle = {**NOZZLE, **({"rated_flow": 1.6, "rated_pressure": 3.0, "size": None}
                           if system == "metric" else {})}
    plain, heavy = (first(small_plan(system, nozzles=nozzle, sprayers=SPRAYER,
                                     passes={"carrier_density": each}), "tip_checks")
                    for each in (None, density))

    assert heavy["flow"] / plain["flow"] == pytest.approx(ratio**0.5, rel=1e-6)
    assert heavy["pressure"] / plain["pressure"] == pytest.approx(ratio, rel=1e-6)
    assert ratio**0.5 == pytest.approx(on_charts, abs=0.006)


@pytest.mark.parametrize(("kind", "buffer", "terms", "told"), [
    ("herbicide", None, TERMS, ("", 0.2)), ("fungicide", None, TERMS, ("Review", 0.2)),
    ("insecticide", None, {}, ("Review", 0.2)), ("fungicide", 0.0, TERMS, ("Review", 0.2)),
    ("fungicide", 1.0, TERMS, ("OK", 1 - 0.8 ** (4 * 6 / 8))), ("herbicide", 1.0, TERMS, ("OK", 1 - 0.8**3)),
    ("fungicide", 1.0, {}, ("Not entered", 0.2)),
])
def test_what_a_camera_cannot_see(kind: str, buffer: float | None, terms: dict[str, Any],
                                  told: tuple[str, float]) -> None:
    """A spot pass against disease or insects asks for a buffer,
    and the share of field sprayed grows with it (hand-worked).
    """
    plan = small_plan(products={"kind": kind}, passes={**SPOT, "seen_buffer": buffer}, spot_terms=terms
                      or {"sprayer": "Boom", "use": "fallow"})
    row = first(plan, "spot_checks")

    assert ((row["camera_status"], first(plan, "share_estimates")["own_share"])
            == (told[0], pytest.approx(told[1])))
    assert ("A camera sees no" in row["finding"]) == (told[0] == "Review")


@pytest.mark.parametrize(("label", "told"), [
    ({}, ("", "rate of a label not entered, so nobody knows what ground sprayed already may take")),
    ({"max_rate": 32}, ("", "no room left on ground sprayed already")),
    ({"max_rate": 48}, (8.0, "")), ({"max_rate": 33.6}, (13.333333, "")),
    ({"max_rate": 48, "max_rate_season": 33.6}, (13.333333, "")),
    ({"max_rate": 32.16}, (133.333333, "ground sprayed already is too small")),
])
def test_where_rinsate_goes(label: dict[str, Any], told: tuple[Any, str]) -> None:
    """Ten gallons left and 110 of water at 15 gal/ac cover 8 acres.

    Where a twentieth of a rate fits, two thirds of an acre of mix need 13.3 acres (hand-worked).
    """
    plan = small_plan(label_limits={**LABEL, **label}, sprayers=SPRAYER,
                      rinse_terms={"sprayer": "Boom", "tank": "main", "rinse_water": 110.0})
    (row,) = VIEWS["clean_out"](plan)

    assert ((row["fresh_area"], row["again_area"] or "", row["rinsate"] or "")
            == (8.0, told[0] and pytest.approx(told[0], abs=1e-5), told[1]))


@pytest.mark.parametrize(("package", "rinse"), [((2.5, "gal"), 0.625), ((30, "gal"), 6.0), ((250, "gal"), ""),
                                                ((40, "lb"), "")])
def test_rinses_of_a_container(package: tuple[float, str], rinse: Any) -> None:
    """A quarter of a small container, a fifth of a drum, nothing of a bulk tank or a bag (Admin.

    Rules of Montana, found).
    """
    assert first(small_plan(products={"package_size": package[0], "package_unit": package[1]}),
                 "clean_products")["container_rinse"] == rinse


def test_the_engine_agrees_on_all_of_it() -> None:
    """Sheet and plan agree with a heavy carrier, a buffer, rinsate with room and without."""
    farm = small_farm(label_limits={**LABEL, "max_rate": 40}, nozzles=NOZZLE, sprayers=SPRAYER,
                      products={"kind": "fungicide"}, passes={"carrier_density": 10.65}, spot_terms=TERMS)
    one = farm.rows("passes")[0]
    farm.tables["passes"] = [one, {**one, **SPOT, "pass": "Spots", "seen_buffer": 1.0},
                             {**one, **SPOT, "pass": "Bare", "sprayer": "Other"}]
    farm.tables["scouting"] = [{"pass": "Spots", "field": "North", "frame": n, "frame_area": 10.0,
                                "count": n % 3} for n in range(1, 4)]

    assert differences(farm, "IronCalc") == []
