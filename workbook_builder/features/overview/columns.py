"""The first sheets: at a glance, all checks, and the mix sheet that prints."""

from __future__ import annotations

from dataclasses import dataclass
from operator import mul, truediv

from workbook_builder.core.columns import FIXED, OPEN_STATUSES, SETTING, Column, Table
from workbook_builder.core.rounding import shown
from workbook_builder.core.short import check, finding_of, result, row_number, slot_number, working, worst_status
from workbook_builder.features.loads.columns import as_poured_column
from workbook_builder.features.loads.definitions import amount_in, covered_area


@dataclass(frozen=True)
class CheckKind:
    """One check made of every pass: where its status and finding stand.

    Parameters
    ----------
    name : str
        Printed name.
    table : str
        Table that holds the check.
    status, finding : str
        Columns of that table.
    block : bool
        Whether the check is made per slot, so that the worst slot counts.
    """

    name: str
    table: str
    status: str
    finding: str
    block: bool = False

    @property
    def status_formula(self) -> str:
        """Formula of the status for one pass."""
        if self.block:
            return worst_status("{%s.%s:block}" % (self.table, self.status))
        return "{%s.%s}" % (self.table, self.status)

    @property
    def finding_formula(self) -> str:
        """Formula of the finding for one pass."""
        if self.block:
            block = "{%s.%s:block}"
            return finding_of("{status}", block % (self.table, self.status), block % (self.table, self.finding))
        return "{%s.%s}" % (self.table, self.finding)


CHECK_KINDS: tuple[CheckKind, ...] = (
    CheckKind("Crop on the label", "product_limits", "crop_status", "crop_finding", True),
    CheckKind("Mix and tank", "pass_volumes", "status", "finding"),
    CheckKind("Label rate", "product_limits", "rate_status", "rate_finding", True),
    CheckKind("Season amount", "product_limits", "season_status", "season_finding", True),
    CheckKind("Repeat applications", "product_limits", "repeat_status", "repeat_finding", True),
    CheckKind("Ingredient per pass", "pass_ingredients", "pass_status", "pass_finding", True),
    CheckKind("Ingredient per season", "pass_ingredients", "season_status", "season_finding", True),
    CheckKind("Re-entry", "intervals", "reentry_status", "reentry_finding"),
    CheckKind("Work in a closed field", "intervals", "entry_status", "entry_finding"),
    CheckKind("Harvest", "intervals", "harvest_status", "harvest_finding"),
    CheckKind("Grazing", "intervals", "grazing_status", "grazing_finding"),
    CheckKind("Rain-free", "intervals", "rain_status", "rain_finding"),
    CheckKind("Plant-back", "plant_back_checks", "status", "finding", True),
    CheckKind("Plant-back, this crop", "planting_checks", "status", "finding", True),
    CheckKind("Plant-back of earlier sprays", "earlier_passes", "status", "finding"),
    CheckKind("Herbicide groups in the pass", "mode_checks", "count_status", "count_finding"),
    CheckKind("Herbicide group rotation", "mode_checks", "rotation_status", "rotation_finding"),
    CheckKind("Group numbers", "pass_ingredients", "group_status", "group_finding", True),
    CheckKind("Effective herbicide groups", "effective_modes", "status", "finding", True),
    CheckKind("Nozzle pressure", "sprayer_checks", "pressure_status", "pressure_finding"),
    CheckKind("Droplet size", "sprayer_checks", "droplet_status", "droplet_finding"),
    CheckKind("Water for the mix", "water_checks", "status", "finding"),
    CheckKind("Clean-out", "clean_sequence", "status", "finding"),
    CheckKind("Runoff points", "mitigation_checks", "status", "finding"),
    CheckKind("Cost", "cost_passes", "status", "finding"),
    CheckKind("Sprayer free", "pass_times", "machine_status", "machine_finding"),
    CheckKind("Time of day", "pass_weather", "light_status", "light_finding"),
    CheckKind("Conditions of the day", "pass_weather", "status", "finding"),
    CheckKind("Spray record", "records", "status", "finding"),
    CheckKind("Spot or broadcast", "spot_against_broadcast", "status", "finding"),
    CheckKind("Spot share", "share_estimates", "status", "finding"),
    CheckKind("Spot limits", "spot_checks", "status", "finding"),
    CheckKind("Follow-up", "follow_up", "status", "finding"),
)

CHECK_LIST = Table(
    "check_list",
    "Checks made",
    "The checks made of every pass and how many came out how.",
    (
        Column("check", "Check", "name", FIXED),
        Column("where", "Sheet", "name", FIXED),
        check("not_allowed", "Not allowed", "INDEX({causes.count:all},{check_no})", "count", width=8.5),
        check("not_entered", "Not entered", "INDEX({causes.count:all},{room.causes}/3+{check_no})", "count", width=8.5),
        check("look", "Review", "INDEX({causes.count:all},{room.causes}/3*2+{check_no})", "count", width=8.5),
        check("ok", "OK", 'COUNTIFS({all_checks.check_no:all},{check_no},{all_checks.status:all},"OK")', "count", width=8.5),
        Column("check_no", "No.", "index", FIXED),
    ),
    rows="given",
    kind="result",
    behind=True,
)

ALL_CHECKS = Table(
    "all_checks",
    "All checks",
    "Every check of every pass on one list; filter it by pass, field or status.",
    (
        row_number(),
        Column("check_no", "No.", "index", FIXED, given=tuple(range(1, len(CHECK_KINDS) + 1))),
        result("pass", "Pass", "{pass_volumes.pass}", "name", needs="status"),
        result("field", "Field", "{pass_volumes.field}", "name", needs="status"),
        Column("check", "Check", "name", FIXED, given=tuple(kind.name for kind in CHECK_KINDS)),
        check("status", "Status", tuple(kind.status_formula for kind in CHECK_KINDS)),
        check("finding", "Finding", tuple(kind.finding_formula for kind in CHECK_KINDS), "long_text"),
        *(working(f"open_{n}", f"{word} so far", 'SUM({open_%d:above},IF({status}="%s",{pass_open.chosen},0))' % (n, word), "count",
                  note="Of the pass and field chosen on the sheet To fix.") for n, word in enumerate(OPEN_STATUSES, 1)),
    ),
    rows="under:passes:checks",
    kind="result",
)

PASS_OPEN = Table(
    "pass_open",
    "To fix by pass",
    "How many checks of each pass are open.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("not_allowed", "Not allowed", 'COUNTIF({all_checks.status:block},"Not allowed")', "count", needs="pass"),
        result("not_entered", "Not entered", 'COUNTIF({all_checks.status:block},"Not entered")', "count", needs="pass"),
        result("look", "Review", 'COUNTIF({all_checks.status:block},"Review")', "count", needs="pass"),
        result("open", "To fix", "{not_allowed}+{not_entered}+{look}", "count", needs="pass"),
        working("chosen", "Among those chosen",
                'IF({pass}="",0,IF(AND(OR({point_choice.pass}="",{point_choice.pass}={pass}),OR({point_choice.field}="",{point_choice.field}={field})),1,0))', "count"),
        check("status", "Worst", 'IF({not_allowed}>0,"Not allowed",IF({not_entered}>0,"Not entered",IF({look}>0,"Review","OK")))', needs="pass"),
    ),
    rows="as:passes",
    kind="result",
    was=("Open points by pass",),
)

GLANCE = Table(
    "glance",
    "At a glance",
    "What is wrong, what it costs, and where to look.",
    (
        result("banner", "Plan for", '{farm.farm}&", season "&{farm.season}', "name"),
        check("verdict", "State of the plan",
              'IF({not_allowed}>0,"Not allowed: "&{not_allowed}&" to fix before spraying",IF({not_entered}>0,"Not entered: "&{not_entered}&" label figures or inputs missing",'
              'IF({look}>0,"Review: "&{look}&" points to weigh","OK: nothing open")))', "one_line", width=32),
        check("not_allowed", "Not allowed", 'SUMIF({causes.status:all},"Not allowed",{causes.count:all})', "count"),
        check("not_entered", "Not entered", 'SUMIF({causes.status:all},"Not entered",{causes.count:all})', "count"),
        check("look", "Review", 'SUMIF({causes.status:all},"Review",{causes.count:all})', "count", was=("Look",)),
        check("open", "To fix in all", "{not_allowed}+{not_entered}+{look}", "count", was=("Open points in all",)),
        result("total_cost", "Cost of the season", "{cost_farm.total_cost}", "money"),
        result("cost_per_field_area", "Cost per field area", "{cost_farm.cost_per_field_area}", "money_per_area"),
        result("holds", "The cost holds", "{cost_farm.holds}", "sentence"),
        result("assumed", "Assumed in it", "{cost_farm.assumed}", "sentence"),
        result("left_out", "Missing from it", "{cost_farm.left_out}", "sentence"),
        result("passes", "Passes and fields planned", "{cost_farm.passes}", "count"),
        result("first_date", "First pass", 'IF(COUNT({pass_times.day:all})=0,"",MIN({pass_times.day:all}))', "date"),
        result("last_date", "Last pass", 'IF(COUNT({pass_times.day:all})=0,"",MAX({pass_times.day:all}))', "date"),
        result("mean_modes", "Mean herbicide groups per pass", "{cost_farm.mean_modes}", "number", digits=1),
        check("room", "Spare rows left",
              'IF(OR(MAX({mix_rows.distinct:all})>{room.mixes},MAX({group_facts.running:all})>{room.groups},MAX({crop_rows.running:all})>{room.crops},'
              'MAX({pass_rows.running:all})>{room.pass_names},MAX({spot_uses.running:all})>{room.spot},COUNT({pass_events.key:all})+COUNT({field_events.key:all})>{room.calendar}),"Review: a list is full, build the workbook again","OK")', "one_line"),
    ),
    rows="form",
    kind="result",
    caution="The label is the law; local rules and licensed practice come first. These figures are planning aids typed in by people.",
)


GLANCE_COSTS = Table(
    "glance_costs",
    "What it costs",
    "Each pass over all its fields; the sheet Cost summary says more.",
    (
        result("pass", "Pass", "INDEX({cost_pass_names.pass:all},{row_no})", "name"),
        result("total_cost", "Cost", "INDEX({cost_pass_names.total_cost:all},{row_no})", "money"),
        result("cost_per_area", "Per field area", "INDEX({cost_pass_names.cost_per_area:all},{row_no})", "money_per_area", width=13),
        result("fields", "Fields", "INDEX({cost_pass_names.fields:all},{row_no})", "count", width=17),
        row_number(),
    ),
    rows="list:pass_names",
    kind="result",
    sheet="At a glance",
)

LOAD_CHOICE = Table(
    "load_choice",
    "Mix sheet",
    "Choose pass, field and load; this page shows that load and prints on one sheet.",
    (
        Column("pass", "Pass", "name", SETTING, choices="cost_pass_names.pass", note="Choose the pass."),
        Column("field", "Field", "name", SETTING, choices="fields.field", note="Choose the field."),
        Column("load", "Load", "count", SETTING, default=1, minimum=1, maximum=999, note="Number of the load, from 1."),
    ),
    rows="form",
    kind="setting",
    sheet="Mix sheet",
    was=("Load sheet",),
)

LOAD_SHEET = Table(
    "load_sheet",
    "This load",
    "Volume, water and times of the chosen load.",
    (
        working("row", "Row of the pass", 'IF({load_choice.pass}="","",IFERROR(MATCH({load_choice.pass}&"|"&{load_choice.field},{pass_volumes.key:all},0),""))'),
        working("mix_no", "Number of the mix", "{pass_volumes.mix_no@row}", needs="row"),
        working("full_loads", "Full loads of the pass", "{pass_volumes.full_loads@row}", needs="row"),
        check("status", "Found", 'IF({row}="","Review: no such pass on that field",IF({volume}="","Review: this pass has "&{loads}&" loads","OK"))', "text"),
        result("mix", "Mix", '{passes.mix@row}&""', "name", needs="row"),
        result("method", "Method", '{passes.method@row}&""', "text", needs="row"),
        result("sprayer", "Sprayer", '{passes.sprayer@row}&""', "name", needs="row"),
        result("date", "Date", 'IF({passes.date@row}="","",{passes.date@row})', "date", needs="row"),
        result("loads", "Loads of this pass", "{pass_volumes.loads@row}", "count", needs="row"),
        result("tank_first", "Tank before the first load",
               'IFERROR(INDEX({clean_sequence.what:all},MATCH({row},{clean_sequence.next_row:all},0))&"","")', "long_text", needs="row",
               note="What the tank must be cleaned of, or what is missing to know it."),
        result("in_tank", "In the tank already",
               'IF(AND({load_choice.load}=1,{pass_volumes.opens@row}=1),0,{pass_volumes.unusable@row})', "volume", needs="volume",
               note="Of the same mix: what the pump could not draw before. Add the load to it."),
        result("volume", "Volume to add in this load",
               'IF({load_choice.load}>SUM({loads}),"",IF({load_choice.load}=1,{pass_volumes.first_load_volume@row},'
               'IF({load_choice.load}<=SUM({full_loads}),{pass_volumes.later_load_volume@row},{pass_volumes.last_load_volume@row})))', "volume", needs="row load_choice.load", was=("Volume of this load",)),
        result("full_volume", "The tank then holds", "{in_tank}+{volume}", "volume", needs="volume", twin=lambda in_tank, volume: in_tank + volume),
        result("area", "Area it covers", "({full_volume}-{pass_volumes.unusable@row})/{passes.carrier@row}", "area", needs="volume",
               twin=covered_area, takes="full_volume pass_volumes.unusable@row passes.carrier@row",
               note="Sprayed area, unusable volume left out."),
        working("liquid_part", "Liquid products per spray volume", "{pass_water.liquid_part@row}", "factor", needs="row"),
        result("water", "Water in this load", "{volume}*(1-{liquid_part})", "volume", needs="volume liquid_part", twin=lambda volume, liquid_part: volume - liquid_part * volume),
        result("first_fill", "Water before the first product", "{water}*first_fill", "volume", needs="water", twin=mul, takes="water assumptions.first_fill"),
        result("rei_hours", "Re-entry interval", "{intervals.rei_told@row}", "hours", digits=0, needs="row"),
        result("reentry_at", "Re-entry from", "{intervals.reentry_at@row}", "moment", needs="row"),
        result("because_of_pass", "Because of pass", "{intervals.because_of_pass@row}", "name", note="Whose interval keeps the field closed longest.", needs="row"),
        result("posting", "Warning signs", "{intervals.posting@row}", "text", needs="row"),
        result("open", "To fix on this pass",
               "{pass_open.open@row}", "count", needs="row"),
    ),
    rows="form",
    kind="result",
    sheet="Mix sheet",
    was=("Load sheet",),
)

LOAD_LINES = Table(
    "load_lines",
    "Add in this order",
    "First water in, agitator on; add in this order, tick each off; then top up with water.",
    (
        result("product", "Product", "{adding_order.product@order_row}", "name", width=40, needs="order_row"),
        as_poured_column("pour", "As poured", "base", width=30),
        result("amount", "Amount", "{base}/{mix_lines.pour_base@line_row}", "amount", width=14, needs="base", twin=truediv, takes="base mix_lines.pour_base@line_row"),
        result("unit", "Unit", "{mix_lines.amount_unit@line_row}", "unit_label", width=10, needs="line_row"),
        result("done", "Done", '"[  ]"', "text", width=10, needs="product"),
        result("pause", "Pause after it", "{adding_order.pause@order_row}", "minutes", width=12, needs="line_row"),
        slot_number("Order"),
        result("why", "Why here", "{adding_order.why@order_row}", "long_text", needs="line_row"),
        working("order_row", "Order row",
                "({load_sheet.mix_no}-1)*{room.products}+{slot}", needs="load_sheet.volume load_sheet.mix_no"),
        working("line_row", "Amount row",
                "({load_sheet.row}-1)*{room.products}+{adding_order.item@order_row}", needs="order_row product"),
        working("poured", "Base units poured per area", "{mix_lines.poured@line_row}", "factor", needs="line_row"),
        working("phase", "Phase poured", "{mix_lines.phase@line_row}", "text", needs="line_row"),
        working("base", "Amount in base units",
                "ROUND(ROUND({poured}*{load_sheet.volume}/{passes.carrier@load_sheet.row},6),1)", "amount", digits=1, needs="line_row poured",
                twin=lambda poured, volume, carrier: shown(amount_in(poured, volume, carrier), 1), takes="poured load_sheet.volume passes.carrier@load_sheet.row"),
    ),
    rows="list:products",
    kind="result",
    sheet="Mix sheet",
    caution="The label is the law. Wear what it requires; check wind, inversion and neighbours; jar test when unsure.",
    was=("Load sheet",),
)

CONTENTS = Table(
    "contents",
    "Contents",
    "Every sheet of this workbook; choose a name to go there.",
    (
        Column("sheet", "Sheet", "name", FIXED),
        Column("kind", "Kind", role=FIXED),
        Column("holds", "What it holds", "long_text", FIXED, width=92),
    ),
    rows="given",
    kind="reference",
)

OVERVIEW_TABLES = (GLANCE, GLANCE_COSTS, CONTENTS)
MIX_SHEET_TABLES = (LOAD_CHOICE, LOAD_SHEET, LOAD_LINES)
