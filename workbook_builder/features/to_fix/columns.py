"""What to fix, by cause: one line a cause on the first sheet, and the lines behind it by pass and field."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from workbook_builder.core.columns import (
    FIXED,
    LOOK,
    NOT_ALLOWED,
    NOT_ENTERED,
    OPEN_STATUSES,
    SETTING,
    Column,
    Table,
)
from workbook_builder.core.quantities import quantity
from workbook_builder.core.short import check, result, slot_number, working
from workbook_builder.features.checks import CHECK_KINDS
from workbook_builder.features.farm.columns import FIELDS, PASSES, SPRAYERS
from workbook_builder.features.overview.columns import WORSE
from workbook_builder.features.products.inputs import (
    INGREDIENT_LIMITS,
    INGREDIENTS,
    LABEL_LIMITS,
    MIXES,
    PLANT_BACK,
    PRODUCTS,
)
from workbook_builder.features.records.inputs import SPRAY_LOG

#: Tables that a plan rests on, and the tab on which each is typed.
TYPED: dict[str, tuple[Table, ...]] = {
    "Farm": (FIELDS, SPRAYERS),
    "Products": (PRODUCTS, INGREDIENTS, LABEL_LIMITS, INGREDIENT_LIMITS, PLANT_BACK),
    "Mixes": (MIXES,), "Passes": (PASSES,), "Records": (SPRAY_LOG,),
}
#: What each check means when it is not OK, in the order of `OPEN_STATUSES`; blank where the name of the check
#: must do.
CAUSES: dict[str, tuple[str, str, str]] = {
    **{f"Numbers on the tab {tab}": ("", f"Text where a number or a date belongs, {tab}", "")
       for tab in TYPED},
    "Crop on the label": ("Product the label does not allow on the crop", "Crop that no label row names",
                          "Crop that a label row nearly names"),
    "Mix and tank": ("Mix that must not be made so", "Pass, mix or tank not complete",
                     "Mix or share of the field in doubt"),
    "Label rate": ("Rate over the label", "Highest rate of the label not entered",
                   "Label rate of a liquid in oz"),
    "Rate by soil": ("Rate over the label for this soil", "Soil of a field, or a rate for it, not entered",
                     "Rate under the label for this soil"),
    "Season amount": ("Season amount over the label", "Season limit of the label not entered", ""),
    "Least rate and carrier": ("Carrier the label does not allow, or a group too often",
                               "Rate, carrier or height of weeds not entered",
                               "Under the least rate, or weeds too tall"),
    "Crop stage and date": ("Stage, height or date off label",
                            "Crop stage, height or planting date not entered", ""),
    "Repeat applications": ("Too many passes, or too soon", "Most passes or days between them not entered",
                            ""),
    "Ingredient per pass": ("Active ingredient over its limit per pass",
                            "Content or limit of an ingredient not entered",
                            "Ingredient limit of a crop nearly named"),
    "Ingredient per season": ("Ingredient over its season limit",
                              "Content or season limit of an ingredient not entered",
                              "Ingredient season limit of a crop nearly named"),
    "Re-entry": ("Re-entry against the label", "Re-entry interval not entered", "Re-entry to be watched"),
    "Work in a closed field": ("Work inside a re-entry interval",
                               "Time of work in a closed field not entered",
                               "Work in a closed field to be watched"),
    "Harvest": ("Harvest before the label allows", "Preharvest interval or harvest date not entered", ""),
    "Grazing": ("Grazing before the label allows", "Grazing interval not entered", ""),
    "Rain-free": ("", "Rain-free hours not entered", ""),
    "Plant-back": ("Next crop too soon", "Plant-back interval or date not entered", ""),
    "Plant-back, this crop": ("This season's crop too soon after a spray",
                              "Plant-back interval of this season's crop not entered",
                              "Planting date of this season's crop not entered"),
    "Plant-back of earlier sprays": ("Crop too soon after a spray of an earlier season",
                                     "Plant-back interval of an earlier spray not entered",
                                     "Planting date after an earlier spray not entered"),
    "Herbicide groups in the pass": ("", "Herbicide groups not entered",
                                     "Fewer herbicide groups than wanted"),
    "Group rotation": ("", "Past use or group not entered", "One group too often"),
    "Group numbers": ("", "Group number not entered",
                      "Group number or name of an active ingredient in doubt"),
    "Effective herbicide groups": ("", "Rating on a driver weed not entered",
                                   "Too few groups work on a weed"),
    "Nutrients": ("", "Rate or density of a fertilizer not entered",
                  "More of a nutrient than leaves bear, or than is wanted"),
    "Threshold": ("", "Count or threshold of a pest not entered", "Pass planned below the threshold"),
    "Threshold reached": ("", "", "Threshold reached, and no pass planned"),
    "Nozzle pressure": ("Pressure outside the nozzle's range", "Nozzle or sprayer figures not entered",
                        "No nozzle gives the flow"),
    "Droplet size": ("Droplets the label does not allow", "Droplet size not entered", ""),
    "Downwind buffer": ("Too little unsprayed downwind", "What is left unsprayed downwind not entered", ""),
    "Water for the mix": ("Ammonium sulfate the label forbids", "Water test or label range not entered",
                          "Ammonium sulfate or water to be looked at"),
    "Clean-out": ("", "Clean-out on the label not entered", "Clean out before the next mix"),
    "Runoff points": ("Runoff points missing", "Runoff points not entered", ""),
    "Cost": ("", "Price or hours not entered", "Cost of a pass in doubt"),
    "Sprayer free": ("One sprayer in two fields at once", "Times of a sprayer not entered",
                     "One sprayer in two fields, perhaps"),
    "Time of day": ("Start outside the label's hours", "Start time or place not entered",
                    "Work lasts past the day the label allows"),
    "Conditions of the day": ("Conditions outside the label", "Conditions not entered", ""),
    "Spray record": ("", "Spray record not entered",
                     "Spray record not complete, or at odds with the field or itself"),
    "Spot or broadcast": ("", "Spot terms or price not entered", "Broadcasting costs less"),
    "Spot share": ("", "Area or carrier of a spot pass not entered", "Share of the field in doubt"),
    "Spot limits": ("Outside the terms of the spot sprayer", "Spot terms or row spacing not entered", ""),
    "Follow-up": ("", "", "Survivors: weigh a respray"),
    "Order figures": ("", "Package, price or density of an order not entered", ""),
    "Orders": ("", "", "Order late, or dearer than need be"),
    "Spray map": ("", "", "Log of a spot pass to be looked at"),
    "Sprayer section": ("", "", "Section of a sprayer that sprayed nothing"),
    "Past use": ("", "Past use under a number that depends on the ingredient", ""),
    "Fuel price missing": ("", "Fuel price not entered", ""),
}


@dataclass(frozen=True)
class FarmRule:
    """A check of the farm as a whole: what is wrong when a condition holds.

    Parameters
    ----------
    name : str
        Printed name.
    table : str
        Table in which it is put right.
    found, finding : str
        Formula that is true when the rule is broken, and formula of what is said then.
    status : str
        What it counts as.
    """

    name: str
    table: str
    found: str
    finding: str
    status: str = LOOK


#: Kinds of cells that hold a number: dates and times of day are numbers to a spreadsheet.
_NUMBERS = ("whole", "number", "share", "money", "date", "time")


def _texts(table: Table) -> Column:
    """Declare how many cells of a typed table hold text where a number belongs.

    Typing is kept from it by the rule of the cell, pasting is not.
    """
    cells = [f"{{{table.key}.{column.key}:all}}" for column in table.columns
             if not column.formula and quantity(column.quantity).form in _NUMBERS]
    return working(table.key, f"Texts in {table.title}",
                   "+".join(f'SUMPRODUCT(({each}<>"")*1)-COUNT({each})' for each in cells), "count")


TYPED_TEXTS = Table(
    "typed_texts",
    "Texts for numbers",
    "How many typed cells hold text where a number or a date belongs.",
    tuple(_texts(table) for tables in TYPED.values() for table in tables),
    rows="form",
    kind="working",
    sheet="Workings passes",
)


def _texts_on(tab: str) -> str:
    return "+".join(f"{{typed_texts.{table.key}}}" for table in TYPED[tab])


def _text_rule(tab: str) -> FarmRule:
    return FarmRule(f"Numbers on the tab {tab}", TYPED[tab][0].key, f"{_texts_on(tab)}>0",
                    f'"Cells that hold text where a number or a date belongs: "&{_texts_on(tab)}'
                    '&"; what leans on them is wrong or left out"', NOT_ENTERED)


_BROADCAST_EXTRAS = ('SUMPRODUCT(({passes.method:all}="broadcast")*((({passes.sprayed_share:all}<>"")'
                     '*({passes.sprayed_share:all}<>1)+({passes.pressure_class:all}<>"")'
                     '+({passes.partner_pass:all}<>""))>0))')
_IN_PARTS = "SUM({sprayer_costs.in_parts:all})"

#: Settings that cannot act as they are typed, and the orders.
FARM_RULES: tuple[FarmRule, ...] = (
    *map(_text_rule, TYPED),
    FarmRule("Order figures", "order_list", 'COUNTIF({order_list.status:all},"Not entered")>0',
             "{order_totals.state}", NOT_ENTERED),
    FarmRule("Orders", "order_list",
             'AND(COUNTIF({order_list.status:all},"Not entered")=0,COUNTIF({order_list.status:all},'
             '"Review")>0)', "{order_totals.state}"),
    FarmRule("Threshold reached", "pests",
             'COUNTIFS({thresholds.planned:all},0,{thresholds.status:all},"Review")>0',
             'COUNTIFS({thresholds.planned:all},0,{thresholds.status:all},"Review")&" counts are at or over '
             'their threshold, and no pass is planned"'),
    FarmRule("Seasons in a row", "assumptions", "group_seasons>SUM({farm.look_back_seasons})+1",
             '"A limit of "&group_seasons&" seasons in a row never shows: the plan looks back "'
             '&SUM({farm.look_back_seasons})&IF(SUM({farm.look_back_seasons})=1," season"," seasons")'),
    FarmRule("Advised wind", "assumptions", "wind_low>=wind_high",
             '"No wind lies between the two figures: advised wind, from and to"'),
    FarmRule("Delta T", "assumptions", "delta_t_low>=delta_t_high",
             '"Nothing lies between the two figures: delta T, from and to"'),
    FarmRule("Usual water pH", "agronomy_settings", "ph_low>=ph_high",
             '"Nothing lies between the two figures: usual water pH, from and to"'),
    FarmRule("Labor rate", "farm", "AND(SUM({farm.labor_rate})>0,%s=0)" % _IN_PARTS,
             '"The labor rate is not used: no sprayer is counted in parts, by fuel or by price and years"'),
    FarmRule("Fuel price", "farm", "AND(SUM({farm.fuel_price})>0,SUM({sprayers.fuel_per_hour:all})=0)",
             '"The fuel price is not used: no sprayer has fuel per hour"'),
    FarmRule("Fuel price missing", "farm",
             "AND(SUM({farm.fuel_price})=0,SUM({sprayers.fuel_per_hour:all})>0)",
             '"Fuel per hour is typed without a fuel price: fuel is counted as free"', NOT_ENTERED),
    FarmRule("Cost per hour", "sprayers",
             "SUMPRODUCT(({sprayer_costs.in_parts:all}=1)*({sprayers.cost_per_hour:all}<>\"\"))>0",
             '"The cost per hour of a sprayer is not used: it is counted in parts, by fuel or by price and '
             'years"'),
    FarmRule("Share, pressure class or partner", "passes", "%s>0" % _BROADCAST_EXTRAS,
             '%s&" broadcast passes hold a share, pressure class or partner, which only a spot pass uses"'
             % _BROADCAST_EXTRAS),
    FarmRule("Spray map", "map_checks", "{map_pick.open}>0",
             '{map_passes.pass@map_pick.first_open}&", "&{map_passes.field@map_pick.first_open}&": "'
             '&{map_checks.finding@map_pick.first_open}'),
    FarmRule("Sprayer section", "sprayer_checks", "{map_pick.dead}>0",
             '{map_passes.pass@map_pick.first_dead}&", "&{map_passes.field@map_pick.first_dead}&": section "'
             '&{map_passes.dead_sections@map_pick.first_dead}&" sprayed next to nothing: check nozzles, '
             'strainers and valve before the next pass"'),
    FarmRule("Past use", "past_use", "SUM({past_facts.unknown:all})>0",
             '"Past use of old group "&INDEX({past_use.mode_group:all},MATCH(1,{past_facts.unknown:all},0))'
             '&": type the group of today of its active ingredient"', NOT_ENTERED),
)
#: Names of the checks of every pass and of the farm.
KINDS = tuple(kind.name for kind in CHECK_KINDS) + tuple(rule.name for rule in FARM_RULES)


def cause_of(name: str, status: str) -> str:
    """Return the cause of an open check in words."""
    said = CAUSES.get(name, ("", "", ""))[OPEN_STATUSES.index(status)]
    look = f"Cannot act as typed: {name.lower()}" if name in {rule.name for rule in FARM_RULES} else name
    return (said or {NOT_ALLOWED: f"{name}: not allowed", NOT_ENTERED: f"{name}: not entered",
                     LOOK: look}[status])


def _of_kind(passes: str, farm: str) -> tuple[str, ...]:
    """Return one formula a cause: worst status first, and for each the checks of passes and those of the
    farm.

    ``%(no)d`` and ``%(status)s`` stand for the number of the check and the status.
    """
    return tuple(
        (passes if no <= len(CHECK_KINDS) else farm)
        % {"no": no if no <= len(CHECK_KINDS) else no - len(CHECK_KINDS), "status": status}
        for status in OPEN_STATUSES for no in range(1, len(KINDS) + 1)
    )


FARM_CHECKS = Table(
    "farm_checks",
    "Checks of the farm",
    "Settings that cannot act as they are typed, and the orders.",
    (
        Column("check", "Check", "name", FIXED),
        Column("where", "Sheet", "name", FIXED),
        check("status", "Status", tuple(f'IF({rule.found},"{rule.status}","OK")' for rule in FARM_RULES)),
        check("finding", "Finding", tuple(f'IF({{status}}="OK","",{rule.finding})' for rule in FARM_RULES),
              "long_text"),
    ),
    rows="list:farm_rules",
    kind="result",
)

CAUSE_LIST = Table(
    "causes",
    "Cause workings",
    "Every way a check can be open, worst first: how often it is, and where first.",
    (
        slot_number(),
        Column("status", "Status", role=FIXED),
        Column("cause", "Cause", role=FIXED),
        Column("where", "Sheet", role=FIXED),
        working("count", "Lines",
                _of_kind('COUNTIFS({all_checks.check_no:all},%(no)d,{all_checks.status:all},"%(status)s")',
                         'IF(INDEX({farm_checks.status:all},%(no)d)="%(status)s",1,0)'), "count"),
        working("first", "First line", _of_kind(
            'IF({count}=0,"",_xlfn.MINIFS({all_checks.row_no:all},{all_checks.check_no:all},%(no)d,'
            '{all_checks.status:all},"%(status)s"))', 'IF({count}=0,"",%(no)d)')),
        working("example", "For instance", _of_kind(
            'IF({first}="","",INDEX({pass_volumes.pass:all},INDEX({all_checks.parent_no:all},{first}))&", "'
            '&INDEX({pass_volumes.field:all},INDEX({all_checks.parent_no:all},{first})))',
            'IF({first}="","",INDEX({farm_checks.check:all},{first}))'), "text"),
        working("finding", "Finding", _of_kind('IF({first}="","",INDEX({all_checks.finding:all},{first}))',
                                               'IF({first}="","",INDEX({farm_checks.finding:all},{first}))'),
                "long_text"),
        working("running", "Causes so far", "SUM({running:above},IF({count}>0,1,0))", "count"),
    ),
    rows="list:causes",
    kind="working",
    sheet="Workings passes",
)


TO_FIX = Table(
    "to_fix",
    "What to fix",
    "One line a cause, worst first, with the first place it is found; the tab Label check holds every line.",
    (
        slot_number(),
        working("row", "Row of the cause", 'IFERROR(MATCH({slot},{causes.running:all},0),"")'),
        result("status", "Status", "{causes.status@row}", "status", width=12, needs="row"),
        result("cause", "Cause", "{causes.cause@row}", "sentence", width=36, needs="row"),
        result("count", "Lines", "{causes.count@row}", "count", width=7, needs="row"),
        result("example", "For instance", "{causes.example@row}", "name", width=34, needs="row"),
        result("where", "On tab", "{causes.where@row}", "name", width=14, needs="row"),
        result("finding", "What is found there", "{causes.finding@row}", "sentence", width=60, needs="row"),
    ),
    rows="list:fixes",
    kind="result",
    was=("What to do first",),
)

POINT_CHOICE = Table(
    "point_choice",
    "To fix",
    "Every line to fix; choose a pass, a field or both to see theirs alone.",
    (
        Column("pass", "Pass", "name", SETTING, choices="cost_pass_names.pass",
               note="Blank shows every pass."),
        Column("field", "Field", "name", SETTING, choices="fields.field", note="Blank shows every field."),
    ),
    rows="form",
    kind="setting",
)

POINTS_FOUND = Table(
    "points_found",
    "Lines found",
    "How many lines there are for this choice.",
    (
        check("not_allowed", "Not allowed", f'COUNTIF({{all_checks.key:all}},"<{2 * WORSE}")', "count"),
        check("not_entered", "Not entered",
              f'COUNTIFS({{all_checks.key:all}},">{2 * WORSE}",{{all_checks.key:all}},"<{3 * WORSE}")',
              "count"),
        check("look", "Review", f'COUNTIF({{all_checks.key:all}},">{3 * WORSE}")', "count"),
        check("unlisted", "Not shown below", "MAX(0,{not_allowed}+{not_entered}+{look}-{room.open})", "count",
              note="More than the list below holds: choose a pass or a field above."),
    ),
    rows="form",
    kind="result",
    sheet="To fix",
)

OPEN_POINTS = Table(
    "open_points",
    "Line by line",
    "What needs attention before anyone sprays, worst first; the list refills by itself.",
    (
        slot_number("No."),
        working("row", "Row in all checks",
                f'IFERROR(MOD(SMALL({{all_checks.key:all}},{{slot}}),{WORSE}),"")'),
        result("status", "Status", "{all_checks.status@row}", "status", needs="row"),
        result("pass", "Pass", "INDEX({pass_volumes.pass:all},{all_checks.parent_no@row})",
               "name", needs="row"),
        result("field", "Field", "INDEX({pass_volumes.field:all},{all_checks.parent_no@row})",
               "name", needs="row"),
        result("check", "Check", "{all_checks.check@row}", "name", needs="row"),
        result("finding", "Finding", "{all_checks.finding@row}", "long_text", needs="row"),
        result("where", "Sheet", 'INDEX({check_list.where:all},{all_checks.check_no@row})',
               "name", needs="row"),
    ),
    rows="list:open",
    kind="result",
    sheet="To fix",
    # The list once had a sheet of its own, on which nothing was chosen.
    was=("Open points",),
)



def farm_rules_made(title_of: Callable[[str], str]) -> list[dict[str, str]]:
    """Return name and sheet of every check of the farm."""
    return [{"check": rule.name, "where": title_of(rule.table)} for rule in FARM_RULES]


def ways_to_be_open(pass_checks: Iterable[Mapping[str, Any]],
                    farm_checks: Iterable[Mapping[str, Any]]) -> list[dict[str, str]]:
    """Return status, words and sheet of every way a check can be open, worst first."""
    made = [*pass_checks, *farm_checks]
    return [{"status": status, "cause": cause_of(row["check"], status), "where": row["where"]}
            for status in OPEN_STATUSES for row in made]

TABLES = (TO_FIX, POINT_CHOICE, POINTS_FOUND, OPEN_POINTS, TYPED_TEXTS, FARM_CHECKS, CAUSE_LIST)
