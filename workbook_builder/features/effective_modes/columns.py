"""Effective modes: which groups of a pass still work on each driver weed, and how long the ground stays covered."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.short import check, result, row_number, slot_number, working

_WEED = 'IF({weed_row}="","",INDEX({%s:all},{weed_row}))'
_WEED_TEXT = 'IF({weed_row}="","",INDEX({%s:all},{weed_row})&"")'
_MIX_WEED = 'IF({mix_weed_row}="","",INDEX({mix_weeds.%s:all},{mix_weed_row}))'
_LEFT = "{rated}"
_NOT_RESISTANT = ""
for _place in (1, 2, 3, 4):
    _LEFT = 'SUBSTITUTE(%s,";"&{r_%d}&";",";")' % (_LEFT, _place)
    _NOT_RESISTANT += ',{mix_weed_ingredients.group:all},"<>"&IF({r_%d}="",-1,{r_%d})' % (_place, _place)

EFFECTIVE_MODES = Table(
    "effective_modes",
    "Effective herbicide groups",
    "Each pass on each driver weed of its field: how many herbicide groups of the mix still work on it.",
    (
        slot_number("Weed"),
        result("pass", "Pass", 'IF({weed_row}="","",{pass_volumes.pass})', "name"),
        result("field", "Field", 'IF({weed_row}="","",{pass_volumes.field})', "name"),
        working("weed_row", "Weed row", 'IF(OR({pass_volumes.pass}="",{pass_volumes.field_row}=""),"",IFERROR(MATCH({pass_volumes.field_row}*100+{slot},{weed_facts.key:all},0),""))'),
        result("weed", "Driver weed", _WEED_TEXT % "weeds.weed", "name"),
        result("density_class", "Density", _WEED_TEXT % "weeds.density_class", "text"),
        result("resistant", "Resistant to", _WEED_TEXT % "weeds.resistant_groups", "text", width=12),
        working("weed_no", "Weed number", _WEED % "weed_facts.weed_no"),
        working("readable", "Resistant groups readable", _WEED % "weed_facts.readable", "count"),
        *(working(f"r_{place}", f"Resistant group {place}", _WEED % f"weed_facts.r_{place}", "count") for place in (1, 2, 3, 4)),
        working("mix_weed_row", "Mix and weed row",
                'IF(OR(SUM({weed_no})=0,{pass_volumes.mix_no}=""),"",IF({weed_no}>{room.weed_names},"",({pass_volumes.mix_no}-1)*{room.weed_names}+{weed_no}))'),
        working("unrated", "Ingredients without a rating", _MIX_WEED % "unrated", "count"),
        working("rated", "Groups that work, resistance left out", _MIX_WEED % "rated", "text"),
        working("left", "Groups that still work", 'IF(OR({mix_weed_row}="",{readable}=0),"",' + _LEFT + ")", "text"),
        result("effective_groups", "Effective groups", 'IF({left}="","",LEN({left})-LEN(SUBSTITUTE({left},";",""))-1)', "count",
               note="Different groups rated at or above the threshold on this weed, to which it is not resistant.",
               source="Liu et al. 2020, Weed Science 68(2): at least two effective sites of action in each pass"),
        result("groups", "Which", 'IF(LEN({left})<3,"",SUBSTITUTE(MID({left},2,LEN({left})-2),";",", "))', "text", width=14),
        result("wanted", "Wanted", 'IF({weed_row}="","",{farm.wanted_modes})', "count"),
        check("status", "Status",
              'IF(OR({weed_row}="",{weed_totals.ratings}=0),"",IF({effective_groups}="","Not entered",IF({effective_groups}>={wanted},"OK",IF({unrated}>0,"Not entered","Review"))))'),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",IF({readable}=0,"Resistant groups of "&{weed}&" cannot be read: write up to four numbers such as 2;9",'
              'IF({effective_groups}="","No such mix, or more weeds than there is room for: build the workbook again",'
              'IF({status}="Not entered",{unrated}&" ingredients of the mix have no rating on "&{weed},'
              '{effective_groups}&" of "&{wanted}&" wanted effective groups on "&{weed}&IF({groups}="",""," (group "&{groups}&")")&IF({resistant}="","","; resistant to "&{resistant})))))', "long_text"),
        result("residual_days", "Days of residual",
               'IF({effective_groups}="","",IF({effective_groups}=0,0,IFERROR(_xlfn.MAXIFS({mix_weed_ingredients.residual:all},{mix_weed_ingredients.key:all},'
               '{pass_volumes.mix_no}*1000+{weed_no}' + _NOT_RESISTANT + "),0)))", "days", note="Longest residual of the effective ingredients."),
        result("covered_from", "Covered from", 'IF(OR(SUM({residual_days})=0,{pass_times.day}=""),"",{pass_times.day})', "date"),
        result("covered_to", "Covered until", 'IF({covered_from}="","",{covered_from}+{residual_days})', "date"),
        working("order", "Time order", 'IF({covered_from}="","",{covered_from}*1000000+{parent_no}*20+{slot})'),
        working("latest", "Covered until, with earlier passes",
                'IF({order}="","",IFERROR(_xlfn.MAXIFS({covered_to:all},{weed_row:all},{weed_row},{order:all},"<="&{order}),0))', "date"),
        working("next", "Next residual", 'IF({order}="",0,IFERROR(_xlfn.MINIFS({covered_from:all},{weed_row:all},{weed_row},{order:all},">"&{order}),0))', "date"),
        working("window_to", "Emerges until", _WEED % "weed_facts.emerges_to", "date"),
        working("window_from", "Emerges from", _WEED % "weed_facts.emerges_from", "date"),
        working("gap_to", "Gap ends", 'IF(OR({order}="",{window_to}="",{window_from}=""),"",IF({next}=0,{window_to},MIN({next},{window_to})))', "date"),
        working("gap_from", "Gap starts", 'IF({gap_to}="","",MAX({latest},{window_from}))', "date"),
        result("gap_days", "Uncovered days after it", 'IF({gap_to}="","",MAX(0,{gap_to}-{gap_from}))', "days",
               note="Days of the weed's emergence between the end of this residual and the next one."),
        working("gap_key", "Weed and number of the gap",
                'IF(SUM({gap_days})=0,"",{weed_row}*1000+COUNTIFS({weed_row:upto},{weed_row},{gap_days:upto},">0"))'),
    ),
    rows="under:passes:weeds",
    kind="result",
    caution="Ratings come from your own guide, for weeds of the right size at the labelled rate; resistance must be known or tested, not guessed.",
    was=("Effective modes",),
)

_COUNT = 'IF({weed}="","",COUNTIFS({effective_modes.weed_row:all},{row_no}%s))'

WEED_COVER = Table(
    "weed_cover",
    "Residual control by weed",
    "Each driver weed over the season: passes with enough effective groups, and the weeks of emergence without residual control.",
    (
        row_number(),
        result("field", "Field", 'IF({weeds.field}="","",{weeds.field})', "name"),
        result("weed", "Driver weed", 'IF(OR({field}="",{weeds.weed}=""),"",{weeds.weed})', "name"),
        result("passes", "Passes on it", _COUNT % "", "count"),
        result("enough", "With enough effective groups", _COUNT % ',{effective_modes.status:all},"OK"', "count"),
        result("best", "Most effective groups in a pass", 'IF(SUM({passes})=0,"",IFERROR(_xlfn.MAXIFS({effective_modes.effective_groups:all},{effective_modes.weed_row:all},{row_no}),0))', "count"),
        result("residuals", "Passes with residual", _COUNT % ',{effective_modes.covered_from:all},">0"', "count"),
        result("emerges_from", "Emerges from", 'IF({weed}="","",{weed_facts.emerges_from})', "date", note="Typed with the weed; blank takes the planting date."),
        result("emerges_to", "Emerges until", 'IF({weed}="","",{weed_facts.emerges_to})', "date", note="Typed with the weed; blank takes the harvest date."),
        working("first", "First residual", 'IF(SUM({residuals})=0,0,IFERROR(_xlfn.MINIFS({effective_modes.covered_from:all},{effective_modes.weed_row:all},{row_no}),0))', "date"),
        working("before", "Uncovered days before it",
                'IF(OR({emerges_from}="",{emerges_to}=""),"",MAX(0,IF({first}=0,{emerges_to},MIN({first},{emerges_to}))-{emerges_from}))', "days"),
        result("uncovered_days", "Uncovered days", 'IF({before}="","",{before}+SUMIF({effective_modes.weed_row:all},{row_no},{effective_modes.gap_days:all}))', "days"),
        result("uncovered_weeks", "Uncovered weeks", 'IF({uncovered_days}="","",{uncovered_days}/7)', "number", digits=1),
        result("gap_from", "First gap from",
               'IF(SUM({uncovered_days})=0,"",IF({before}>0,{emerges_from},IFERROR(_xlfn.MINIFS({effective_modes.gap_from:all},{effective_modes.weed_row:all},{row_no},{effective_modes.gap_days:all},">0"),0)))', "date"),
        result("gap_to", "First gap until",
               'IF(SUM({uncovered_days})=0,"",IF({before}>0,IF({first}=0,{emerges_to},MIN({first},{emerges_to})),IFERROR(_xlfn.MINIFS({effective_modes.gap_to:all},{effective_modes.weed_row:all},{row_no},{effective_modes.gap_days:all},">0"),0)))', "date"),
        check("status", "Status",
              'IF(OR({weed}="",{weed_totals.ratings}=0),"",IF({uncovered_days}="","Not entered",IF(OR({enough}=0,{uncovered_weeks}>uncovered_limit),"Review","OK")))'),
        check("finding", "Finding",
              'IF({status}="Not entered","Enter when "&{weed}&" emerges, or the field\'s planting and harvest dates",IF({status}="Review",'
              'IF({enough}=0,"No pass has enough effective groups on it","")&IF({uncovered_weeks}>uncovered_limit,IF({enough}=0,"; ","")&ROUND(ROUND({uncovered_weeks},6),1)&" weeks of emergence without residual control",""),""))', "long_text"),
    ),
    rows="as:weeds",
    kind="result",
    was=("Weed cover",),
)

RELIANCE_FACTS = Table(
    "reliance_facts",
    "Reliance workings",
    "Uses of each group on each field over the seasons looked back on and this one.",
    (
        working("uses", "Uses in all", 'IF(SUM({mode_rotation.mode_group})=0,"",{mode_rotation.back_3}+{mode_rotation.back_2}+{mode_rotation.back_1}+{mode_rotation.planned})', "count"),
        working("seasons", "Seasons with it", 'IF({uses}="","",IF({mode_rotation.back_3}>0,1,0)+IF({mode_rotation.back_2}>0,1,0)+IF({mode_rotation.back_1}>0,1,0)+IF({mode_rotation.planned}>0,1,0))', "count"),
    ),
    rows="as:mode_rotation",
    kind="working",
    sheet="Workings groups",
    was=("Workings modes",),
)

MODE_RELIANCE = Table(
    "mode_reliance",
    "Reliance on one group",
    "How much each field leans on one herbicide group over the seasons: past use and this plan together.",
    (
        result("field", "Field", 'IF({fields.field}="","",{fields.field})', "name"),
        result("uses", "Uses of all groups", 'IF({field}="","",SUM({reliance_facts.uses:block}))', "count"),
        working("most", "Most uses of one group", 'IF(SUM({uses})=0,"",MAX({reliance_facts.uses:block}))', "count"),
        working("place", "Its place", 'IF({most}="","",MATCH({most},{reliance_facts.uses:block},0))'),
        result("top_group", "Most used group", 'IF({place}="","",INDEX({mode_rotation.mode_group:block},{place}))', "count"),
        result("top_uses", "Its uses", "{most}", "count"),
        result("top_seasons", "Seasons with it", 'IF({place}="","",INDEX({reliance_facts.seasons:block},{place}))', "count"),
        result("top_share", "Share of all uses", 'IF({most}="","",{most}/{uses})', "share"),
        check("status", "Status", 'IF({top_share}="","",IF({top_share}>reliance_share,"Review","OK"))'),
        check("finding", "Finding",
              'IF({status}="Review","Group "&{top_group}&" carries "&ROUND(ROUND(100*{top_share},6),0)&" % of the uses over "&{top_seasons}&" seasons","")', "long_text",
              source="no published number; Norsworthy et al. 2012 and Evans et al. 2016 advise several effective modes together"),
    ),
    rows="as:fields",
    kind="result",
    was=("Mode reliance",),
)

EFFECTIVE_TABLES = (EFFECTIVE_MODES, WEED_COVER, MODE_RELIANCE, RELIANCE_FACTS)
