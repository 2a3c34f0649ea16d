"""The invented demo farms hold just the findings they are meant to show, by plain arithmetic on the CSV text.
"""

from __future__ import annotations

from calendar import monthrange
from collections import Counter
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise

import pytest
from demo_csv import FARMS, TABLES, Farm, Line, herbicides, load

from workbook_builder.build import Built
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, Column
from workbook_builder.features.reference import data as reference_data
from workbook_builder.features.shipped import shipped_rows

#: Label figures that every use of a herbicide needs.
NEEDED_FIGURES = ("max_rate", "max_rate_season", "rate_unit", "max_passes", "retreat_days", "phi_days",
                  "grazing_days")
#: Day, herbicide, base units per area of sprayed ground.
Use = tuple[date, str, float]

#: Base units (fl oz or oz; mL or g) per area in a rate of 1, by rate unit.
RATE = {"fl oz/ac": 1, "pt/ac": 16, "qt/ac": 32, "oz/ac": 1, "lb/ac": 16, "L/ha": 1000, "g/ha": 1}
#: Mass (lb or kg) of ingredient in one base unit of product of content 1, by content unit.
CONTENT = {"lb ae/gal": 1 / 128, "lb ai/gal": 1 / 128, "% w/w": 0.01 / 16, "g ae/L": 1e-6,
           "g ai/L": 1e-6, "g/kg": 1e-6}
#: lb/ac or kg/ha in a limit of 1, by limit unit.
LIMIT = {"lb ae/ac": 1, "lb ai/ac": 1, "oz ai/ac": 1 / 16, "kg ae/ha": 1, "g ai/ha": 0.001, "kg ai/ha": 1}


def uses(farm: Farm, name: str) -> list[Use]:
    """Return the herbicide uses on a field by date; a spot pass counts at its full rate."""
    return sorted(
        (date.fromisoformat(spray["date"]), item["product"], float(item["rate"]) * RATE[item["rate_unit"]])
        for spray in farm["passes"] if spray["field"] == name
        for item in farm["mixes"] if item["mix"] == spray["mix"] and item["product"] in herbicides(farm)
    )


def labelled(farm: Farm) -> Iterator[tuple[Line, Line, list[Use]]]:
    """Yield (field, label line, uses) of each herbicide on each field."""
    for field in farm["fields"]:
        own = uses(farm, field["field"])
        for product in sorted({product for _, product, _ in own}):
            line = row_for(farm["label_limits"], "product", product, "crop", field["crop"])
            yield field, line, [use for use in own if use[1] == product]


def row_for(lines: list[Line], key: str, name: str, place: str, crop: str) -> Line:
    """Return the line of a product or ingredient for one crop, or else its line for any crop."""
    named = {line[place]: line for line in lines if line[key] == name}
    return named.get(crop) or named["any"]


def months_later(start: date, months: int) -> date:
    """Return the date some calendar months later, clipped to the end of the month."""
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    return date(year, month + 1, min(start.day, monthrange(year, month + 1)[1]))


def groups_of(farm: Farm, mix: str) -> set[int]:
    """Return the herbicide groups in a mix."""
    products = {item["product"] for item in farm["mixes"] if item["mix"] == mix} & herbicides(farm)
    return {int(line["mode_group"]) for line in farm["ingredients"] if line["product"] in products}


def ingredient_amounts(farm: Farm, field: str, active: str) -> list[tuple[str, float]]:
    """Return (product, mass per area) of every use of an active ingredient on a field."""
    contents = {line["product"]: float(line["content"]) * CONTENT[line["content_unit"]]
                for line in farm["ingredients"] if line["active_ingredient"] == active}
    return [(product, rate * contents[product]) for _, product, rate in uses(farm, field)
            if product in contents]


def late_harvests(farm: Farm) -> set[tuple[str, str]]:
    """Return (field, product) where the planned harvest comes before the preharvest interval ends."""
    return {
        (field["field"], line["product"])
        for field, line, own in labelled(farm) if field["harvest_date"] and line["phi_days"]
        for day, harvest in ((use[0], date.fromisoformat(field["harvest_date"])) for use in own)
        if day <= harvest < day + timedelta(int(line["phi_days"]))
    }


def early_plantings(farm: Farm) -> set[tuple[str, str]]:
    """Return (field, product) where the next crop, or this one, is planted before its interval ends."""
    found = set()
    for field in farm["fields"]:
        for crop, planting in ((field[f"{when}crop"], field[f"{when}planting_date"])
                               for when in ("", "next_")):
            for day, product, _ in (use for use in uses(farm, field["field"]) if str(use[0]) <= planting):
                line = row_for(farm["plant_back"], "product", product, "next_crop", crop)
                number, unit = int(line["interval"]), line["interval_unit"]
                if planting < str(months_later(day, number) if unit == "months" else day + timedelta(number)):
                    found.add((field["field"], product))
    return found


def broken_ingredient_limits(farm: Farm) -> set[tuple[str, str]]:
    """Return (field, active ingredient) where a pass or the season goes over the ingredient's limit."""
    found = set()
    for field in farm["fields"]:
        for active in {line["active_ingredient"] for line in farm["ingredients"]}:
            amounts = [amount for _, amount in ingredient_amounts(farm, field["field"], active)]
            line = row_for(farm["ingredient_limits"], "active_ingredient", active, "crop", field["crop"])
            highest, season = (float(line[key]) * LIMIT[line["unit"]] for key in ("max_pass", "max_season"))
            if max(amounts, default=0) > highest or sum(amounts) > season:
                found.add((field["field"], active))
    return found


def broken_product_limits(farm: Farm) -> set[tuple[str, str]]:
    """Return (field, product) that breaks its rate, season, number of passes or retreatment interval."""
    found = set()
    for field, line, own in labelled(farm):
        rates, unit = [rate for _, _, rate in own], RATE[line["rate_unit"]]
        close = any((b[0] - a[0]).days < int(line["retreat_days"]) for a, b in pairwise(own))
        over = (max(rates) > float(line["max_rate"]) * unit
                or sum(rates) > float(line["max_rate_season"]) * unit)
        if close or over or len(own) > int(line["max_passes"]):
            found.add((field["field"], line["product"]))
    return found


def overused_groups(farm: Farm) -> set[tuple[str, int, int]]:
    """Return (field, group, uses) where a group is used over twice this season or three seasons in a row."""
    found = set()
    for field in (line["field"] for line in farm["fields"]):
        past = {(line["season"], int(line["mode_group"])) for line in farm["past_use"]
                if line["field"] == field}
        mixes = [spray["mix"] for spray in farm["passes"] if spray["field"] == field]
        for group, count in Counter(group for mix in mixes for group in groups_of(farm, mix)).items():
            if count > 2 or {("2025", group), ("2024", group)} <= past:
                found.add((field, group, count))
    return found


def single_modes(farm: Farm) -> set[tuple[str, str]]:
    """Return (pass, field) of the passes that carry fewer than two herbicide groups."""
    return {(x["pass"], x["field"]) for x in farm["passes"] if 0 < len(groups_of(farm, x["mix"])) < 2}


def missing_figures(farm: Farm) -> set[tuple[str, str, str]]:
    """Return (product, crop, column) of label figures that a planned use needs and nobody entered."""
    return {(x["product"], field["crop"], key) for field, x, _ in labelled(farm) for key in NEEDED_FIGURES
            if not x[key]}


def allowed(farm: Farm, column: Column) -> set[str] | None:
    """Return the words a column accepts, or ``None`` when it accepts anything."""
    if isinstance(column.choices, tuple):
        return set(column.choices)
    if (not column.choices or column.choices.startswith(("crops.", "time_zones."))
        or (column.choices == "products.product" and column.suggest_only)):
        return None
    table, key = column.choices.replace("mix_list", "mixes").replace("cost_pass_names", "passes").split(".")
    if table in TABLES:
        return {line[key] for line in farm[table]}
    others = ({line["active_ingredient"] for line in farm["ingredients"]
               if line["mode_group"] in reference_data.other_actives().values()}
              if table == "active_list" else set())
    return others | {str(row[key]) for row in shipped_rows(farm["farm"][0]["units"])[table]}


@pytest.mark.parametrize("folder", FARMS)
@pytest.mark.parametrize("table", sorted(TABLES))
def test_cells_keep_the_declarations(folder: str, table: str) -> None:
    """Headers are declared keys in their order, required cells are filled, and every choice and limit holds.
    """
    farm = load(folder)
    for column in TABLES[table].columns:
        words = allowed(farm, column)
        for line in farm[table]:
            assert list(line) == [key for key in TABLES[table].by_key if key in line]
            value = line.get(column.key, "")
            assert value or not column.required
            assert not value or words is None or value in words, (column.key, value)
            if value and column.minimum is not None and column.maximum is not None:
                assert column.quantity == "code" or column.minimum <= float(value) <= column.maximum


@pytest.mark.parametrize("folder", FARMS)
def test_demo_says_it_is_invented(folder: str) -> None:
    """Farm, fields and products say they are invented, no registered sign appears,
    and groups are the listed ones.
    """
    farm = load(folder)
    assert farm["farm"][0]["farm"].startswith("Invented")
    assert all(line["notes"].startswith("Invented") for table in ("fields", "products")
               for line in farm[table])
    assert (not set("®™©℠") & {sign for lines in farm.values() for line in lines
                               for sign in "".join(line.values())})
    listed = {row["active_ingredient"]: row["mode_group"] for row in reference_data.active_list()}
    own = [line for line in farm["ingredients"] if line["product"] in herbicides(farm)]
    assert all(listed[line["active_ingredient"]] == int(line["mode_group"]) for line in own)
    assert {line["product"] for line in own} == herbicides(farm)
    others = {line["active_ingredient"]: line["mode_group"] for line in farm["ingredients"]
              if line not in own}
    assert others == ({"lambda-cyhalothrin": "3A", "azoxystrobin": "11"} if folder == "demo" else {})
    assert all(code in reference_data.other_actives().values() for code in others.values())


@pytest.mark.parametrize(("folder", "sizes"), [("demo", (12, 23, 18, 38)), ("demo_metric", (4, 7, 3, 8))])
def test_counts(folder: str, sizes: tuple[int, ...]) -> None:
    """Each farm has the intended number of distinct fields, products, mixes and passes."""
    farm = load(folder)
    assert len({(line["pass"], line["field"]) for line in farm["passes"]}) == len(farm["passes"])
    keys = (("fields", "field"), ("products", "product"), ("mixes", "mix"), ("passes", "pass"))
    names = [[line[key] for line in farm[table]] for table, key in keys]
    assert (len(set(names[0])), len(set(names[1])), len(set(names[2])), len(names[3])) == sizes
    assert all(2 <= size <= 5 for size in Counter(names[2]).values())


def test_demo_shows_what_people_do() -> None:
    """Rates are written every way, several fields share a run, and spots are 15 to 40 % of a field."""
    farm = load("demo")
    assert ({"oz/ac", "lb/ac", "fl oz/ac", "pt/ac", "% v/v", "lb/100 gal"}
            <= {x["rate_unit"] for x in farm["mixes"]})
    runs = Counter((line["mix"], line["date"], line["sprayer"]) for line in farm["passes"])
    assert sum(size > 1 for size in runs.values()) >= 5
    for spray in farm["passes"]:
        spot = spray["method"] == "spot"
        assert (0.15 <= float(spray["sprayed_share"]) <= 0.4) if spot else spray["sprayed_share"] == ""
    past = {(line["field"], line["season"]) for line in farm["past_use"]}
    assert past == {(line["field"], season) for line in farm["fields"] for season in ("2023", "2024", "2025")}


def test_findings_are_the_intended_ones() -> None:
    """The metric farm is clean; the demo farm has one finding of each kind and no broken product limit."""
    us, metric = load("demo"), load("demo_metric")
    for check, expected in (
        (late_harvests, {("South Terrace", "Glyphosate 4.3 SL")}),
        (early_plantings, {("School Section", "Atrazine 82 WG")}),
        (broken_product_limits, set()),
        (broken_ingredient_limits, {("Windmill", "atrazine")}),
        (overused_groups, {("Corner", 9, 3)}),
        (missing_figures, {("Imazamox 0.8 SL", "field pea", "phi_days")}),
        (single_modes, {("In-crop", "Creek 80"), ("Stubble cover", "East Bench")}),
    ):
        assert (check(us), check(metric)) == (expected, set())


def test_demo_is_telling_and_mostly_sane(demo: Built) -> None:
    """Every open status shows at several checks, and yet most passes may be sprayed:
    at most a fifth are not allowed or lack a figure.
    """
    rows = [row for row in demo.plan.tables["all_checks"] if row["status"]]
    passes = len({(row["pass"], row["field"]) for row in rows})
    for status in (NOT_ALLOWED, NOT_ENTERED):
        shown = [row for row in rows if row["status"] == status]
        assert len({row["check"] for row in shown}) >= 5
        assert len({(row["pass"], row["field"]) for row in shown}) <= passes / 5
    assert len({row["check"] for row in rows if row["status"] == LOOK}) >= 5
    assert sum(row["status"] == "OK" for row in rows) >= 0.9 * len(rows)


def test_arithmetic_of_the_findings() -> None:
    """Atrazine comes to 1.3775 + 0.984 = 2.3615 lb/ac against 2.3.

    Peas wait to 19 July and to January 2028.
    """
    farm = load("demo")
    amounts = dict(ingredient_amounts(farm, "Windmill", "atrazine"))
    assert amounts == pytest.approx({"Two-way premix": 1.9 * 32 * 2.9 / 128, "Atrazine 82 WG": 1.2 * 0.82})
    assert max(amounts.values()) <= 1.9 < 2.3 < sum(amounts.values()) == pytest.approx(2.3615)
    nines = [line["season"] for line in farm["past_use"] if (line["field"], line["mode_group"])
             == ("Corner", "9")]
    assert nines == ["2023", "2024", "2025"]
    fields = {line["field"]: line for line in farm["fields"]}
    assert fields["South Terrace"]["harvest_date"] == "2026-07-16" < str(date(2026, 7, 10) + timedelta(9))
    assert (fields["School Section"]["next_planting_date"] == "2027-04-05"
            < str(months_later(date(2026, 6, 24), 19)))


def test_labels_beyond_maxima_show_one_finding_each(demo: Built) -> None:
    """One field shows a fungicide group twice in a row, a rate under the least, a stage passed, leaves
    overfed, a pest below its threshold, a spot pass against what no camera sees, a buffer cut short and a
    rate over that of its soil.
    """
    wanted = {
        ("Leaf disease", "Group rotation", LOOK), ("Second leaf disease", "Group rotation", LOOK),
        ("Midge", "Least rate and carrier", LOOK),
        ("Second leaf disease", "Crop stage and date", NOT_ALLOWED),
        ("Leaf disease", "Nutrients", LOOK), ("Second leaf disease", "Nutrients", LOOK),
        ("Midge", "Threshold", LOOK), ("Midge", "Spot limits", LOOK),
        ("In-crop", "Downwind buffer", NOT_ALLOWED), ("In-crop", "Rate by soil", NOT_ALLOWED),
    }
    of = {check for _, check, _ in wanted}
    shown = [row for row in demo.plan.tables["all_checks"] if row["check"] in of
             and row["status"] not in ("", "OK") and (row["field"], row["check"])
             not in (("Corner", "Group rotation"), ("Creek 80", "Spot limits"))]

    assert {(row["pass"], row["check"], row["status"]) for row in shown} == wanted
    assert {row["field"] for row in shown} == {"School Section"}
