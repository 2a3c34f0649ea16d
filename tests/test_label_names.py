"""Products, active ingredients and applications under several names count once:
every sum is worked out by hand beside it.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import Any

import pytest
from label_farms import DAY, Rows, active, checks, farm, label, mix, pass_, plan, product, rows
from small_farm import small_farm

from workbook_builder.check import check_inputs
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK
from workbook_builder.features import TYPED_TABLES
from workbook_builder.features.reference.data import active_names
from workbook_builder.planning import Plan
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.posting import notices

#: Standard atomic weights, IUPAC 2021 abridged, from memory.
ATOMS = {"H": 1.008, "C": 12.011, "N": 14.007, "O": 15.999, "F": 18.998, "Na": 22.990, "P": 30.974,
         "S": 32.06, "Cl": 35.45, "K": 39.098, "Br": 79.904}
#: Formulas of forms from memory; their weights are checked against the shipped ones.
FORMULAS = {
    "glyphosate": "C3H8NO5P", "glyphosate potassium": "C3H7KNO5P", "glyphosate isopropylamine": "C6H17N2O5P",
    "2,4-D": "C8H6Cl2O3", "2,4-D choline": "C13H19Cl2NO4",
    "2,4-D 2-ethylhexyl": "C16H22Cl2O3", "dicamba diglycolamine": "C12H17Cl2NO5",
    "MCPA dimethylamine": "C11H16ClNO3", "triclopyr triethylamine": "C13H19Cl3N2O3",
    "clopyralid monoethanolamine": "C8H10Cl2N2O3", "fluroxypyr meptyl": "C15H21Cl2FN2O3",
    "picloram potassium": "C6H2Cl3KN2O2", "bentazon sodium": "C10H11N2NaO3S",
    "bromoxynil octanoate": "C15H17Br2NO2", "glufosinate ammonium": "C5H15N2O4P",
    "imazamox ammonium": "C15H22N4O4", "quizalofop-P ethyl": "C19H17ClN2O4",
}


def limit(name: str, unit: str = "lb ai/ac", **more: Any) -> dict[str, Any]:
    """Return an ingredient limit for any crop."""
    return {"active_ingredient": name, "crop": "any", "unit": unit, **more}


def of_first(actives: Rows, limits: Rows, *lines: tuple[str, float]) -> Plan:
    """Plan one pass of a mix of products at pints per acre."""
    goods = [product(name) for name in dict.fromkeys(row["product"] for row in actives)]
    return plan(farm(products=goods, ingredients=actives, ingredient_limits=limits, mixes=mix("Mix", *lines),
                     passes=[pass_("First", "Mix")]))


def weight(formula: str) -> float:
    """Return a molecular weight."""
    return sum(ATOMS[atom] * int(number or 1) for atom, number in re.findall(r"([A-Z][a-z]?)(\d*)", formula))


@pytest.mark.parametrize("name", FORMULAS)
def test_molecular_weights_follow_from_formulas(name: str) -> None:
    """The shipped weight of a form is that of its formula, to a twentieth of a gram per mole."""
    plain = name.replace(" ", "").replace("-", "").replace(",", "")
    [row] = [row for row in active_names() if row["plain"] == plain]

    assert (row["form_weight"] or row["acid_weight"]) == pytest.approx(weight(FORMULAS[name]), abs=0.05)


def test_ae_is_turned_into_ai_before_it_is_added() -> None:
    """2 pt of 4 lb ai/gal are 1.0 lb ai.

    1.9 pt of 3.8 lb ae/gal are 0.9025 lb ae, which is 1.0866 lb ai of the salt: 2.087 against 2.
    """
    actives = [active("One", "2,4-D dimethylamine salt", 4.0),
               active("Two", "2,4-D dimethylamine", 3.8, "lb ae/gal")]
    found = of_first(actives, [limit("2,4-D dimethylamine", max_pass=2.0, max_season=3.0)],
                     ("One", 2.0), ("Two", 1.9))

    for row in rows(found, "pass_ingredients", **{"pass": "First"})[:2]:
        assert row["amount"] == pytest.approx(1.0 + 0.9025 * 266.12 / 221.04, rel=1e-4)
        assert (row["counts"], row["pass_status"], row["season_status"]) == ("ai", NOT_ALLOWED, OK)


def test_salts_of_one_acid_count_together_as_acid() -> None:
    """1 lb of potassium salt (0.816) and 1 lb of isopropylamine salt (0.741) are 1.557 lb ae,
    over 1.5 (published fractions A05, A01).
    """
    actives = [active("One", "glyphosate, potassium salt", 8.0),
               active("Two", "glyphosate-isopropylammonium", 8.0)]
    found = of_first(actives, [limit("glyphosate", "lb ae/ac", max_pass=1.5, max_season=1.5)],
                     ("One", 1.0), ("Two", 1.0))

    row = rows(found, "pass_ingredients", product="Two")[0]
    assert (round(row["amount"], 3), row["pass_status"], row["pass_finding"]) == (
        1.557, NOT_ALLOWED, "glyphosate-isopropylammonium: 1.557 is over the limit per pass of 1.5 lb ae/ac",
    )


def test_resolved_and_racemic_forms_count_together() -> None:
    """1 lb of S-metolachlor and 1 lb of metolachlor are 2 lb, over a limit of 1.9 under either name."""
    actives = [active("One", "S-metolachlor", 8.0, group=15), active("Two", "metolachlor", 8.0, group=15)]
    for name in ("metolachlor", "S-metolachlor"):
        found = of_first(actives, [limit(name, max_pass=1.9)], ("One", 1.0), ("Two", 1.0))

        assert [(row["amount"], row["pass_status"])
                for row in rows(found, "pass_ingredients",
                                **{"pass": "First"})[:2]] == [(2.0, NOT_ALLOWED)] * 2


@pytest.mark.parametrize(
    ("name", "unit", "limit_unit"),
    [("2,4-D", "lb ai/gal", "lb ae/ac"), ("2,4-D", "g/L", "lb ae/ac"), ("2,4-D choline", "% w/w", "lb ae/ac"),
     ("2,4-D amine", "lb ai/gal", "lb ae/ac"), ("invented", "lb ai/gal", "lb ae/ac")],
)
def test_what_cannot_be_turned_is_not_entered_and_named(name: str, unit: str, limit_unit: str) -> None:
    """Where the salt is not named, or a plain unit says neither ae nor ai,
    the product is named and nothing is OK.
    """
    goods = [product("One", density=9.0)]
    found = plan(farm(products=goods, ingredients=[active("One", name, 4.0, unit, 4)],
                      ingredient_limits=[limit(name, limit_unit, max_pass=9.0, max_season=9.0)],
                      mixes=mix("Mix", ("One", 1.0))))

    [row] = rows(found, "pass_ingredients", name=name)
    assert (row["pass_status"], row["season_status"]) == (NOT_ENTERED, NOT_ENTERED)
    assert (row["pass_finding"] == f"{name}: content of One cannot be turned into ae; say which salt or "
                                   f"ester, in ae or ai")


def test_a_basis_in_the_unit_is_enough() -> None:
    """41 % ai of isopropylamine salt by weight, at 9.7 lb/gal: 1 pt is 0.4971 lb ai or 0.3683 lb ae."""
    goods, actives = ([product("One", density=9.7)],
                      [active("One", "glyphosate isopropylamine", 41.0, "% ai w/w")])
    found = plan(farm(products=goods, ingredients=actives,
                      ingredient_limits=[limit("glyphosate", "lb ae/ac", max_pass=0.37)],
                      mixes=mix("Mix", ("One", 1.0))))

    [row] = rows(found, "pass_ingredients", product="One")
    assert (round(row["amount"], 4), row["pass_status"]) == (0.3683, OK)


def test_a_limit_that_says_neither_is_not_entered() -> None:
    """A limit of dicamba in lb/ac leaves open whether salt or acid is meant.

    Of atrazine it does not matter.
    """
    found = {}
    for name in ("dicamba", "atrazine"):
        planned = of_first([active("One", name, 4.0, "lb ae/gal" if name == "dicamba" else "lb ai/gal")],
                           [limit(name, "lb/ac", max_pass=9.0)], ("One", 1.0))
        row = rows(planned, "pass_ingredients", name=name)[0]
        found[name] = row["pass_status"], row["pass_finding"]

    assert (found == {"dicamba": (NOT_ENTERED,
                                  "dicamba: the limit does not say ae or ai, or its rows differ in it"),
                      "atrazine": (OK, "")})


def test_a_missing_content_is_no_nothing() -> None:
    """A product whose content is blank leaves the sum of its ingredient open; it does not count as none."""
    actives = [active("One", "atrazine", 4.0, group=5),
               {**active("Two", "atrazine", group=5), "content": None}]
    found = of_first(actives, [limit("atrazine", max_pass=2.0, max_season=2.5)], ("One", 1.0), ("Two", 1.0))

    assert {row["pass_status"] for row in rows(found, "pass_ingredients", name="atrazine")} == {NOT_ENTERED}


@pytest.mark.parametrize("name", ["2, 4-D amine", "2 4-D amine", "24-D amine"])
def test_signs_and_spaces_do_not_hide_a_listed_name(name: str) -> None:
    """A name that is a listed one but for its signs and spaces is asked about."""
    inputs = farm(products=[product("One")], ingredients=[active("One", name, 4.0, "lb ae/gal", 4)],
                  mixes=mix("Mix", ("One", 1.0)))

    assert [problem.fix for problem in check_inputs(inputs, TYPED_TABLES)[1]
            if problem.code == "active-not-listed"] == ["Did you mean '2,4-D'?"]


def test_a_spelling_near_a_known_one_is_warned_of() -> None:
    """Glyphosphate counts with glyphosate, is a point to weigh in the workbook,
    and is asked about when checked.
    """
    inputs = farm(products=[product("One"), product("Two")],
                  ingredients=[active("One", "glyphosphate", 4.0, "lb ae/gal"),
                               active("Two", "glyphosate", 4.0, "lb ae/gal")],
                  ingredient_limits=[limit("glyphosate", "lb ae/ac", max_pass=0.9)],
                  mixes=mix("Mix", ("One", 1.0), ("Two", 1.0)), passes=[pass_("First", "Mix")])
    found = plan(inputs)

    assert {row["pass_status"] for row in rows(found, "pass_ingredients",
                                               **{"pass": "First"})[:2]} == {NOT_ALLOWED}
    assert (checks(found, "Group numbers")["First"]
            == (LOOK, "glyphosphate: not in the list by this name: counted with glyphosate"))
    assert [problem.fix for problem in check_inputs(inputs, TYPED_TABLES)[1]
            if problem.code == "active-not-listed"] == ["Did you mean 'glyphosate'?"]


def test_retreatment_counts_per_active() -> None:
    """Ten days after dicamba in one product, dicamba in another whose label wants 14 days is too soon."""
    goods, actives = ([product("One"), product("Two")],
                      [active("One", "dicamba", group=4), active("Two", "dicamba diglycolamine", group=4)])
    labels = [label(name, "any", max_passes=3, retreat_days=14) for name in ("One", "Two")]
    passes = [pass_("First", "A"), pass_("Second", "B", DAY + dt.timedelta(10))]
    found = plan(farm(products=goods, ingredients=actives, label_limits=labels,
                      mixes=mix("A", ("One", 1.0)) + mix("B", ("Two", 1.0)), passes=passes))

    assert (checks(found, "Repeat applications")["Second"]
            == (NOT_ALLOWED,
                "Two: 10 days after an active ingredient of it was last sprayed, the label wants 14"))


def test_two_names_of_one_registration_are_one_product() -> None:
    """Two passes of 1.5 pt under two names are 3 pt of a season of 2.

    1 + 1 pt in one mix is over a rate of 1.5; either label row holds.
    """
    goods = [product("One", registration_no="00000-7"),
             product("Two", registration_no="EPA Reg. No. 00000-7-123")]
    labels = [label("One", "any", max_rate=1.5, max_rate_season=2.0, max_passes=1, retreat_days=30)]
    passes = [pass_("First", "A"), pass_("Second", "B", DAY + dt.timedelta(20)),
              pass_("Both", "C", field="South")]
    mixes = mix("A", ("One", 1.5)) + mix("B", ("Two", 1.5)) + mix("C", ("One", 1.0), ("Two", 1.0))
    fields = [{"field": name, "area": 80.0, "crop": "corn"} for name in ("North", "South")]
    inputs = farm(fields=fields, products=goods, ingredients=[], label_limits=labels, mixes=mixes,
                  passes=passes)
    found = plan(inputs)

    [second] = rows(found, "product_limits", name="Two", **{"pass": "Second"})
    assert ((second["season_amount"], second["season_finding"])
            == (3.0, "Two (registered as One): 3 is over the season limit of 2 pt/ac"))
    assert (second["passes"], second["days_since"], second["repeat_status"]) == (2, 20, NOT_ALLOWED)
    assert {row["rate_status"] for row in rows(found, "product_limits", **{"pass": "Both"})
            if row["name"]} == {NOT_ALLOWED}
    assert [problem.code for problem in check_inputs(inputs, TYPED_TABLES)[1]] == ["shared-registration"]


def test_names_cannot_shorten_what_protects_people() -> None:
    """12 h typed under one name of a registration and 48 h under the other are 48 h for both,
    with the signs that one of them demands.
    """
    goods = [product("One", registration_no="00000-7", rei_hours=12, restricted_use="no"),
             product("Two", registration_no="00000-7", rei_hours=48, posting="both", restricted_use="yes")]
    found = plan(farm(products=goods, ingredients=[], mixes=mix("Mix", ("One", 1.0)),
                      passes=[pass_("First", "Mix", start_time=dt.time(8))]))

    assert ((found.tables["intervals"][0]["rei_hours"], found.tables["intervals"][0]["posting"])
            == (48, "Signs and word of mouth"))
    assert found.tables["record_lines"][0]["restricted"] == 1
    assert [each.rei_hours for each in notices(found, Choice())[0].products] == [48]


def test_what_another_name_asks_for_is_asked_of_all() -> None:
    """Six runoff points and very coarse droplets stand at the store's name alone:
    the mix of the maker's name needs both.
    """
    goods = [product("Maker", registration_no="00000-8", droplet_coarsest="UC"),
             product("Store", registration_no="00000-8-2", droplet_wanted="VC", droplet_coarsest="XC")]
    runoff: Rows = [{"product": "Store", "label_section": "yes", "label_points": 6, "bulletin_points": 0}]
    found = plan(farm(products=goods, ingredients=[], mitigation_labels=runoff,
                      mixes=mix("Mix", ("Maker", 1.0)), passes=[pass_("First", "Mix")]))

    assert (found.tables["mitigation_checks"][0]["needed"],
            found.tables["mitigation_checks"][0]["asked_by"]) == (6, "Maker")
    assert found.tables["pass_droplets"][0]["wanted"] == "VC to XC"


def test_a_metric_farm_turns_salt_into_acid_too() -> None:
    """2 L/ha of 500 g/L potassium salt are 1 kg ai/ha or 0.816 kg ae/ha (published fraction A05), over 0.8.
    """
    inputs = small_farm("metric",
                        ingredients={"active_ingredient": "glyphosate potassium", "content": 500.0,
                                     "content_unit": "g ai/L"}, mixes={"rate": 2.0, "rate_unit": "L/ha"},
                        ingredient_limits=limit("glyphosate", "kg ae/ha", max_pass=0.8))

    [row] = rows(plan(inputs), "pass_ingredients", product="Product")
    assert ((round(row["amount"], 3), row["pass_finding"])
            == (0.816, "glyphosate potassium: 0.816 is over the limit per pass of 0.8 kg ae/ha"))


@pytest.mark.parametrize(
    ("crops", "rate", "status"),
    [(["winter wheat"], 1.0, NOT_ENTERED), (["winter wheat", "any"], 1.0, LOOK),
     (["winter wheat"], 3.0, NOT_ALLOWED), (["spring wheat"], 1.0, OK), (["wheat"], 1.0, OK)],
)
def test_a_limit_that_nearly_names_the_crop_is_no_ok(crops: list[str], rate: float, status: str) -> None:
    """A pint of 4 lb/gal is half a pound, under the one pound for winter wheat,
    which may or may not be meant for spring wheat; 1.5 are over it either way.
    """
    limits = [{"active_ingredient": "glyphosate", "crop": crop, "max_pass": 1.0, "max_season": 1.0,
               "unit": "lb ai/ac"} for crop in crops]
    found = plan(farm(field={"crop": "spring wheat"}, ingredient_limits=limits,
                      mixes=mix("Mix", ("Product", rate)), passes=[pass_("First", "Mix")]))

    [row] = rows(found, "pass_ingredients", product="Product")
    assert (row["pass_status"], row["season_status"]) == (status, status)
    if status in (NOT_ENTERED, LOOK):
        assert (row["pass_finding"] == "glyphosate: the limit for winter wheat may or may not mean spring "
                                       "wheat; the stricter figures count until one name stands in both")


def test_nutrients_of_a_fertilizer_need_no_limit() -> None:
    """Nitrogen in a fertilizer is no active ingredient whose limit is missing."""
    goods = [product("Feed", kind="fertilizer", registration_no="none")]
    found = plan(farm(products=goods, ingredients=[active("Feed", "nitrogen", 3.0, group=None)],
                      mixes=mix("Mix", ("Feed", 8.0)), passes=[pass_("First", "Mix")]))

    assert "First" not in checks(found, "Ingredient per pass")


def test_products_without_a_number_stay_apart() -> None:
    """Two adjuvants whose number is typed as none are two products."""
    goods = [product(name, registration_no="None", kind="adjuvant") for name in ("One", "Two")]

    assert [row["product_no"]
            for row in plan(farm(products=goods, ingredients=[])).tables["product_facts"][:2]] == [1, 2]


def one_trip(**spot: Any) -> Plan:
    """Plan a broadcast pass and a spot pass of 1.5 pt each, the second the partner of the first."""
    labels = [label("Product", "any", max_rate=2.0, max_rate_season=4.0, max_passes=1, retreat_days=14)]
    passes = [pass_("Broad", "Mix"),
              pass_("Spots", "Mix", **{"method": "spot", "sprayed_share": 0.2,
                                       "partner_pass": "Broad", **spot})]
    return plan(farm(label_limits=labels, mixes=mix("Mix", ("Product", 1.5)), passes=passes,
                     ingredient_limits=[limit("glyphosate", max_pass=1.0)]))


def test_one_application_is_what_lands_in_one_trip() -> None:
    """1.5 + 1.5 pt on the spots is 3 pt in one application of at most 2.

    It is one application, not two, and needs no days between.
    """
    found = one_trip()

    for row in rows(found, "product_limits", name="Product"):
        assert ((row["rate"], row["rate_finding"])
                == (3.0, "Product: 3 is over the label rate of 2 pt/ac in one trip"))
        assert (row["season_amount"], row["passes"], row["repeat_status"]) == (3.0, 1, OK)
    assert {row["pass_status"] for row in rows(found, "pass_ingredients", name="glyphosate")} == {NOT_ALLOWED}


def test_a_partner_named_from_the_broadcast_side_counts_too() -> None:
    """Whichever of the two names the other, they are one trip; both naming each other changes nothing."""
    passes = {"Broad": pass_("Broad", "Mix", partner_pass="Spots"),
              "Spots": pass_("Spots", "Mix", method="spot", sprayed_share=0.2)}
    for both in (None, "Broad"):
        passes["Spots"]["partner_pass"] = both
        found = plan(farm(label_limits=[label("Product", "any", max_rate=2.0)],
                          mixes=mix("Mix", ("Product", 1.5)), passes=list(passes.values())))

        assert [row["rate"] for row in rows(found, "product_limits", name="Product")] == [3.0, 3.0]


def test_a_partner_of_another_day_is_no_trip() -> None:
    """Three days apart they are two applications of 1.5 pt: each within the rate,
    but one too many and too soon.
    """
    found = one_trip(date=DAY + dt.timedelta(3))

    assert [(row["rate"], row["rate_status"], row["repeat_status"])
            for row in rows(found, "product_limits", name="Product")] == [(1.5, OK, NOT_ALLOWED)] * 2
