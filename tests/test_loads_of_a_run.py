"""What the pump cannot draw is mixed once for a run of fills.

Runs and shared loads go by the clock and the log.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest
from agreement import differences
from engine_help import engines_at_length
from small_farm import first, small_farm, small_plan

from workbook_builder.core.columns import LOOK, NOT_ALLOWED, OK
from workbook_builder.core.inputs import Inputs
from workbook_builder.planning import Plan, make_plan
from workbook_builder.printing.cards import cards
from workbook_builder.printing.choice import Choice

DAY = dt.date(2026, 5, 1)
#: 500 gal at 15 gal/ac with 32 fl oz/ac (SDSU Extension, "Pesticide mixing and sprayer calibration
#: equations"), 20 gal of it out of reach.
TANK = {"main_tank": 500.0, "unusable_volume": 20.0, "spot_tank": 100.0}


def farm(passes: list[dict[str, Any]], area: float = 80.0, **tables: list[dict[str, Any]]) -> Inputs:
    """Return a farm of fields of 80 ac, one for each pass, with two mixes and one boom.

    Each pass changes cells of the first one.
    """
    base = small_farm(sprayers=TANK, load_choice={"pass": "First", "field": "North", "load": 2})
    [typed], [field], [mix] = base.rows("passes"), base.rows("fields"), base.rows("mixes")
    names = ["North", *(f"Field {n}" for n in range(2, len(passes) + 1))]
    return replace(base, tables={
        **base.tables, "fields": [{**field, "field": name, "area": area} for name in names],
        "mixes": [mix, {**mix, "mix": "Other"}],
        "passes": [{**typed, "field": name, **cells} for name, cells in zip(names, passes, strict=True)],
        **tables,
    })


def at(hour: int, **cells: Any) -> dict[str, Any]:
    """Return the cells of a pass that starts at that hour."""
    return {"start_time": dt.time(hour), **cells}


def mixed(plan: Plan) -> list[float]:
    """Return the volume mixed for each pass."""
    return [row["mixed_volume"] for row in plan.tables["pass_volumes"] if row["pass"] != ""]


def runs(plan: Plan) -> list[tuple[Any, Any, Any]]:
    """Return run, first load and last load of each pass."""
    return [(row["run"], row["starts_in_load"], row["ends_in_load"]) for row in plan.tables["pass_runs"]
            if row["pass"] != ""]


def test_a_later_load_adds_what_the_tank_lacks() -> None:
    """Load 1 of 500 gal takes 1,066.7 fl oz.

    Load 2 finds 20 gal in the tank and takes 480 gal with 1,024 fl oz (worked by hand).
    """
    plan = make_plan(farm([{}]))
    volume, line = first(plan, "pass_volumes"), first(plan, "mix_lines")

    assert [volume[f"{which}_load_volume"]
            for which in ("first", "later", "last", "even")] == [500, 480, 240, 400]
    assert ([line[f"amount_{which}_load"] for which in ("first", "full", "last")]
            == [pytest.approx(1066.6667, abs=1e-3), 1024, 512])
    assert ((volume["loads"], volume["mixed_volume"], line["amount_total"])
            == (3, 1220, pytest.approx(1220 / 15 * 32)))
    assert first(plan, "pass_water")["water_full_load"] == pytest.approx(480 - 8)


def test_the_sheet_of_load_two_says_what_is_there_and_what_to_add() -> None:
    """On screen and on paper: 20 gal in the tank already, 480 gal to add, 32 ac to spray, a full tank."""
    plan = make_plan(farm([{}]))
    sheet, line, columns = (first(plan, "load_sheet"), first(plan, "load_lines"),
                            cards(plan, Choice())[0].columns)

    assert ((sheet["in_tank"], sheet["volume"], sheet["full_volume"], sheet["area"], sheet["water"])
            == (20, 480, 500, 32, pytest.approx(472)))
    assert line["amount"] == pytest.approx(1024)
    assert [(column.name, column.count, column.fill.in_tank, column.fill.volume) for column in columns] == [
        ("Full load", 1, 0, 500), ("Full load", 1, 20, 480), ("Last load", 1, 20, 240)]
    # 1,066.67 fl oz: eight gallons are 4 % off, 33 quarts just 1 %.
    assert [column.fill.poured[0].amount for column in columns] == ["8 gal + 1 qt", "8 gal", "4 gal"]
    assert [column.fill.mark for column in columns] == ["500 gal", "500 gal", "260 gal"]


def test_orders_and_costs_follow_what_is_mixed() -> None:
    """1,220 gal carry 20.33 gal of product, 203.33 in money.

    The cards have 8 1/4, 8 and 4 gal measured out, which are 20 1/4 gal to have: 21 packages.
    """
    plan = make_plan(farm([{}]))

    assert ((first(plan, "order_list")["wanted"], first(plan, "order_list")["packages"])
            == (pytest.approx(20.25), 21))
    assert first(plan, "cost_passes")["product_cost"] == pytest.approx(203.3333, abs=1e-3)
    assert first(plan, "cost_passes")["carrier_cost"] == pytest.approx(12.2)


@pytest.mark.parametrize(("second", "volume"), [
    (at(12), 1200), (at(12, date=DAY + dt.timedelta(3)), 1200),
    (at(12, method="broadcast", mix="Other"), 1220), (at(12, carrier=10.0), 820),
    (at(12, clean_before="yes"), 1220), (at(12, method="spot", sprayed_share=0.5), 620), (at(6), 1220),
])
def test_who_pays_for_what_the_pump_cannot_draw(second: dict[str, Any], volume: float) -> None:
    """The same mix in the same tank goes on, also on another day.

    Another mix, strength or tank and a clean-out pay; the first by the clock pays.
    """
    assert (mixed(make_plan(farm([at(8), second])))
            == pytest.approx([1200 if second == at(6) else 1220, volume], rel=1e-9))


def test_spots_from_the_main_tank_go_on_too() -> None:
    """A sprayer without a spot tank sprays spots from its main tank: the 20 gal are there already."""
    inputs = farm([at(8), at(12, method="spot", sprayed_share=0.5)],
                  sprayers=[{"sprayer": "Boom", "main_tank": 500.0, "unusable_volume": 20.0}])
    plan = make_plan(inputs)
    [spot] = [row for row in plan.tables["spot_passes"] if row["row"] != ""]

    assert mixed(plan) == pytest.approx([1220, 600], rel=1e-9)
    assert (spot["in_tank"], spot["available"]) == (20, 0)
    assert spot["next_fill"] == pytest.approx(min(480, spot["advised_volume"]))


def test_a_load_without_its_volume_mixed_leaves_what_the_pump_cannot_draw() -> None:
    """A logged spot load of 60 gal whose mixed volume nobody noted still leaves the 20 gal in the tank."""
    logged = [{"pass": "First", "field": "North", "load": 1, "area_covered": 20.0, "volume_sprayed": 60.0}]
    plan = make_plan(farm([at(8, method="spot", sprayed_share=0.2)], load_log=logged))

    assert first(plan, "spot_passes")["in_tank"] == 20


def test_shared_loads_go_by_the_clock() -> None:
    """Rows in the order of a list, sprayed in another one: the field sprayed first starts the run,
    whatever its row.
    """
    plan = make_plan(farm([at(14), at(8), at(11)]))

    assert runs(plan) == [(2, 6, 8), (2, 1, 3), (2, 3, 5)]
    assert mixed(plan) == [1200, 1220, 1200]


def test_a_mix_in_between_ends_the_run() -> None:
    """North and Field 3 share no load when another mix goes through the same tank between them,
    and the mix is paid for three times.
    """
    plan = make_plan(farm([at(8), at(10, mix="Other"), at(12)]))

    assert [run for run, _, _ in runs(plan)] == [1, 2, 3]
    assert mixed(plan) == [1220, 1220, 1220]


def test_fields_without_a_start_share_loads_mix_by_mix() -> None:
    """Where no start is typed, fields of one mix and day stand together, whatever the order of the rows."""
    plan = make_plan(farm([{}, {"mix": "Other"}, {}, {"mix": "Other"}]))

    assert [run for run, _, _ in runs(plan)] == [1, 2, 1, 2]


def test_the_log_tells_who_was_first() -> None:
    """Planned after North, sprayed before it: the log puts Field 2 first."""
    logged = [{"pass": "First", "field": "Field 2", "date": DAY, "start_time": dt.time(6)}]
    plan = make_plan(farm([at(8), at(11)], spray_log=logged))

    assert runs(plan) == [(2, 3, 5), (2, 1, 3)]
    assert mixed(plan) == [1200, 1220]


def test_a_pass_logged_on_another_day_shares_no_load() -> None:
    """Sprayed a day later than planned, Field 2 is a run of its own.

    What the pump cannot draw is still there.
    """
    logged = [{"pass": "First", "field": "Field 2", "date": DAY + dt.timedelta(1), "start_time": dt.time(6)}]
    plan = make_plan(farm([at(8), at(11)], spray_log=logged))

    assert [run for run, _, _ in runs(plan)] == [1, 2]
    assert mixed(plan) == [1220, 1200]


def test_two_tanks_go_by_the_clock() -> None:
    """The trip starts with the field sprayed first, so a full main tank runs out in the one sprayed second.
    """
    spots = [at(hour, **{"pass": "Spots", "method": "spot", "sprayed_share": 0.1, "partner_pass": "First",
                         "field": name}) for hour, name in ((8, "Field 2"), (12, "North"))]
    inputs = farm([at(12), at(8), spots[0], spots[1]], area=20.0)
    trip = {row["field"]: row for row in make_plan(inputs).tables["two_tanks"] if row["pass"] != ""}

    assert (trip["Field 2"]["area_after"], trip["North"]["area_after"]) == (20, 40)
    assert trip["North"]["main_extra"] == 20
    assert trip["North"]["main_fill"] == pytest.approx(trip["North"]["area_per_stop"] * 15)


@pytest.mark.parametrize(("area", "status", "finding"), [
    (65.0, LOOK, "The last load of 15 gal is too small to agitate: mix 3 even loads of 325 gal"),
    (66.0, OK, ""), (64.0, OK, ""), (1.0, OK, ""),
])
def test_a_last_load_too_small_to_agitate(area: float, status: str, finding: str) -> None:
    """65 ac leave 15 gal over 20 gal: 35 gal are under a tenth of 500 gal,
    so even loads are advised; 66 ac leave 50 gal, 64 ac nothing.
    """
    volume = first(make_plan(farm([{}], area=area)), "pass_volumes")

    assert (volume["status"], volume["finding"]) == (status, finding)


def test_even_loads_of_a_run() -> None:
    """Two fields of 33 ac are 990 gal: shared, 30 gal over 20 gal make a third load of a tenth of the tank; a
    little less does not agitate.
    """
    enough, less = (make_plan(farm([at(8), at(11)], area=area)) for area in (33.0, 32.9))
    advice = "The last load of 27 gal is too small to agitate: mix 3 even loads of 329 gal"

    assert {row["advice"] for row in enough.tables["pass_runs"]} == {""}
    assert [row["advice"] for row in less.tables["pass_runs"][:2]] == [advice, advice]
    # So its card mixes even loads: 9 gal of the second one are the first field's, and the first load fills
    # the 20 gal below the pump.
    [card] = cards(less, Choice())
    assert [(load.number, load.in_tank, load.volume, load.rows) for load in card.loads[0]] == [
        (1, 0, pytest.approx(349), (0,)), (2, 20, pytest.approx(329), (0, 1)),
        (3, 20, pytest.approx(329), (1,))]
    [card] = cards(enough, Choice())
    assert [load.volume for load in card.loads[0]] == pytest.approx([500, 480, 30])
    assert ([load.volume for load in cards(enough, Choice(even=True))[0].loads[0]]
            == pytest.approx([350, 330, 330]))


def test_liquids_that_exceed_the_spray_volume() -> None:
    """16 gal/ac of product do not fit into 15 gal/ac of spray: Not allowed, as long as nobody mends it."""
    volume = first(make_plan(farm([{}],
                                  mixes=[{"mix": "Mix", "product": "Product", "rate": 16.0,
                                          "rate_unit": "gal/ac"}])), "pass_volumes")

    assert ((volume["status"], volume["finding"])
            == (NOT_ALLOWED, "The liquid products alone take 107 % of the spray volume"))


@engines_at_length
def test_engines_agree(engine_name: str) -> None:
    """Each engine finds the same order, runs, loads, spots and trips."""
    later = DAY + dt.timedelta(2)
    passes = [
        at(14), at(8), at(11, mix="Other"), {}, at(16, clean_before="yes"), at(9, date=later),
        at(9, carrier=10.0, date=later),
        at(14, **{"pass": "Spots", "method": "spot", "sprayed_share": 0.1, "partner_pass": "First",
                  "field": "North"}),
        at(8, **{"pass": "Spots", "method": "spot", "sprayed_share": 0.3, "partner_pass": "First",
                 "field": "Field 2"}), {"date": None}, {"carrier": None},
    ]
    logged = [{"pass": "First", "field": "Field 6", "date": later, "start_time": dt.time(13)},
              {"pass": "First", "field": "Field 4", "date": DAY, "start_time": dt.time(15)}]
    loads = [{"pass": "Spots", "field": "North", "load": 1, "area_covered": 20.0, "volume_sprayed": 60.0}]

    assert differences(farm(passes, area=65.0, spray_log=logged, load_log=loads), engine_name) == []


def test_even_loads_stand_on_sheet_and_card_alike() -> None:
    """1,050 gal from a tank of 1,000 leave 50 gal that would not agitate: two loads of 525 gal,
    8 3/4 gal of product each, on screen as on paper.
    """
    plan = small_plan(fields={"area": 70.0})
    [column] = cards(plan, Choice())[0].columns

    assert (first(plan, "load_sheet")["volume"], first(plan, "load_lines")["pour"]) == (525, "8 gal + 3 qt")
    assert (column.count, column.fill.volume, column.fill.poured[0].amount) == (2, 525, "8 gal + 3 qt")
