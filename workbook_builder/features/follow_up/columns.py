"""What comes after a pass: looks back, respray flags, and trials of detection settings."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.short import check, result, row_number, working
from workbook_builder.features.reentry.columns import closed_on
from workbook_builder.features.shares.columns import SHEET, pass_row

CONTACT_FACTS = Table(
    "contact_facts",
    "Contact workings",
    "Which ingredients of a mix belong to a contact group.",
    (working("contact", "Acts on contact", 'IF({mix_ingredients.group}="",0,IF(ISNUMBER(MATCH({mix_ingredients.group},{contact_groups.mode_group:all},0)),1,0))', "count"),),
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
        working("counted", "Pass row of a rating", 'IF(OR({pass_row}="",{look_log.rating}="",{look_log.date}=""),"",{pass_row})'),
        working("later", "Later looks", 'IF({counted}="","",COUNTIFS({counted:all},{counted},{look_log.date:all},">"&{look_log.date}))', "count"),
        working("latest", "Pass row of the latest", 'IF({counted}="","",IF({later}=0,{counted},""))'),
        *closed_on("look", "Look", 'IF({pass_row}="","",INDEX({pass_volumes.field_row:all},{pass_row}))', 'IF({look_log.date}="","",{look_log.date})'),
    ),
    rows="as:look_log",
    kind="working",
    sheet=SHEET,
)

FOLLOW_UP = Table(
    "follow_up",
    "Follow-up",
    "When to look again after each pass, the latest rating, and whether to respray.",
    (
        row_number(),
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        working("contact", "Contact ingredients", 'IF({pass_volumes.mix_no}="",0,INDEX({mix_contact.contact:all},{pass_volumes.mix_no}))', "count"),
        result("early_look", "Look after contact action", 'IF(OR({pass_times.last_day}="",{contact}=0),"",{pass_times.last_day}+contact_look_days)', "date",
               note="For mixes with a contact group."),
        result("first_look", "First look", 'IF({pass_times.last_day}="","",{pass_times.last_day}+first_look_days)', "date"),
        result("second_look", "Second look", 'IF({pass_times.last_day}="","",{pass_times.last_day}+second_look_days)', "date"),
        *closed_on("early", "Early look", "{pass_volumes.field_row}", "{early_look}"),
        *closed_on("first", "First look", "{pass_volumes.field_row}", "{first_look}"),
        *closed_on("second", "Second look", "{pass_volumes.field_row}", "{second_look}"),
        working("look_row", "Latest look", 'IF({pass}="","",IFERROR(MATCH({row_no},{look_facts.latest:all},0),""))'),
        result("looked", "Looked on", 'IF({look_row}="","",INDEX({look_log.date:all},{look_row}))', "date"),
        result("rating", "Rating", 'IF({look_row}="","",INDEX({look_log.rating:all},{look_row}))', "count", note="0: no control, 100: all weeds dead."),
        result("respray", "Respray", 'IF({rating}="","",IF({rating}<respray_below,"yes","no"))', "text"),
        check("status", "Status", 'IF({rating}="","",IF({respray}="yes","Review","OK"))'),
        check("finding", "Finding", 'IF({status}="Review","Rated "&{rating}&": under "&respray_below&", look for survivors and weigh a respray","")', "long_text"),
    ),
    rows="as:passes",
    kind="result",
    caution="A respray must fit the label: season amount, number of passes, days between.",
)

DETECTION_RESULTS = Table(
    "detection_results",
    "Detection settings",
    "What each trial of a detection setting sprayed, killed and cost, and which settings another one beats on both.",
    (
        pass_row("detection_trials"),
        result("pass", "Pass", 'IF({pass_row}="","",{detection_trials.pass})', "name"),
        result("field", "Field", 'IF({pass_row}="","",{detection_trials.field})', "name"),
        result("setting", "Setting", 'IF({pass_row}="","",{detection_trials.setting}&"")', "name"),
        working("carrier", "Carrier rate", 'IF({pass_row}="","",SUM(INDEX({passes.carrier:all},{pass_row})))', "carrier"),
        working("planned_volume", "Volume in the plan", 'IF({pass_row}="","",INDEX({pass_volumes.mixed_volume:all},{pass_row}))', "volume"),
        working("planned_cost", "Products in the plan", 'IF({pass_row}="","",INDEX({cost_passes.planned_cost:all},{pass_row}))', "money"),
        working("mixture_value", "Value of mixture", 'IF({pass_row}="","",IF(SUM({planned_volume})=0,0,SUM({planned_cost})/{planned_volume})+water_cost)', "money_per_volume"),
        working("per_area", "Volume per field area",
                'IF({pass_row}="","",IF(OR(SUM({detection_trials.area_covered})=0,{detection_trials.volume_sprayed}=""),"",{detection_trials.volume_sprayed}/{detection_trials.area_covered}))', "carrier"),
        result("sprayed_share", "Share sprayed", 'IF(OR({per_area}="",SUM({carrier})=0),"",{per_area}/{carrier})', "share", digits=1),
        result("control", "Control", 'IF(OR({pass_row}="",SUM({detection_trials.weeds_before})=0,{detection_trials.weeds_after}=""),"",ROUND(100*(1-{detection_trials.weeds_after}/{detection_trials.weeds_before}),6))', "percent"),
        result("escapes", "Escapes per area", 'IF(OR({pass_row}="",{detection_trials.weeds_after}="",SUM({detection_trials.frame_area})=0),"",{detection_trials.weeds_after}/{detection_trials.frame_area}*small_per_area)', "number", digits=0,
               note="Live weeds left on an acre or hectare."),
        result("cost_per_area", "Mixture per area", 'IF({per_area}="","",ROUND({per_area}*{mixture_value},6))', "money_per_area"),
        result("cost_per_point", "Cost per point of control", 'IF(OR({cost_per_area}="",SUM({control})<=0),"",{cost_per_area}/{control})', "money", digits=4),
        working("better", "Settings that beat it",
                'IF(OR({cost_per_area}="",{control}=""),"",COUNTIFS({pass_row:all},{pass_row},{cost_per_area:all},"<="&{cost_per_area},{control:all},">"&{control})'
                '+COUNTIFS({pass_row:all},{pass_row},{cost_per_area:all},"<"&{cost_per_area},{control:all},{control}))', "count",
                note="At most as dear and better, or cheaper and as good, on the same field."),
        check("verdict", "Verdict", 'IF({better}="","",IF({better}>0,"Review: beaten on both","OK"))', "text"),
    ),
    rows="as:detection_trials",
    kind="result",
)

FOLLOW_UP_TABLES = (FOLLOW_UP, DETECTION_RESULTS, CONTACT_FACTS, MIX_CONTACT, LOOK_FACTS)
