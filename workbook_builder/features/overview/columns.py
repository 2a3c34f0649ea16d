"""The first sheets: at a glance, all checks, and the mix sheet that prints."""

from __future__ import annotations

from workbook_builder.core.columns import FIXED, NOT_ALLOWED, NOT_ENTERED, Column, Table
from workbook_builder.core.short import check, result, row_number, working
from workbook_builder.features.checks import CHECK_KINDS

#: What one step of severity adds to the number of a line.
WORSE = 1_000_000

CHECK_LIST = Table(
    "check_list",
    "Checks made",
    "The checks made of every pass and how many came out how.",
    (
        Column("check", "Check", "name", FIXED),
        Column("where", "Sheet", "name", FIXED),
        check("not_allowed", "Not allowed", "INDEX({causes.count:all},{check_no})", "count", width=8.5),
        check("not_entered", "Not entered", "INDEX({causes.count:all},{room.causes}/3+{check_no})",
              "count", width=8.5),
        check("look", "Review", "INDEX({causes.count:all},{room.causes}/3*2+{check_no})", "count", width=8.5),
        check("ok", "OK", 'COUNTIFS({all_checks.check_no:all},{check_no},{all_checks.status:all},"OK")',
              "count", width=8.5),
        Column("check_no", "No.", "index", FIXED),
    ),
    rows="given",
    kind="result",
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
        working("key", "Place among the open ones",
                f'IF(OR({{status}}="",{{status}}="OK",{{pass_open.chosen}}=0),"",'
                f'IF({{status}}="{NOT_ALLOWED}",1,IF({{status}}="{NOT_ENTERED}",2,3))*{WORSE}+{{row_no}})',
                note="Worst first; of the pass and field chosen on the tab Label check."),
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
        result("not_allowed", "Not allowed", 'COUNTIF({all_checks.status:block},"Not allowed")', "count",
               needs="pass"),
        result("not_entered", "Not entered", 'COUNTIF({all_checks.status:block},"Not entered")', "count",
               needs="pass"),
        result("look", "Review", 'COUNTIF({all_checks.status:block},"Review")', "count", needs="pass"),
        result("open", "To fix", "{not_allowed}+{not_entered}+{look}", "count", needs="pass"),
        working("open_day", "Day, where it is not logged", 'IF({pass_times.log_day}="",{pass_times.day},"")',
                "date", needs="pass"),
        working("chosen", "Among those chosen",
                'IF({pass}="",0,IF(AND(OR({point_choice.pass}="",{point_choice.pass}={pass}),'
                'OR({point_choice.field}="",{point_choice.field}={field})),1,0))', "count"),
        check("status", "State",
              'IF({not_allowed}>0,"Not allowed",IF({not_entered}>0,"Not entered",IF({look}>0,"Review",'
              '"OK")))', needs="pass", was=("Worst",)),
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
              'IF({not_allowed}>0,"Not allowed: "&{not_allowed}&" to fix before spraying",IF({not_entered}>0,'
              '"Not entered: "&{not_entered}&" label figures or inputs missing",'
              'IF({look}>0,"Review: "&{look}&" points to weigh","OK: nothing open")))', "one_line", width=32),
        result("first_thing", "What to do first",
               'IF({open}=0,"Every check is OK; read the label before you mix.",'
               '"First: "&INDEX({to_fix.cause:all},1)&" ("&INDEX({to_fix.example:all},1)&"), on the tab "'
               '&INDEX({to_fix.where:all},1)&IF(MAX({causes.running:all})>{room.fixes},'
               '"; "&(MAX({causes.running:all})-{room.fixes})&" more causes stand on the tab Label '
               'check",""))', "sentence"),
        check("not_allowed", "Not allowed", 'SUMIF({causes.status:all},"Not allowed",{causes.count:all})',
              "count"),
        check("not_entered", "Not entered", 'SUMIF({causes.status:all},"Not entered",{causes.count:all})',
              "count"),
        check("look", "Review", 'SUMIF({causes.status:all},"Review",{causes.count:all})', "count",
              was=("Look",)),
        check("open", "To fix in all", "{not_allowed}+{not_entered}+{look}", "count",
              was=("Open points in all",)),
        result("total_cost", "Cost of the season", "{cost_farm.total_cost}", "money"),
        result("cost_per_field_area", "Cost per field area", "{cost_farm.cost_per_field_area}",
               "money_per_area"),
        result("holds", "The cost holds", "{cost_farm.holds}", "sentence"),
        result("assumed", "Assumed in it", "{cost_farm.assumed}", "sentence"),
        result("left_out", "Missing from it", "{cost_farm.left_out}", "sentence"),
        result("passes", "Passes and fields planned", "{cost_farm.passes}", "count"),
        result("first_date", "First pass", 'IF(COUNT({pass_times.day:all})=0,"",MIN({pass_times.day:all}))',
               "date"),
        result("last_date", "Last pass", 'IF(COUNT({pass_times.day:all})=0,"",MAX({pass_times.day:all}))',
               "date"),
        result("mean_modes", "Mean herbicide groups per pass", "{cost_farm.mean_modes}", "number", digits=1),
        check("room", "Spare rows left",
              'IF(OR(SUM({pass_weeds.weeds:all})>{room.weed_lines},'
              'SUM({pass_volumes.lines:all})>{room.lines},'
              'SUM({pass_nutrients.lines:all})>{room.nutrient_lines},'
              'SUM({pass_volumes.ingredients:all})>{room.ingredient_lines},'
              'MAX({mix_rows.distinct:all})>{room.mixes},MAX({group_facts.running:all})>{room.groups},'
              'MAX({crop_rows.running:all})>{room.crops},'
              'MAX({pass_rows.running:all})>{room.pass_names},MAX({spot_uses.running:all})>{room.spot}),'
              '"Review: a list is full, build the workbook again","OK")', "one_line"),
    ),
    rows="form",
    kind="result",
    caution="The label is the law; local rules and licensed practice come first. These figures are planning "
            "aids typed in by people.",
)


ANSWERS = Table(
    "answers",
    "Answers",
    "The sentences that the tabs open with.",
    (
        working("farm", "Fields",
                'SUMPRODUCT(({fields.field:all}<>"")*1)&" fields, "&ROUND(ROUND(SUM({fields.area:all}),6),'
                '1)&IF({farm.units}="metric"," ha"," ac")', "sentence"),
        working("farm_to_do", "What to do on the tab Farm",
                '"Type in the tinted cells;'
                ' add a field on the first pale line. Soil, notes and sprayers stand right of it, on screen '
                'only."', "sentence"),
        working("products", "Products",
                'SUMPRODUCT(({products.product:all}<>"")*1)&" products"&IF({glance.not_entered}=0,"",'
                '", "&{glance.not_entered}&" label figures or other inputs not entered")', "sentence"),
        working("products_to_do", "What to do on the tab Products",
                '"Copy every figure from the label of the product in your hand;'
                ' what is blank is never taken as none."', "sentence"),
        working("mixes", "Mixes",
                'SUMPRODUCT(({mix_list.mix:all}<>"")*1)&" mixes, "&COUNTIF({mix_list.status:all},'
                '"Not allowed")&" that must not be made so"', "sentence"),
        working("mixes_to_do", "What to do on the tab Mixes",
                '"Type products and rates on the left;'
                ' the order of mixing stands beside them. The label goes before it."', "sentence"),
        working("passes", "Passes",
                'COUNTIF({pass_open.status:all},"Not allowed")&" not allowed, "'
                '&COUNTIF({pass_open.status:all},"Not entered")&" not entered, "&'
                'COUNTIF({pass_open.status:all},"Review")&" to review, "&COUNTIF({pass_open.status:all},'
                '"OK")&" OK"', "sentence"),
        working("passes_to_do", "What to do on the tab Passes",
                '"Change a date, a share or a mix, or add a pass on the first pale line;'
                ' what follows from it stands right of it: why, area, volume and cost on screen only."',
                "sentence"),
        working("label_check", "Label check",
                'IF({glance.not_allowed}>0,{glance.not_allowed}&" findings break a label or a rule",'
                'IF({glance.not_entered}>0,{glance.not_entered}&" label figures or inputs not entered",'
                '"Nothing found against a label"))', "sentence"),
        working("label_check_to_do", "What to do on the tab Label check",
                '"Choose a pass or a field for its lines alone; the label goes before them. What '
                'keeps fields closed, and each product, stand right, on screen only."', "sentence"),
        working("rotation", "Rotation",
                'IF(COUNTIF({mode_rotation.status:all},"Review")=0,"No group comes too often in a field",'
                'IF(COUNTIF({mode_rotation.status:all},"Review")=1,"One group comes too often in a field",'
                'COUNTIF({mode_rotation.status:all},"Review")&" times a group comes too often in a field"))',
                "sentence"),
        working("rotation_to_do", "What to do on the tab Rotation",
                '"Darker: a group the 2nd, 3rd or 4th time running. Bare numbers are herbicide groups;'
                ' type earlier seasons on the right."', "sentence"),
        working("cost", "Cost",
                'IF({cost_farm.cost_per_field_area}="","What the season costs an area is not known yet",'
                '"The season costs "&{farm.currency}&ROUND(ROUND({cost_farm.cost_per_field_area},6),'
                '2)&IF({farm.units}="metric"," a hectare"," an acre")&", hire fees in")', "sentence"),
        working("cost_to_do", "What to do on the tab Cost", '{cost_farm.holds}&""', "sentence"),
        working("orders", "Orders",
                'IF({order_totals.products}=0,"Nothing known to order",{order_totals.products}&'
                'IF({order_totals.products}=1," product"," products")&" to order for "&{farm.currency}'
                '&{order_totals.cost_told})&IF({order_totals.lacking}=0,"",", "&{order_totals.lacking}'
                '&" without a figure")&IF({order_totals.weighed}=0,"",", "&{order_totals.weighed}'
                '&" to weigh")', "sentence"),
        working("orders_to_do", "What to do on the tab Orders",
                '"Amounts are enough at the confidence typed on the tab Farm;'
                ' what stands in the shed is taken off."', "sentence"),
        working("records", "Records",
                'COUNTIF({records.sprayed_on:all},">0")&" of "&SUMPRODUCT(({records.pass:all}<>"")*1)'
                '&" passes recorded"', "sentence"),
        working("weeds", "Weeds",
                'COUNTIF({weed_cover.status:all},"Review")&" of "&SUMPRODUCT(({weed_cover.weed:all}<>"")*1)'
                '&" driver weeds are left too long, or with too few groups that work"', "sentence"),
        working("water", "Water",
                'IF(SUMPRODUCT(({water_checks.status:all}<>"")*({water_checks.status:all}<>"OK"))=0,'
                '"The water suits every pass",'
                'SUMPRODUCT(({water_checks.status:all}<>"")*({water_checks.status:all}<>"OK"))'
                '&" passes to look at for their water")', "sentence"),
        working("weather", "Weather",
                'COUNTIF({condition_checks.verdict:all},"no")&" of "'
                '&SUMPRODUCT(({condition_checks.verdict:all}<>"")*1)&" readings say no"', "sentence"),
        working("machine", "Machine",
                'INDEX({machine_payback.sprayer:all},1)&": "&INDEX({machine_payback.verdict:all},1)',
                "sentence"),
        working("sprayer_to_do", "What to do on the tab Sprayer",
                '"Where the tank goes next, what cleaning it asks for, nozzles and catch tests stand right '
                'of it, on screen only."', "sentence"),
        working("weather_to_do", "What to do on the tab Weather",
                '"Type a reading on the first pale line;'
                ' the rest of it, every pass and bloom stand right of it, on screen only."', "sentence"),
        working("weeds_to_do", "What to do on the tab Weeds",
                '"Type a weed on the first pale line;'
                ' the passes on it, what would help, and follow-up stand right of it, on screen only."',
                "sentence"),
        working("records_to_do", "What to do on the tab Records",
                '"Type what was done in the tinted tables; what a record still lacks stands on the left."',
                "sentence"),
    ),
    rows="form",
    kind="working",
    sheet="Workings passes",
)

#: Why the worst check of a pass is open.
PASS_WHY = Table(
    "pass_why",
    "Why",
    "The first finding of the worst kind on every pass.",
    (
        working("place", "Place among its checks",
                'IF({pass_open.status}="OK","",MATCH({pass_open.status},{all_checks.status:block},0))',
                needs="pass_open.status"),
        result("why", "Why",
               "INDEX({all_checks.check:block},{place})&\": \"&INDEX({all_checks.finding:block},{place})",
               "text", needs="place", width=100),
    ),
    rows="as:passes",
    kind="result",
)

TABLES = (GLANCE, ANSWERS, ALL_CHECKS, CHECK_LIST, PASS_OPEN, PASS_WHY)
