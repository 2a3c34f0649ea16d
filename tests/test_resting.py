"""What a workbook leaves out for a farm that does not use it: what is left shows the same numbers,
and what is typed brings it back.
"""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from farms_strategy import EVERY_TAB, build_small, slots_for
from fast_farms import farm
from live_book import LiveBook, where
from openpyxl import load_workbook
from small_farm import small_farm

from workbook_builder.build import place, with_defaults
from workbook_builder.core.formula_tree import tree, written
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.resting import Folder, Resting
from workbook_builder.core.tabs import shown
from workbook_builder.features import TABLES
from workbook_builder.features.tabs import TAB_OF, TABS
from workbook_builder.kept import what_was_kept
from workbook_builder.planning import make_plan, resting, workings
from workbook_builder.verify import formula_columns

FARMS = range(500, 530)
#: How many of them every run types in; the long run takes all.
FEW = 4


def test_formulas_survive_being_read_and_written() -> None:
    """Every declared formula reads into a tree that is written as the same formula."""
    formulas = [text for table in TABLES for column in table.columns for text in column.formulas]

    assert len(formulas) > 3_000
    assert [text for text in formulas if written(tree(text)) != text] == []


@pytest.mark.parametrize(
    ("formula", "left"),
    [
        ('IF({conditions.wind}="","",{row_no}+1)', '""'),
        ('IF(OR({row_no}="",{conditions.wind}=""),"none",1)', '"none"'),
        ('IFERROR(INDEX({fields.area:all},MATCH("x"&{row_no},{conditions.pass:all},0)),0)', "0"),
        ('IF({row_no}="","",COUNTIFS({conditions.pass:all},{row_no}))', 'IF({row_no}="","",0)'),
        ("2*IF(COUNT({conditions.wind:all})=0,{row_no}+1,0)", "2*({row_no}+1)"),
        ("SUMIF({conditions.pass:all},{row_no},{conditions.wind:all})+{row_no}", "0+{row_no}"),
        ("SUMIF({conditions.wind:all},{row_no})+{row_no}", "0+{row_no}"),
        ("SUMIF({fields.field:all},{row_no},{fields.area:all})",
         "SUMIF({fields.field:all},{row_no},{fields.area:all})"),
        ('COUNTIFS({conditions.pass:all},"")', 'COUNTIFS({conditions.pass:all},"")'),
        ("COUNTIFS({conditions.pass:all},{row_no})", "COUNTIFS({conditions.pass:all},{row_no})"),
    ],
)
def test_what_reads_blank_cells_alone_becomes_a_value(formula: str, left: str) -> None:
    """A formula keeps what differs from farm to farm, brackets included,
    and what depends on the number of rows; the rest is worked out.
    """
    resting = Resting(workings(), {"conditions"}, "us")

    assert written(Folder("pass_rows", workings(), resting.same).whole(tree(formula))) == left


def test_a_tab_is_away_until_its_word_is_typed() -> None:
    """What is typed of spot passes rests while every pass is broadcast,
    and is there from the first pass that is called spot.
    """
    assert {"load_log", "spot_terms", "spot_choice"} <= resting(small_farm(passes={"method": "broadcast"}))
    assert (not {"load_log", "spot_terms", "spot_choice"}
            & resting(small_farm(passes={"method": "broadcast"}), ["spot pass"]))
    assert (not {"load_log", "spot_terms", "spot_choice"}
            & resting(small_farm(passes={"method": "spot", "sprayed_share": 0.3})))


def plain(inputs: Inputs) -> Inputs:
    """Return a farm with nothing typed on the tabs that the small farm does not use, no spot pass,
    no label read for bees, and no water tested.
    """
    rests = {*make_plan(small_farm()).room.resting, "products.bees", "farm.water_ca_ppm"}
    kept = {key: [{name: cell for name, cell in row.items() if f"{key}.{name}" not in rests} for row in rows]
            for key, rows in inputs.tables.items() if key not in rests}
    return replace(inputs, tables={**kept,
                                   "passes": [{**row, "method": "broadcast"} if row.get("method") == "spot"
                                              else row for row in inputs.rows("passes")]})


@pytest.mark.parametrize("most", [FEW, pytest.param(len(FARMS), marks=pytest.mark.nightly)])
def test_a_plain_workbook_shows_what_any_plain_farm_plans(most: int) -> None:
    """Other farms that use no more, typed into a workbook that leaves the rest out,
    show the numbers of the whole plan in every formula cell.
    """
    kept = [plain(inputs) for inputs in map(farm, FARMS) if inputs is not None and inputs.system == "us"]
    book = LiveBook(build_small(plain(small_farm()), 12, slots=slots_for(kept)))
    fitting = [inputs for inputs in kept if book.refill(inputs)][:most]

    assert len(fitting) >= min(most, 10)
    for inputs in fitting:
        assert book.refill(inputs)
        assert [where(book.built, each) for each in book.differences()[:5]] == []


def test_a_line_or_column_of_ones_own_keeps_its_tab() -> None:
    """What people add to a form or a table is carried along though nothing else is typed on its tab."""
    keys = ("jar_choice", "mitigation_settings", "conditions")
    built = build_small(replace(small_farm(), extras={key: {f"Mine of {key}": [1]} for key in keys}))
    told = what_was_kept(built, {}).lines()

    for key in keys:
        assert TAB_OF[key] in built.placement.front
        assert any(f"Mine of {key}" in line for line in told)


def test_what_is_left_out_is_much_and_comes_back() -> None:
    """A workbook of a plain farm holds at least a quarter fewer formulas.

    Asked for, or typed, a tab is there with its tables.
    """
    few, all_of_it = (
        sum(len(cells) for *_, cells
            in formula_columns(place(make_plan(with_defaults(small_farm()), asked=asked))))
        for asked in ((), EVERY_TAB)
    )
    assert few < 0.75 * all_of_it

    asked = load_workbook(io.BytesIO(build_small(small_farm(), asked=["water"]).data))
    assert asked["Water"].sheet_state == "visible"
    assert "Weather" not in asked.sheetnames


def test_spotting_is_drawn_where_spots_are_planned() -> None:
    """A farm that sprays all over shows no chart of spot passes, on whichever tab."""
    def drawn(**changes: object) -> set[str]:
        tabs = list(shown(TABS, resting(small_farm(passes={"method": "broadcast", **changes}))))
        return {block.chart for tab in tabs for block in tab.blocks if block.chart}

    assert drawn() == {"cost_by_field", "full_cost_by_field", "repeats"}
    assert drawn(method="spot") - drawn() == {"spotting", "net_of_season", "cost_over_share",
                                              "chance_by_fill", "narrowing"}
