"""What comes after a pass: looks back, respray flags, and trials of detection settings."""

from __future__ import annotations

from operator import add

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import Table
from workbook_builder.core.draft import number
from workbook_builder.core.rounding import rounded
from workbook_builder.core.short import check, result, row_number, working
from workbook_builder.features.follow_up.definitions import (
    better_settings,
    closed_fields,
    closed_looks,
    control,
)
from workbook_builder.features.reentry.columns import closed_on
from workbook_builder.features.shares.columns import SHEET, pass_row
from workbook_builder.features.spot_volumes.definitions import mixture_value

CONTACT_FACTS = Table(
    "contact_facts",
    "Contact workings",
    "Which ingredients of a mix belong to a contact group.",
    (working("contact", "Acts on contact",
             'IF({mix_ingredients.group}="",0,IF(ISNUMBER(MATCH({mix_ingredients.group},'
             '{contact_groups.mode_group:all},0)),1,0))', "count"),),
    rows="as:mix_ingredients",
    kind="working",
    sheet=SHEET,
)

MIX_CONTACT = Table(
    "mix_contact",
    "Contact mixes",
    "How many contact ingredients each mix holds.",
    (working("contact", "Contact ingredients", "SUM({contact_facts.contact:block})", "count"),),
    rows="as:mix_list",
    kind="working",
    sheet=SHEET,
)

LOOK_FACTS = Table(
    "look_facts",
    "Follow-up workings",
    "Which look is the latest of its pass.",
    (
        pass_row("look_log"),
        working("counted", "Pass row of a rating", "{pass_row}",
                needs="pass_row look_log.rating look_log.date"),
        working("later", "Later looks",
                'COUNTIFS({counted:all},{counted},{look_log.date:all},">"&{look_log.date})', "count",
                needs="counted"),
        working("latest", "Pass row of the latest", 'IF({later}=0,{counted},"")', needs="counted"),
        *closed_on("look", "Look", 'IF({pass_row}="","",INDEX({pass_volumes.field_row:all},{pass_row}))',
                   'IF({look_log.date}="","",{look_log.date})'),
    ),
    rows="as:look_log",
    kind="working",
    sheet=SHEET,
    whole=closed_fields,
    gives="look_started look_closed",
)

FOLLOW_UP = Table(
    "follow_up",
    "Follow-up",
    "When to look again after each pass, the latest rating, and whether to respray.",
    (
        row_number(),
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        working("contact", "Contact ingredients",
                'IF({pass_volumes.mix_no}="",0,{mix_contact.contact@pass_volumes.mix_no})', "count"),
        result("spots", "Hot spots to look at",
               "COUNTIFS({hot_spot_facts.pass_row:all},{row_no},{hot_spot_facts.to_look:all},1)", "count",
               needs="pass", note="On the tab Spray map, without a day typed."),
        result("early_look", "Early look",
               'IF({contact}+SUM({spots})=0,"",{pass_times.last_day}+contact_look_days)', "date",
               needs="pass_times.last_day", twin=lambda contact, spots, day, days: day + days if contact
               or number(spots) else "",
               takes="contact spots pass_times.last_day spot_assumptions.contact_look_days",
               note="For mixes with a contact group, and where hot spots of a map wait to be looked at."),
        result("first_look", "First look", "{pass_times.last_day}+first_look_days", "date",
               needs="pass_times.last_day", twin=add,
               takes="pass_times.last_day spot_assumptions.first_look_days"),
        result("second_look", "Second look", "{pass_times.last_day}+second_look_days", "date",
               needs="pass_times.last_day", twin=add,
               takes="pass_times.last_day spot_assumptions.second_look_days"),
        *closed_on("early", "Early look", "{pass_volumes.field_row}", "{early_look}"),
        *closed_on("first", "First look", "{pass_volumes.field_row}", "{first_look}"),
        *closed_on("second", "Second look", "{pass_volumes.field_row}", "{second_look}"),
        working("look_row", "Latest look", 'IFERROR(MATCH({row_no},{look_facts.latest:all},0),"")',
                needs="pass"),
        result("looked", "Looked on", "{look_log.date@look_row}", "date", needs="look_row"),
        result("rating", "Rating", "{look_log.rating@look_row}", "count", needs="look_row",
               note="0: no control, 100: all weeds dead."),
        result("respray", "Respray", 'IF({rating}<respray_below,"yes","no")', "text",
               needs="rating", twin=lambda rating, below: "yes" if rating < below else "no",
               takes="rating spot_assumptions.respray_below"),
        check("status", "Status", 'IF({respray}="yes","Review","OK")', needs="rating"),
        check("finding", "Finding",
              'IF({status}="Review","Rated "&{rating}&": under "&respray_below&", look for survivors and '
              'weigh a respray","")', "long_text"),
    ),
    rows="as:passes",
    kind="result",
    caution="A respray must fit the label: season amount, number of passes, days between.",
    whole=closed_looks,
    gives="early_started early_closed first_started first_closed second_started second_closed",
)

DETECTION_RESULTS = Table(
    "detection_results",
    "Detection settings",
    "What each trial of a detection setting sprayed, killed and cost, and which settings another one beats "
    "on both.",
    (
        pass_row("detection_trials"),
        result("pass", "Pass", "{detection_trials.pass}", "name", needs="pass_row"),
        result("field", "Field", "{detection_trials.field}", "name", needs="pass_row"),
        result("setting", "Setting", '{detection_trials.setting}&""', "name", needs="pass_row"),
        working("carrier", "Carrier rate", "SUM({passes.carrier@pass_row})", "carrier", needs="pass_row"),
        working("planned_volume", "Volume in the plan", "{pass_volumes.planned_volume@pass_row}", "volume",
                needs="pass_row"),
        working("planned_cost", "Products in the plan", "{cost_passes.planned_cost@pass_row}", "money",
                needs="pass_row"),
        working("mixture_value", "Value of mixture",
                "IF(SUM({planned_volume})=0,0,SUM({planned_cost})/{planned_volume})+water_cost",
                "money_per_volume",
                needs="pass_row", twin=mixture_value,
                takes="planned_cost planned_volume assumptions.water_cost"),
        working("per_area", "Volume per field area",
                'IF(SUM({detection_trials.area_covered})=0,"",'
                '{detection_trials.volume_sprayed}/{detection_trials.area_covered})', "carrier",
                needs="pass_row detection_trials.volume_sprayed", twin=lambda sprayed, area: sprayed / area
                if number(area) else "",
                takes="detection_trials.volume_sprayed detection_trials.area_covered"),
        result("sprayed_share", "Share sprayed", 'IF({carrier}=0,"",{per_area}/{carrier})', "share", digits=1,
               needs="per_area", twin=lambda per_area, carrier: per_area / carrier if carrier else ""),
        result("control", "Control",
               'IF(SUM({detection_trials.weeds_before})=0,"",'
               'ROUND(100*(1-{detection_trials.weeds_after}/{detection_trials.weeds_before}),6))', "percent",
               needs="pass_row detection_trials.weeds_after",
               twin=lambda before, after: rounded(control(before, after), 6) if number(before) else "",
               takes="detection_trials.weeds_before detection_trials.weeds_after"),
        result("escapes", "Escapes per area",
               'IF(SUM({detection_trials.frame_area})=0,"",'
               '{detection_trials.weeds_after}/{detection_trials.frame_area}*small_per_area)',
               "number", digits=0,
               needs="pass_row detection_trials.weeds_after",
               twin=lambda after, frame, small: after * small / frame if number(frame) else "",
               takes="detection_trials.weeds_after detection_trials.frame_area spot_factors.small_per_area",
               note="Live weeds left on an acre or hectare."),
        result("cost_per_area", "Mixture per area", "ROUND({per_area}*{mixture_value},6)", "money_per_area",
               needs="per_area", twin=lambda per_area, mixture_value: rounded(per_area * mixture_value, 6)),
        result("cost_per_point", "Cost per point of control", 'IF({control}<=0,"",{cost_per_area}/{control})',
               "money", digits=4,
               needs="cost_per_area control", twin=lambda cost, points: cost / points if points > 0 else "",
               takes="cost_per_area control"),
        working("better", "Settings that beat it",
                'COUNTIFS({pass_row:all},{pass_row},{cost_per_area:all},"<="&{cost_per_area},{control:all},'
                '">"&{control})'
                '+COUNTIFS({pass_row:all},{pass_row},{cost_per_area:all},"<"&{cost_per_area},{control:all},'
                '{control})', "count",
                needs="cost_per_area control", twin=better_settings,
                takes="pass_row cost_per_area control pass_row:all cost_per_area:all control:all",
                note="At most as dear and better, or cheaper and as good, on the same field."),
        check("verdict", "Verdict", 'IF({better}>0,"Review: beaten on both","OK")', "text", needs="better"),
    ),
    rows="as:detection_trials",
    kind="result",
)

TABLES = (FOLLOW_UP, DETECTION_RESULTS, CONTACT_FACTS, MIX_CONTACT, LOOK_FACTS)

CHECKS = (
    CheckKind("Follow-up", "follow_up", "status", "finding", rank=330),
)
