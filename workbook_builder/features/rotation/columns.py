"""Herbicide groups: rotation on each field and groups in each pass."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.short import check, result, row_number, slot_number, working

PAST_FACTS = Table(
    "past_facts",
    "Past use workings",
    "Each past use with today's group number and how many seasons back it was.",
    (
        working("field_row", "Field row", 'IF({past_use.field}="","",IFERROR(MATCH({past_use.field},{fields.field:all},0),""))'),
        working("old_row", "Old number row", 'IF({past_use.mode_group}="","",IFERROR(MATCH({past_use.mode_group},{old_groups.old_group:all},0),""))'),
        working("unknown", "Old number without a group of today", 'IF({old_row}="",0,IF(INDEX({old_groups.new_group:all},{old_row})="",1,0))', "count"),
        working("group", "Group today",
                'IF({past_use.mode_group}="","",IF(OR({old_row}="",{unknown}=1),{past_use.mode_group},INDEX({old_groups.new_group:all},{old_row})))',
                note="An old number that depends on the active ingredient stays as typed."),
        working("back", "Seasons back", 'IF({past_use.season}="","",{farm.season}-{past_use.season})', "count"),
        working("key", "Key",
                'IF(OR({field_row}="",{group}="",{back}=""),"",IF(OR({back}<1,{back}>{farm.look_back_seasons}),"",{field_row}*1000+{group}*10+{back}))'),
    ),
    rows="as:past_use",
    kind="working",
    sheet="Workings groups",
    was=("Workings modes",),
)

GROUP_FACTS = Table(
    "group_facts",
    "Group workings",
    "Which herbicide groups turn up on this farm, in the plan or in past seasons.",
    (
        working("uses", "Rows with it", "COUNTIF({pass_ingredients.group:all},{group_names.mode_group})+COUNTIF({past_facts.group:all},{group_names.mode_group})", "count"),
        working("running", "Groups so far", "SUM({running:above},IF({uses}>0,1,0))"),
    ),
    rows="as:group_names",
    kind="working",
    sheet="Workings groups",
    was=("Workings modes",),
)

FARM_GROUPS = Table(
    "farm_groups",
    "Groups on the farm",
    "Herbicide groups used on this farm, in number order.",
    (
        slot_number("Place"),
        working("row", "Row in the list", 'IFERROR(MATCH({slot},{group_facts.running:all},0),"")'),
        result("mode_group", "Group", 'IF({row}="","",INDEX({group_names.mode_group:all},{row}))', "count"),
        result("site_of_action", "What it does in the plant", 'IF({row}="","",INDEX({group_names.site_of_action:all},{row}))', "long_text"),
    ),
    rows="list:groups",
    kind="working",
    sheet="Workings groups",
    was=("Workings modes",),
)

_BACK = 'IF({mode_group}="","",SUMIF({past_facts.key:all},{row_no}*1000+{mode_group}*10+%d,{past_use.uses:all}))'
_CAUSE = 'IF(SUM({planned})<%d,"",INDEX({pass_ingredients.pass:all},MATCH({key}*100+%d,{pass_ingredients.use_id:all},0)))'

FIELD_ROWS = Table(
    "field_rows",
    "Field row numbers",
    "Row number of each field, for lookups.",
    (row_number(),),
    rows="as:fields",
    kind="working",
    sheet="Workings groups",
    was=("Workings modes",),
)

MODE_ROTATION = Table(
    "mode_rotation",
    "Herbicide group rotation",
    "How often each herbicide group is used on each field: past seasons, this plan, and how many seasons in a row.",
    (
        slot_number("Place"),
        working("row_no", "Field row", "{field_rows.row_no}"),
        working("group_no", "Group in this place", "INDEX({farm_groups.mode_group:all},{slot})"),
        result("field", "Field", 'IF({mode_group}="","",{fields.field})', "name"),
        result("mode_group", "Group", 'IF({fields.field}="","",IF({group_no}="","",{group_no}))', "count"),
        result("back_3", "Uses three seasons back", _BACK % 3, "count"),
        result("back_2", "Uses two seasons back", _BACK % 2, "count"),
        result("back_1", "Uses last season", _BACK % 1, "count"),
        working("key", "Field and group", 'IF({mode_group}="","",{row_no}*100+{mode_group})'),
        result("planned", "Planned uses", 'IF({key}="","",COUNTIF({pass_ingredients.use_key:all},{key}))', "count"),
        result("seasons_in_a_row", "Seasons in a row",
               'IF({planned}="","",IF({planned}=0,0,1+IF({back_1}>0,1+IF({back_2}>0,1+IF({back_3}>0,1,0),0),0)))', "count",
               note="This season and the ones before it without a gap."),
        working("cause_1", "First pass with it", _CAUSE % (1, 1), "name"),
        working("cause_2", "Second pass with it", _CAUSE % (2, 2), "name"),
        working("cause_3", "Third pass with it", _CAUSE % (3, 3), "name"),
        result("passes", "Passes with it",
               'IF({cause_1}="","",{cause_1}&IF({cause_2}="","",", "&{cause_2})&IF({cause_3}="","",", "&{cause_3})&IF({planned}>3," and more",""))', "name", width=34),
        check("status", "Status",
              'IF({mode_group}="","",IF(OR({mode_group}=0,{planned}=0),"OK",IF(OR({planned}>group_uses,{seasons_in_a_row}>=group_seasons),"Review","OK")))'),
        check("finding", "Finding",
              'IF({status}<>"Review","","Group "&{mode_group}&IF({planned}>group_uses,", "&{planned}&" uses this season","")&IF({seasons_in_a_row}>=group_seasons,", "'
              '&{seasons_in_a_row}&" seasons in a row","")&" ("&{passes}&")")', "long_text",
              source="CropLife Australia, Groups 5, 6 and 12: flag consecutive seasons; Norsworthy et al. 2012, practice 6"),
    ),
    rows="under:fields:groups",
    kind="result",
    was=("Mode rotation",),
)

MODE_CHECKS = Table(
    "mode_checks",
    "Herbicide groups by pass",
    "How many different herbicide groups each pass carries, and whether any of them is overused on the field.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("groups", "Groups", 'IF({pass_volumes.mix_no}="","",INDEX({mix_list.groups:all},{pass_volumes.mix_no}))', "text", width=16),
        result("modes_in_pass", "Herbicide groups in the pass", 'IF({pass_volumes.mix_no}="","",INDEX({mix_list.modes:all},{pass_volumes.mix_no}))', "count"),
        check("count_status", "Number status",
              'IF(OR({modes_in_pass}="",{groups}=""),"",IF({modes_in_pass}<{farm.wanted_modes},"Review","OK"))'),
        check("count_finding", "Number finding",
              'IF({count_status}="Review",{modes_in_pass}&" of "&{farm.wanted_modes}&" wanted herbicide groups (group "&{groups}&")","")', "long_text",
              source="Liu et al. 2020, Weed Science 68(2): at least two effective sites of action in each pass"),
        check("rotation_status", "Rotation status",
              'IF({groups}="","",IF(COUNTIF({pass_ingredients.mode_status:block},"Review")>0,"Review","OK"))'),
        check("rotation_finding", "Rotation finding",
              'IF({rotation_status}="Review",INDEX({pass_ingredients.mode_finding:block},MATCH("Review",{pass_ingredients.mode_status:block},0)),"")', "long_text"),
        check("status", "Status", 'IF({groups}="","",IF(OR({count_status}="Review",{rotation_status}="Review"),"Review","OK"))'),
        check("finding", "Finding", 'IF({count_status}="Review",{count_finding},{rotation_finding})', "long_text"),
    ),
    rows="as:passes",
    kind="result",
    was=("Modes by pass",),
)

MODE_TABLES = (PAST_FACTS, GROUP_FACTS, FARM_GROUPS, FIELD_ROWS, MODE_ROTATION, MODE_CHECKS)
