"""Residual cover week by week: in which weeks new weeds can come up because no residual holds them."""

from __future__ import annotations

from functools import partial

from workbook_builder.core.columns import FIXED, Column, Table
from workbook_builder.core.short import check, or_blank, result, row_number, slot_number, working
from workbook_builder.features.cover.definitions import monday_before, week_status

SHEET = "Residual control by week"
#: Weeks shown, from the first emergence on the farm.
WEEKS = 53
_WEEKS = range(1, WEEKS + 1)

COVER_SEASON = Table(
    "cover_season",
    "Season of cover",
    "Where the weeks start.",
    (
        working("first", "First emergence",
                'IF(COUNT({weed_facts.emerges_from:all})=0,"",MIN({weed_facts.emerges_from:all}))', "date"),
        working("start", "First Monday", "{first}-WEEKDAY({first}-1)+1", "date", needs="first",
                twin=monday_before, takes="first", note="The Monday on or before it."),
        working("last", "Last emergence",
                'IF(COUNT({weed_facts.emerges_to:all})=0,"",MAX({weed_facts.emerges_to:all}))', "date"),
        working("past_end", "Days past the last week",
                'IF(OR({start}="",{last}=""),0,MAX(0,{last}-{start}-%d))' % (7 * WEEKS), "days",
                twin=lambda start, last: 0 if "" in (start, last) else max(0, last - (start + 7 * WEEKS))),
    ),
    rows="form",
    kind="working",
    sheet="Workings weeds",
)

_OPENING = 'IF({weed_cover.before}="","",IF({weed_cover.before}=0,"",%s))'

WEED_GAPS = Table(
    "weed_gaps",
    "Gap workings",
    "Each driver weed's spans without cover: the one before the first residual, then those after each.",
    (
        slot_number("Gap"),
        working("row", "Row of the residual before it",
                'IF({slot}=1,"",IFERROR(MATCH({parent_no}*1000+{slot}-1,{effective_modes.gap_key:all},'
                '0),""))'),
        working("gap_from", "From", 'IF({slot}=1,%s,IF({row}="","",{effective_modes.gap_from@row}))'
                % (_OPENING % "{weed_cover.emerges_from}"), "date"),
        working("gap_to", "Until", 'IF({slot}=1,%s,IF({row}="","",{effective_modes.gap_to@row}))'
                % (_OPENING % "{weed_cover.emerges_from}+{weed_cover.before}"), "date",
                twin=lambda slot, start, before, later: later if slot > 1 else start + before
                if before else "",
                takes="slot weed_cover.emerges_from weed_cover.before effective_modes.gap_to@row"),
    ),
    rows="under:weeds:gaps",
    kind="working",
    sheet="Workings gaps",
)


def _starts(week: int) -> str:
    return "{cover_season.start}" if week == 1 else "({cover_season.start}+%d)" % (7 * (week - 1))


COVER_DATES = Table(
    "cover_dates",
    "Residual control by week",
    "Review: new weeds can come up in that week because no residual holds them on at least one day; OK: "
    "residual control; blank: none emerges.",
    (
        Column("field", "Week", "name", FIXED, given=("Starts on Monday",)),
        Column("weed", "Day shown", "name", FIXED, given=("month-day",)),
        *(result(f"w{week}", f"W{week}", 'RIGHT("0"&MONTH(START),2)&"-"&RIGHT("0"&DAY(START),2)'
                 .replace("START", _starts(week)), "text", width=7.5, needs="cover_season.start")
          for week in _WEEKS),
    ),
    rows="list:one",
    kind="result",
    sheet=SHEET,
    caution="Residual days come from your own ratings; dry soil, heavy rain and residue shorten or delay "
            "them.",
    was=("Cover by week",),
)

FIELD_WEEKS = Table(
    "field_weeks",
    "Weeks by field",
    "The worst of the field's driver weeds in each week.",
    (
        result("field", "Field", or_blank("fields.field"), "name", width=20),
        result("uncovered", "Weeks without residual control", 'COUNTIF({w1}:{w%d},"Review")' % WEEKS, "count",
               width=18, needs="field"),
        *(check(f"w{week}", f"W{week}",
                "".join(f'IF(COUNTIFS({{weed_facts.field_row:all}},{{row_no}},{{weed_weeks.w{week}:all}},'
                        f'"{word}")>0,"{word}",' for word in ("Not entered", "Review", "OK")) + '"")))',
                width=7.5, needs="field") for week in _WEEKS),
        row_number(),
    ),
    rows="as:fields",
    kind="result",
    sheet=SHEET,
    was=("Cover by week",),
)

WEED_WEEKS = Table(
    "weed_weeks",
    "Weeks by driver weed",
    "Each driver weed in the weeks in which it emerges.",
    (
        result("field", "Field", "{weed_cover.field}", "name", width=20),
        result("weed", "Driver weed", "{weed_cover.weed}", "name", width=18),
        *(check(f"w{week}", f"W{week}",
                ('IF({shown}=0,"",IF(OR(START+7<={emerges_from},START>={emerges_to}),"",'
                 'IF({too_many}=1,"Not entered",IF(COUNTIFS({weed_gaps.gap_from:block},"<"&(START+7),'
                 '{weed_gaps.gap_to:block},">"&START)>0,"Review","OK"))))').replace("START", _starts(week)),
                width=7.5, twin=partial(week_status, week),
                takes="shown too_many cover_season.start emerges_from emerges_to weed_gaps.gap_from:block "
                      "weed_gaps.gap_to:block") for week in _WEEKS),
        working("emerges_from", "Emerges from", "{weed_cover.emerges_from}", "date"),
        working("emerges_to", "Emerges until", "{weed_cover.emerges_to}", "date"),
        working("shown", "Can be worked out",
                'IF(OR({weed}="",{weed_totals.ratings}=0,{emerges_from}="",{emerges_to}="",'
                '{cover_season.start}=""),0,1)', "count"),
        working("too_many", "More gaps than there is room for",
                'IF({shown}=0,0,IF(COUNTIFS({effective_modes.weed_row:all},{weed_cover.row_no},'
                '{effective_modes.gap_days:all},">0")>{room.gaps}-1,1,0))', "count"),
    ),
    rows="as:weeds",
    kind="result",
    sheet=SHEET,
    was=("Cover by week",),
)

TABLES = (COVER_DATES, FIELD_WEEKS, WEED_WEEKS, COVER_SEASON, WEED_GAPS)
