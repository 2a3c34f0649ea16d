"""The money against second references: numpy-financial, simulation, and figures of the trade."""

from __future__ import annotations

import random

import numpy as np
import numpy_financial as npf
import pytest
from small_farm import first, small_plan

from workbook_builder.build import Built
from workbook_builder.features.machine import definitions as money
from workbook_builder.features.shares.beta import MOST_TOLD
from workbook_builder.planning import make_plan
from workbook_builder.verify import edited

DRAWS = 40000


@pytest.mark.parametrize("seed", range(25))
def test_present_value_and_rate_agree_with_numpy_financial(seed: int) -> None:
    """Present value today and rate of return agree with a second library on random flows."""
    dice = random.Random(seed)
    returns = [dice.uniform(500, 9000) for _ in range(dice.randint(1, 15))]
    rate, flows = dice.uniform(0.0, 0.2), [-dice.uniform(0.5, 1.3) * sum(returns), *returns]

    assert money.present_value_now(rate, flows) == pytest.approx(npf.npv(rate, flows), abs=1e-6)
    assert money.internal_rate(flows) == pytest.approx(npf.irr(flows), abs=1e-7)


@pytest.mark.parametrize("seed", range(25))
def test_capital_recovery_agrees_with_numpy_financial(seed: int) -> None:
    """Capital recovery is the payment of a loan that leaves the sale value owing."""
    dice = random.Random(seed)
    price, years, rate = (dice.uniform(1e3, 1e6), dice.randint(1, 30),
                          dice.choice((0.0, dice.uniform(0.001, 0.25))))
    sale = price * dice.uniform(0, 0.9)

    factor = money.capital_recovery_factor(rate, years)
    assert (money.capital_recovery(price, sale, factor, rate)
            == pytest.approx(-npf.pmt(rate, years, price, -sale)))


def test_the_two_timings_differ_by_a_year_of_interest(farm: Built) -> None:
    """The present value paid after a year is the one paid today, less one year of interest."""
    rate = farm.plan.tables["farm"][0]["interest_rate"]
    for row in farm.plan.tables["machine_payback"]:
        if row["live"]:
            assert row["npv"] == pytest.approx(row["npv_after_a_year"] * (1 + rate))


def test_flows_that_never_come_back_have_no_rate() -> None:
    """Flows without a change of sign have no rate of return and no payback."""
    assert money.internal_rate([-100, -5, -5]) is None
    assert money.internal_rate([100, 5, 5]) is None
    assert money.payback([-100, 10, 10]) is None
    assert money.break_even_area(100, 0) is None


def test_break_even_area_put_back_leaves_nothing(demo: Built) -> None:
    """At the area a year that pays for the machine, nothing is left over and nothing is missing."""
    pay = demo.plan.tables["machine_payback"][0]
    inputs = edited(demo.plan.inputs, "machine_use", 0, "area_per_year", 0.0)
    for row in range(1, len(inputs.rows("machine_use"))):
        inputs = edited(inputs, "machine_use", row, "area_per_year", 0.0)
    inputs = edited(inputs, "machine", 0, "area_per_year", pay["break_even_area"])
    inputs = edited(inputs, "machine", 0, "saving_per_area", pay["saving_per_area"])

    assert (make_plan(inputs, demo.plan.room).tables["machine_payback"][0]["annual_net"]
            == pytest.approx(0, abs=1e-6))


def test_what_could_happen_agrees_with_simulation(demo: Built) -> None:
    """Quantiles and chances of the passes and of the season agree with a seeded simulation."""
    dice = np.random.default_rng(7)
    season = np.zeros(DRAWS)
    rows = zip(*(demo.plan.tables[key] for key in ("spot_against_broadcast", "share_estimates",
                                                   "order_volumes")), strict=True)
    for row, estimate, volume in rows:
        if row["net_p50"] == "":
            continue
        shares = volume["done"] + volume["left"] * dice.beta(estimate["a"], estimate["b"], DRAWS)
        nets = (row["start"] - row["slope"] * shares) * row["area"]
        wide = np.ptp(nets)
        for key, chance in (("net_p10", 10), ("net_p50", 50), ("net_p90", 90)):
            assert row[key] == pytest.approx(np.percentile(nets, chance), abs=0.02 * wide)
        if row["break_even_share"] != "":
            paid = np.mean(shares <= row["break_even_share"])
            # A chance that is not certain is told from 1 to 99 %.
            certain = (row["break_even_share"] >= volume["done"] + volume["left"] or row["break_even_share"]
                       <= volume["done"])
            assert (row["chance"] == pytest.approx(paid if certain
                                                   else np.clip(paid, 1 - MOST_TOLD, MOST_TOLD), abs=0.01))
        season += nets
    told = demo.plan.tables["spot_season"][0]
    assert told["mean"] == pytest.approx(season.mean(), rel=0.01)
    assert told["spread"] == pytest.approx(season.std(), rel=0.02)
    for key, chance in (("p10", 10), ("p50", 50), ("p90", 90)):
        assert told[key] == pytest.approx(np.percentile(season, chance), abs=0.15 * told["spread"])


#: Common practice, no source: fees of 3 or 4 $/ac in crop and none in fallow; 10 to 30 % of
#: product saved; 850,000 $ for a fully equipped machine.
FEES = (3.0, 4.0)


def _trade_plan(fee: float, share: float, price_of_a_gallon: float = 28.0) -> dict[str, float]:
    return first(
        small_plan(
            passes={"method": "spot", "sprayed_share": share}, products={"package_price": price_of_a_gallon},
            spot_terms={"sprayer": "Boom", "use": "in crop", "fee": fee},
        ),
        "spot_against_broadcast",
    )


@pytest.mark.parametrize("fee", FEES)
def test_fees_of_the_trade(fee: float) -> None:
    """With 7.00 $/ac of product and 0.15 of water, the fee is covered up to the share (7.15 - fee) / 7.15."""
    assert _trade_plan(fee, 0.2)["break_even_share"] == pytest.approx((7.15 - fee) / 7.15)


@pytest.mark.parametrize(("saved", "fee", "pays"),
                         [(0.1, 3.0, False), (0.3, 3.0, False), (0.3, 0.0, True), (0.1, 0.0, True)])
def test_savings_of_the_trade(saved: float, fee: float, pays: bool) -> None:
    """Saving 10 to 30 % of 7.00 $/ac covers no fee of 3 $/ac in crop, and pays in fallow without a fee."""
    assert (_trade_plan(fee, 1 - saved)["net"] > 0) is pays


def test_acres_to_pay_for_a_machine_of_the_trade() -> None:
    """850,000 $ kept ten years at 6 %, half of it back, wants 8,324 ac a year at 10 $/ac saved,
    by hand from CRF .13587.
    """
    plan = small_plan(
        farm={"interest_rate": 0.06},
        machine={"sprayer": "Boom", "price_premium": 850000.0, "trade_in": 425000.0, "life_years": 10,
                 "area_per_year": 9000.0, "saving_per_area": 10.0},
    )
    row = first(plan, "machine_payback")

    assert row["recovery"] == pytest.approx(425000 * 0.135868 + 425000 * 0.06, rel=1e-5)
    assert row["break_even_area"] == pytest.approx(8324.4, abs=1)
