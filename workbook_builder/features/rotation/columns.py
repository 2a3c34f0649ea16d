"""Resistance groups: rotation on each field and groups in each pass."""

from __future__ import annotations

from string import ascii_lowercase

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import LOOK, OK, Table
from workbook_builder.core.short import check, place, result, row_number, slot_number, working
from workbook_builder.features.loads.lines import counted, of_first
from workbook_builder.features.rotation.definitions import rotation_status, seasons_in_a_row, times_running

SHEET, WAS = "Workings groups", ("Workings modes",)

PAST_FACTS = Table(
    "past_facts",
    "Past use workings",
    "Each past use with today's group number and how many seasons back it was.",
    (
        place("field_row", "Field row", "past_use.field", "fields.field"),
        working("typed_no", "Number of the group typed",
                'IF(OR({past_use.scheme}="",{past_use.scheme}="herbicide"),'
                'IF(ISNUMBER({past_use.mode_group}),{past_use.mode_group},""),'
                'IFERROR(INDEX({group_codes.mode_group:all},'
                'MATCH({past_use.scheme}&"|"&{past_use.mode_group},{group_codes.key:all},0)),""))',
                needs="past_use.mode_group"),
        place("old_row", "Old number row", "typed_no", "old_groups.old_group"),
        working("unknown", "Old number without a group of today",
                'IF({old_row}="",0,IF({old_groups.new_group@old_row}="",1,0))', "count"),
        working("group", "Group today",
                'IF(OR({old_row}="",{unknown}=1),{typed_no},{old_groups.new_group@old_row})',
                needs="typed_no",
                note="An old number that depends on the active ingredient stays as typed."),
        working("back", "Seasons back", "{farm.season}-{past_use.season}", "count", needs="past_use.season"),
        working("key", "Key",
                'IF(OR({back}<1,{back}>{farm.look_back_seasons}),"",{field_row}*10000+{group}*10+{back})',
                needs="field_row group back"),
    ),
    rows="as:past_use",
    kind="working",
    sheet=SHEET,
    was=WAS,
)

GROUP_FACTS = Table(
    "group_facts",
    "Group workings",
    "Which groups turn up on this farm, in the plan or in past seasons.",
    (
        working("uses", "Rows with it",
                "COUNTIF({pass_ingredients.group:all},{group_names.mode_group})"
                "+COUNTIF({past_facts.group:all},{group_names.mode_group})", "count"),
        working("running", "Groups so far", "SUM({running:above},IF({uses}>0,1,0))"),
    ),
    rows="as:group_names",
    kind="working",
    sheet=SHEET,
    was=WAS,
)

FARM_GROUPS = Table(
    "farm_groups",
    "Groups on the farm",
    "Groups used on this farm, in number order.",
    (
        slot_number("Place"),
        place("row", "Row in the list", "slot", "group_facts.running"),
        result("mode_group", "Group", "{group_names.mode_group@row}", "count", needs="row"),
        result("site_of_action", "What it acts on", "{group_names.site_of_action@row}", "long_text",
               needs="row", was=("What it does in the plant",)),
    ),
    rows="list:groups",
    kind="working",
    sheet=SHEET,
    was=WAS,
)

FIELD_ROWS = Table(
    "field_rows",
    "Field row numbers",
    "Row number of each field, for lookups.",
    (row_number(),),
    rows="as:fields",
    kind="working",
    sheet=SHEET,
    was=WAS,
)

#: Passes of a field that the grid has columns for.
GRID_PASSES = 8
#: Earlier seasons that the grid has columns for, oldest first.
GRID_SEASONS = {3: "Three seasons back", 2: "Two seasons back", 1: "Last season"}
#: Cells of the grid in the order of time -> the column with the list of groups that each shows.
GRID_LISTS = {**{f"season_{back}": f"season_{back}" for back in GRID_SEASONS},
              **{f"pass_{nth}": f"groups_{nth}" for nth in range(1, GRID_PASSES + 1)}}
_GRID = tuple(GRID_LISTS.values())
#: Times running that are told apart.
MOST_TIMES = 4
#: Writes the letter of every season and pass with a group.
_SEEN = "&".join(f'IF({there},"{letter}","")' for letter, there in zip(ascii_lowercase, (
    *(f"SUM({{back_{back}}})>0" for back in GRID_SEASONS),
    *(f'ISNUMBER(FIND(", "&{{said}}&", ",", "&{{rotation_grid.groups_{nth}@row_no}}&", "))'
      for nth in range(1, GRID_PASSES + 1))), strict=False))


def _running(place: int) -> str:
    """Return the formula for how many times running one of the groups comes at a place of the grid,
    counted from 0.
    """
    counted = "1"
    for times in range(2, min(place + 1, MOST_TIMES) + 1):
        counted = (f'IF(COUNTIF({{mode_rotation.seen:block}},'
                   f'"*{ascii_lowercase[place + 1 - times : place + 1]}*")>0,{times},{counted})')
    return counted


MODE_ROTATION = Table(
    "mode_rotation",
    "Group rotation",
    "How often each group of herbicides, insecticides and fungicides is used on each field: past seasons, "
    "this plan, and how many seasons in a row.",
    (
        slot_number("Place"),
        working("row_no", "Field row", "{field_rows.row_no}"),
        working("group_row", "Its row in the list", "{farm_groups.row@slot}", needs="fields.field"),
        working("group_no", "Group in this place", "{farm_groups.mode_group@slot}", needs="group_row"),
        result("field", "Field", "{fields.field}", "name", needs="group_no"),
        result("scheme", "Group list", "{group_names.scheme@group_row}", "text", needs="group_no"),
        result("mode_group", "Group", "{group_names.code@group_row}", "code", needs="group_no"),
        working("said", "Group in words", "{group_names.said@group_row}", "text", needs="group_no"),
        *(result(f"back_{back}", f"Uses {season}",
                 f"SUMIF({{past_facts.key:all}},{{row_no}}*10000+{{group_no}}*10+{back},"
                 f"{{past_use.uses:all}})", "count", needs="group_no")
          for back, season in ((3, "three seasons back"), (2, "two seasons back"), (1, "last season"))),
        *(working(f"so_far_{back}", f"Groups so far, {back} back",
                  f'IF({{slot}}=1,"",{{so_far_{back}:above}})&IF(SUM({{back_{back}}})>0,'
                  f'IF(OR({{slot}}=1,{{so_far_{back}:above}}=""),"",", ")&{{said}},"")', "text")
          for back in (3, 2, 1)),
        working("seen", "Seasons and passes with it", _SEEN, "text", needs="group_no",
                note="A letter for each of the grid, in the order of time."),
        working("key", "Field and group", "{row_no}*1000+{group_no}", needs="group_no"),
        result("planned", "Planned uses", "COUNTIF({pass_ingredients.use_key:all},{key})",
               "count", needs="key"),
        result("seasons_in_a_row", "Seasons in a row",
               "IF({planned}=0,0,1+IF({back_1}>0,1+IF({back_2}>0,1+IF({back_3}>0,1,0),0),0))", "count",
               needs="planned", twin=seasons_in_a_row, takes="planned back_1 back_2 back_3",
               note="This season and the ones before it without a gap."),
        *(working(f"cause_{nth}", f"{word} pass with it",
                  f'IF(SUM({{planned}})<{nth},"",INDEX({{pass_ingredients.pass:all}},MATCH({{key}}*100+{nth},'
                  f'{{pass_ingredients.use_id:all}},0)))', "name")
          for nth, word in enumerate(("First", "Second", "Third"), 1)),
        result("passes", "Passes with it",
               '{cause_1}&IF({cause_2}="","",", "&{cause_2})&IF({cause_3}="","",", "&{cause_3})'
               '&IF({planned}>3," and more","")', "name", width=34, needs="cause_1"),
        result("in_a_row", "Applications in a row",
               "IFERROR(_xlfn.MAXIFS({pass_ingredients.turn:all},{pass_ingredients.use_key:all},{key}),0)",
               "count", needs="key",
               note="Fungicides: without another group taking a turn between; 3 stands for more."),
        working("most_uses", "Most uses per season",
                'IF({group_no}<100,group_uses,{group_names.season_uses@group_row})', "count",
                needs="group_no"),
        working("most_in_a_row", "Most in a row", '{group_names.in_a_row@group_row}', "count",
                needs="group_no"),
        working("too_many", "Too many uses", 'IF(SUM({most_uses})=0,0,IF({planned}>{most_uses},1,0))',
                "count", needs="group_no"),
        working("too_long", "Too many seasons running",
                "IF(AND({group_no}<100,{seasons_in_a_row}>=group_seasons),1,0)", "count", needs="group_no"),
        working("unbroken", "Too many in a row",
                'IF(SUM({most_in_a_row})=0,0,IF({in_a_row}>{most_in_a_row},1,0))', "count", needs="group_no"),
        check("status", "Status",
              'IF(OR({group_no}=0,{planned}=0,{too_many}+{too_long}+{unbroken}=0),"OK","Review")',
              needs="group_no", twin=rotation_status,
              takes="group_no planned seasons_in_a_row in_a_row assumptions.group_uses "
                    "assumptions.group_seasons group_names.season_uses@group_row "
                    "group_names.in_a_row@group_row"),
        check("finding", "Finding",
              'IF({status}<>"Review","","Group "&{said}&IF({too_many}=1,", "&{planned}&" uses this season",'
              '"")&IF({too_long}=1,", "'
              '&{seasons_in_a_row}&" seasons in a row","")&IF({unbroken}=1,'
              '", "&{in_a_row}&" applications in a row","")&" ("&{passes}&")")', "long_text",
              source="herbicides: CropLife Australia, Groups 5, 6 and 12: flag consecutive seasons; "
                     "Norsworthy et al. 2012, practice 6; insecticides and fungicides: UC IPM Pest "
                     "Management Guidelines, Artichoke and Tomato"),
    ),
    rows="under:fields:groups",
    kind="result",
    was=("Mode rotation",),
)

ROTATION_GRID = Table(
    "rotation_grid",
    "Groups by season and pass",
    "Which groups each field saw in earlier seasons and sees in each pass of this one, in the order of their "
    "dates.",
    (
        result("field", "Field", '{fields.field}&""', "name"),
        *(result(f"season_{back}", title, f"INDEX({{mode_rotation.so_far_{back}:block}},{{room.groups}})",
                 "text") for back, title in GRID_SEASONS.items()),
        working("first", "First pass in the order of fields",
                'IFERROR(MATCH({field_rows.row_no},{field_sequence.field_row:all},0),"")', needs="field"),
        *(working(f"row_{nth}", f"Row of pass {nth}",
                  f'IF(IFERROR(INDEX({{field_sequence.field_row:all}},{{first}}+{nth - 1}),'
                  f'0)<>{{field_rows.row_no}},"",INDEX({{field_sequence.row:all}},{{first}}+{nth - 1}))',
                  needs="first")
          for nth in range(1, GRID_PASSES + 1)),
        *(working(f"groups_{nth}", f"Groups of pass {nth}", f"{{mode_checks.groups@row_{nth}}}", "text",
                  needs=f"row_{nth}") for nth in range(1, GRID_PASSES + 1)),
        *(result(f"pass_{nth}", f"Pass {nth}", f'{{groups_{nth}}}&" ("&{{mode_checks.pass@row_{nth}}}&")"',
                 "long_text", needs=f"row_{nth}", width=18)
          for nth in range(1, GRID_PASSES + 1)),
        # For every cell but the first, how many times running one of its groups comes; shades follow that.
        *(working(f"running_{key}", f"Times running, {key.replace('_', ' ')}", _running(place), "count",
                  needs=here, twin=times_running,
                  takes=" ".join(("mode_rotation.said:block",
                                  *_GRID[max(0, place + 1 - MOST_TIMES) : place + 1][::-1])))
          for place, (key, here) in enumerate(GRID_LISTS.items()) if place),
    ),
    rows="as:fields",
    kind="result",
)

MODE_CHECKS = Table(
    "mode_checks",
    "Groups by pass",
    "How many different herbicide groups each pass carries, and whether any of them is overused on the "
    "field.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        result("groups", "Groups", "{mix_list.groups@pass_volumes.mix_no}", "text", width=16,
               needs="pass_volumes.mix_no"),
        result("modes_in_pass", "Herbicide groups in the pass", "{mix_list.modes@pass_volumes.mix_no}",
               "count", needs="pass_volumes.mix_no"),
        check("count_status", "Number status",
              'IF({mix_list.on_weeds@pass_volumes.mix_no}=0,"",IF({modes_in_pass}<{farm.wanted_modes},'
              '"Review","OK"))', needs="modes_in_pass groups",
              twin=lambda groups, wanted, on_weeds: "" if not on_weeds else LOOK if groups < wanted else OK,
              takes="modes_in_pass farm.wanted_modes mix_list.on_weeds@pass_volumes.mix_no",
              note="Passes with herbicides only."),
        check("count_finding", "Number finding",
              'IF({count_status}="Review",{modes_in_pass}&" of "&{farm.wanted_modes}&" wanted herbicide '
              'groups (group "&{groups}&")","")', "long_text",
              source="Liu et al. 2020, Weed Science 68(2): at least two effective sites of action in "
                     "each pass"),
        check("rotation_status", "Rotation status", 'IF(%s>0,"Review","OK")'
              % counted("pass_ingredients.mode_status", '"Review"', "pass_ingredients"), needs="groups"),
        check("rotation_finding", "Rotation finding",
              'IF({rotation_status}="Review",%s,"")'
              % of_first("pass_ingredients.mode_finding", "pass_ingredients.mode_status", '"Review"',
                         "pass_ingredients"), "long_text"),
        check("status", "Status", 'IF(OR({count_status}="Review",{rotation_status}="Review"),"Review","OK")',
              needs="groups"),
        check("finding", "Finding", 'IF({count_status}="Review",{count_finding},{rotation_finding})',
              "long_text"),
    ),
    rows="as:passes",
    kind="result",
    was=("Modes by pass",),
)

TABLES = (MODE_ROTATION, ROTATION_GRID, MODE_CHECKS, PAST_FACTS, GROUP_FACTS, FARM_GROUPS, FIELD_ROWS)

CHECKS = (
    CheckKind("Herbicide groups in the pass", "mode_checks", "count_status", "count_finding", rank=160),
    CheckKind("Group rotation", "mode_checks", "rotation_status", "rotation_finding", rank=170),
)
