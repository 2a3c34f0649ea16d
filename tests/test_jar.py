"""Jar sizes, and the jar amounts of the demo farms; published figures run in test_oracles."""

from __future__ import annotations

import pytest

from workbook_builder.build import Built
from workbook_builder.features.jar.definitions import jar_sizes


def test_jar_sizes_are_exact() -> None:
    """A US liquid pint is 473.176473 mL and a quart twice that (NIST Handbook 44, appendix C).

    A litre is 1,000 mL.
    """
    assert ([row["volume_ml"] for row in jar_sizes()]
            == [pytest.approx(volume, rel=1e-9) for volume in (473.176473, 946.352946, 1000)])


def test_demo_jar(demo: Built, metric: Built) -> None:
    """A quart of the burndown at 11 gal/ac: 27 fl oz/ac gives 18.147 mL, 9.5 lb per 100 gal 10.773 g,
    in mixing order.
    """
    lines = [row for row in demo.plan.tables["jar"] if row["mix"] == "Burndown with 2,4-D"]
    by_name = {row["product"]: row for row in lines}
    assert [row["order"] for row in lines] == [1, 2, 3, 4]
    assert lines[0]["product"] == "AMS dry"
    assert (by_name["AMS dry"]["g"] == pytest.approx(9.5 / 400 * 453.59237)
            == pytest.approx(10.773, abs=0.0005))
    assert (by_name["Glyphosate 4.3 SL"]["ml"] == pytest.approx(27 / 11 / 4 * 29.5735295625)
            == pytest.approx(18.147, abs=0.0005))
    sheet = demo.plan.tables["jar_sheet"][0]
    assert sheet["status"] == "OK"
    assert sheet["water_ml"] + sheet["liquid_ml"] == pytest.approx(946.352946)

    litre = {row["product"]: row for row in metric.plan.tables["jar"] if row["mix"] == "Stubble and fallow"}
    assert litre["Glyphosate 340 SL"]["ml"] == pytest.approx(3800 / 140)
    assert litre["Wetting agent"]["ml"] == pytest.approx(2.2)
