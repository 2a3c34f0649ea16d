"""Counts of pests, the injury level and threshold of each, and what a pass against it gains."""

from __future__ import annotations

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import check, or_blank, place, result, row_number, working
from workbook_builder.features.thresholds.definitions import (
    cost_all_sprayed,
    gain,
    injury_level,
    threshold_status,
    yield_value,
)

_PEDIGO = "Pedigo: C / (V x I x D x K), as printed in university lecture slides"

PESTS = Table(
    "pests",
    "Pest counts",
    "Insects, diseases and other pests as counted on each field, with what decides whether control pays; a "
    "typed threshold wins.",
    (
        Column("field", "Field", "name", required=True, choices="fields.field",
               note="Choose from the fields."),
        Column("pest", "Pest", "name", required=True, note="Common name."),
        Column("pass", "Pass against it", "name", choices="cost_pass_names.pass",
               note="Blank while none is planned."),
        Column("stage", "Stage", "name", note="Of the crop, or of the pest, when counted."),
        Column("count", "Count", "number", digits=3, minimum=0, maximum=1000000,
               note="In the unit of the threshold: per plant, stem, sweep or foot of row, or % of plants."),
        Column("count_unit", "Counted", "name",
               note="per plant, per sweep, % of stems: as the guide counts."),
        Column("threshold", "Threshold", "number", digits=3, minimum=0, maximum=1000000,
               note="Of your guide; wins over what is worked out."),
        Column("cost", "Cost of control", "money_per_area", minimum=0, maximum=10000,
               note="Blank takes the cost of the pass on ground that is sprayed."),
        Column("value", "Value of the crop", "money", minimum=0, maximum=100000,
               note="Per unit of yield, or of a whole area's crop where no yield is typed."),
        Column("crop_yield", "Expected yield", "number", minimum=0, maximum=100000,
               note="Units of yield per area; blank where the value, or the damage, is that of an area."),
        Column("injury", "Injury per pest", "number", digits=4, minimum=0, maximum=100000,
               note="I: blank counts as 1; the share that survives, or borers per egg mass, say."),
        Column("damage", "Damage per injury", "number", digits=6, minimum=0, maximum=100000,
               note="D: part of the yield lost per unit of injury, 0.04 say."),
        Column("control", "Control", "share", minimum=0, maximum=1,
               note="K: share of the damage prevented; blank counts as all."),
        Column("notes", "Notes", "long_text", note="Natural enemies, days since the count."),
    ),
    caution="Count as your guide says; thresholds differ by region, crop stage and guide.",
)


THRESHOLDS = Table(
    "thresholds",
    "Thresholds",
    "Each pest against its threshold: what it takes for control to pay, and what the pass against it gains.",
    (
        row_number(),
        place("field_row", "Field row", "pests.field", "fields.field"),
        place("parent_no", "Row of the pass", "pass_key", "pass_volumes.key"),
        working("pass_key", "Pass and field", '{pests.pass}&"|"&{pests.field}', "text",
                needs="pests.pass pests.field"),
        result("field", "Field", or_blank("pests.field"), "name", needs="pests.pest"),
        result("pest", "Pest", or_blank("pests.pest"), "name"),
        result("cost_field", "Pass per field area", '{cost_passes.cost_per_field_area@parent_no}',
               "money_per_area", needs="parent_no", note="Of a spot pass at the share expected."),
        result("cost_full", "Pass, all sprayed",
               'IF(SUM({as_logged.sprayed@parent_no})=0,"",({cost_passes.product_cost@parent_no}'
               '+{cost_passes.carrier_cost@parent_no})/{as_logged.sprayed@parent_no}'
               '+{cost_passes.application_cost@parent_no}/{pass_volumes.area@parent_no})', "money_per_area",
               needs="parent_no cost_field", twin=cost_all_sprayed,
               takes="cost_passes.product_cost@parent_no cost_passes.carrier_cost@parent_no "
                     "as_logged.sprayed@parent_no cost_passes.application_cost@parent_no "
                     "pass_volumes.area@parent_no",
               note="Products and carrier on the whole field, driven over as planned, without the fee for "
                    "spots."),
        result("cost", "Cost counted", 'IF({pests.cost}<>"",{pests.cost},{cost_full})', "money_per_area",
               needs="pests.pest"),
        working("value", "Value of the crop", '{pests.value}*IF({pests.crop_yield}="",1,{pests.crop_yield})',
                "money_per_area", needs="pests.value", twin=yield_value,
                takes="pests.value pests.crop_yield"),
        working("factor", "Loss prevented per pest, share",
                'IF({pests.injury}="",1,{pests.injury})*{pests.damage}*IF({pests.control}="",1,'
                '{pests.control})', "factor", needs="pests.damage",
                twin=lambda injury, damage, control: (1 if injury == "" else injury) * damage
                * (1 if control == "" else control), takes="pests.injury pests.damage pests.control"),
        result("injury_level", "Injury level", 'IF({value}*{factor}=0,"",{cost}/({value}*{factor}))',
               "number", digits=3, needs="cost value factor",
               twin=lambda cost, value, factor: injury_level(cost, value, factor, 1, 1),
               takes="cost value factor", source=_PEDIGO),
        result("level_spot", "The same at the cost of the spot pass",
               'IF({cost_full}="","",IF({cost_full}=0,"",{injury_level}*{cost_field}/{cost_full}))', "number",
               digits=3, needs="injury_level cost_field",
               twin=lambda level, field, full: level * field / full if full else "",
               takes="injury_level cost_field cost_full"),
        result("threshold", "Threshold used", 'IF({pests.threshold}<>"",{pests.threshold},{injury_level})',
               "number", digits=3, needs="pests.pest", note="As typed, or else the injury level itself."),
        result("count", "Count", or_blank("pests.count"), "number", digits=3, needs="pests.pest"),
        result("gain", "Gain of control", 'IF({injury_level}=0,"",{cost}*{count}/{injury_level}-{cost})',
               "money_per_area", needs="count injury_level cost", twin=gain, takes="count injury_level cost",
               note="Loss prevented less the cost; below nothing it does not pay."),
        working("planned", "Pass planned", 'IF({parent_no}="",0,1)', "count"),
        check("status", "Status",
              'IF(OR({count}="",{threshold}=""),"Not entered",IF(ROUND({count}-{threshold},6)>=0,'
              'IF({planned}=1,"OK","Review"),IF({planned}=1,"Review","OK")))',
              needs="pest", twin=threshold_status, takes="count threshold planned"),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",{pest}&": "&IF({status}="Not entered",IF({count}="",'
              '"count not entered","threshold, or what it is worked out from, not entered"),'
              '"count of "&ROUND(ROUND({count},6),3)&" is "&IF({planned}=1,"below","at or over")'
              '&" the threshold of "&ROUND(ROUND({threshold},6),3)&IF({planned}=1,'
              '", though a pass is planned",", and no pass is planned")))', "long_text"),
    ),
    rows="as:pests",
    kind="result",
)

TABLES = (PESTS, THRESHOLDS)

CHECKS = (CheckKind("Threshold", "thresholds", "status", "finding", "thresholds", rank=185),)
