"""Effective modes: which groups of a pass still work on each driver weed,
and how long the ground stays covered.
"""

from __future__ import annotations

from operator import add

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import LOOK, OK, Column, Table
from workbook_builder.core.short import belonging, check, lines_of, or_blank, result, row_number, working
from workbook_builder.features.effective_modes import definitions

_RESISTANT = ("r_1", "r_2", "r_3", "r_4")
_LEFT = "{rated}"
_NOT_RESISTANT = ""
for _group in _RESISTANT:
    _LEFT = 'SUBSTITUTE(%s,";"&{%s}&";",";")' % (_LEFT, _group)
    _NOT_RESISTANT += ',{mix_weed_ingredients.group:all},"<>"&IF({%s}="",-1,{%s})' % (_group, _group)


def _typed(key: str, header: str, column: str, quantity: str = "text", **more: int) -> Column:
    return result(key, header, f'{{weeds.{column}@weed_row}}&""', quantity, needs="weed_row", **more)


def _fact(key: str, header: str, quantity: str = "index", column: str = "") -> Column:
    return working(key, header, f"{{weed_facts.{column or key}@weed_row}}", quantity, needs="weed_row")


PASS_WEEDS = Table(
    "pass_weeds",
    "Driver weeds of passes",
    "How many driver weeds the field of each pass has.",
    (
        *lines_of("weeds", "Driver weeds of its field",
                  'IF(OR({pass_volumes.pass}="",{pass_volumes.field_row}=""),0,'
                  'COUNTIF({weed_facts.field_row:all},{pass_volumes.field_row}))'),
        working("on_weeds", "Is meant for weeds",
                'IF({pass_volumes.mix_no}="",1,{mix_list.on_weeds@pass_volumes.mix_no})', "count"),
    ),
    rows="as:passes",
    kind="working",
    sheet="Workings passes",
)

EFFECTIVE_MODES = Table(
    "effective_modes",
    "Effective herbicide groups",
    "Each pass on each driver weed of its field: how many herbicide groups of the mix still work on it.",
    (
        *belonging("pass_weeds.weeds_before"),
        result("pass", "Pass", "{pass_volumes.pass}", "name", needs="weed_row"),
        result("field", "Field", "{pass_volumes.field}", "name", needs="weed_row"),
        working("weed_row", "Weed row",
                'IF({row_no}>{pass_weeds.weeds_before}+{pass_weeds.weeds},"",'
                'IFERROR(MATCH({pass_volumes.field_row}*100+{row_no}-{pass_weeds.weeds_before},'
                '{weed_facts.key:all},0),""))',
                needs="pass_volumes.pass pass_volumes.field_row"),
        _typed("weed", "Driver weed", "weed", "name"),
        _typed("density_class", "Density", "density_class"),
        _typed("resistant", "Resistant to", "resistant_groups", width=12),
        _fact("weed_no", "Weed number"),
        _fact("readable", "Resistant groups readable", "count"),
        *(_fact(group, f"Resistant group {place}", "count") for place, group in enumerate(_RESISTANT, 1)),
        working("mix_weed_row", "Mix and weed row",
                'IF(SUM({weed_no})=0,"",IF({weed_no}>{room.weed_names},"",'
                '({pass_volumes.mix_no}-1)*{room.weed_names}+{weed_no}))', needs="pass_volumes.mix_no"),
        working("unrated", "Ingredients without a rating", "{mix_weeds.unrated@mix_weed_row}", "count",
                needs="mix_weed_row"),
        working("rated", "Groups that work, resistance left out", "{mix_weeds.rated@mix_weed_row}", "text",
                needs="mix_weed_row"),
        working("left", "Groups that still work", f'IF({{readable}}=0,"",{_LEFT})', "text",
                needs="mix_weed_row",
                twin=lambda readable, *groups: definitions.still_working(*groups) if readable else "",
                takes=" ".join(("readable", "rated", *_RESISTANT))),
        result("effective_groups", "Effective groups", 'LEN({left})-LEN(SUBSTITUTE({left},";",""))-1',
               "count", needs="left",
               twin=lambda left: len(left.strip(";").split(";")) if left.strip(";") else 0,
               note="Different groups rated at or above the threshold on this weed, to which it is not "
                    "resistant.",
               source="Liu et al. 2020, Weed Science 68(2): at least two effective sites of action in "
                      "each pass"),
        result("groups", "Which", 'IF(LEN({left})<3,"",SUBSTITUTE(MID({left},2,LEN({left})-2),";",", "))',
               "text", width=14),
        result("wanted", "Wanted", "{farm.wanted_modes}", "count", needs="weed_row"),
        check("status", "Status",
              'IF(OR({weed_totals.ratings}=0,{pass_weeds.on_weeds}=0),"",IF({effective_groups}="",'
              '"Not entered",IF({effective_groups}>={wanted},"OK",IF({unrated}>0,"Not entered","Review"))))',
              needs="weed_row", twin=definitions.enough_status,
              takes="weed_totals.ratings effective_groups wanted unrated pass_weeds.on_weeds"),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",IF({readable}=0,"Resistant groups of "&{weed}&" cannot be '
              'read: write up to four numbers such as 2;9",'
              'IF({effective_groups}="","No such mix, or more weeds than there is room for: build the '
              'workbook again",'
              'IF({status}="Not entered",{unrated}&" ingredients of the mix have no rating on "&{weed},'
              '{effective_groups}&" of "&{wanted}&" wanted effective groups on "&{weed}&IF({groups}="","",'
              '" (group "&{groups}&")")&IF({resistant}="","","; resistant to "&{resistant})))))',
              "long_text"),
        result("residual_days", "Days of residual",
               'IF({effective_groups}=0,0,IFERROR(_xlfn.MAXIFS({mix_weed_ingredients.residual:all},'
               '{mix_weed_ingredients.key:all},'
               "{pass_volumes.mix_no}*1000+{weed_no}" + _NOT_RESISTANT + "),0))", "days",
               needs="effective_groups", note="Longest residual of the effective ingredients.",
               twin=definitions.longest_residual,
               takes=" ".join(("pass_volumes.mix_no weed_no mix_weed_ingredients.key:all "
                               "mix_weed_ingredients.group:all mix_weed_ingredients.residual:all",
                               *_RESISTANT))),
        result("covered_from", "Covered from", 'IF(SUM({residual_days})=0,"",{pass_times.day})', "date",
               needs="pass_times.day"),
        result("covered_to", "Covered until", "{covered_from}+{residual_days}", "date", needs="covered_from",
               twin=add, takes="covered_from residual_days"),
        working("order", "Time order", "{covered_from}*1000000+{row_no}", needs="covered_from"),
        working("latest", "Covered until, with earlier passes",
                'IFERROR(_xlfn.MAXIFS({covered_to:all},{weed_row:all},{weed_row},{order:all},'
                '"<="&{order}),0)', "date", needs="order"),
        working("next", "Next residual",
                'IF({order}="",0,IFERROR(_xlfn.MINIFS({covered_from:all},{weed_row:all},{weed_row},'
                '{order:all},">"&{order}),0))', "date"),
        _fact("window_to", "Emerges until", "date", "emerges_to"),
        _fact("window_from", "Emerges from", "date", "emerges_from"),
        working("gap_to", "Gap ends", "IF({next}=0,{window_to},MIN({next},{window_to}))", "date",
                needs="order window_to window_from"),
        working("gap_from", "Gap starts", "MAX({latest},{window_from})", "date", needs="gap_to"),
        result("gap_days", "Uncovered days after it", "MAX(0,{gap_to}-{gap_from})", "days", needs="gap_to",
               twin=lambda gap_from, gap_to: max(0, gap_to - gap_from),
               note="Days of the weed's emergence between the end of this residual and the next one."),
        working("gap_key", "Weed and number of the gap",
                'IF(SUM({gap_days})=0,"",{weed_row}*1000+COUNTIFS({weed_row:upto},{weed_row},{gap_days:upto},'
                '">0"))'),
    ),
    rows="of:passes:weed_lines",
    kind="result",
    caution="Ratings come from your own guide, for weeds of the right size at the labelled rate; resistance "
            "must be known or tested, not guessed.",
    was=("Effective modes",),
)


def _passes(key: str, header: str, that: str = "") -> Column:
    """Declare the number of passes on a weed, of those for which a condition holds."""
    return result(key, header, "COUNTIFS({effective_modes.weed_row:all},{row_no}%s)" % that,
                  "count", needs="weed")


def _of_passes(how: str, column: str, that: str = "") -> str:
    return (f"IFERROR(_xlfn.{how}({{effective_modes.{column}:all}},{{effective_modes.weed_row:all}},"
            f"{{row_no}}{that}),0)")


_GAP = ',{effective_modes.gap_days:all},">0"'

WEED_COVER = Table(
    "weed_cover",
    "Residual control by weed",
    "Each driver weed over the season: passes with enough effective groups, and the weeks of emergence "
    "without residual control.",
    (
        row_number(),
        result("field", "Field", or_blank("weeds.field"), "name"),
        result("weed", "Driver weed", or_blank("weeds.weed"), "name", needs="field"),
        _passes("passes", "Passes on it"),
        _passes("enough", "With enough effective groups", ',{effective_modes.status:all},"OK"'),
        result("best", "Most effective groups in a pass",
               'IF(SUM({passes})=0,"",%s)' % _of_passes("MAXIFS", "effective_groups"), "count"),
        _passes("residuals", "Passes with residual", ',{effective_modes.covered_from:all},">0"'),
        result("emerges_from", "Emerges from", "{weed_facts.emerges_from}", "date", needs="weed",
               note="Typed with the weed; blank takes the planting date."),
        result("emerges_to", "Emerges until", "{weed_facts.emerges_to}", "date", needs="weed",
               note="Typed with the weed; blank takes the harvest date."),
        working("first", "First residual",
                "IF(SUM({residuals})=0,0,%s)" % _of_passes("MINIFS", "covered_from"), "date"),
        working("before", "Uncovered days before it",
                "MAX(0,IF({first}=0,{emerges_to},MIN({first},{emerges_to}))-{emerges_from})", "days",
                needs="emerges_from emerges_to",
                twin=lambda first, start, end: max(0, min(first or end, end) - start),
                takes="first emerges_from emerges_to"),
        result("uncovered_days", "Uncovered days",
               "{before}+SUMIF({effective_modes.weed_row:all},{row_no},{effective_modes.gap_days:all})",
               "days", needs="before",
               twin=definitions.uncovered_days,
               takes="emerges_from emerges_to row_no effective_modes.weed_row:all "
                     "effective_modes.covered_from:all effective_modes.covered_to:all"),
        result("uncovered_weeks", "Uncovered weeks", "{uncovered_days}/7", "number", digits=1,
               needs="uncovered_days", twin=lambda uncovered_days: uncovered_days / 7),
        result("gap_from", "First gap from", 'IF(SUM({uncovered_days})=0,"",IF({before}>0,{emerges_from},%s))'
               % _of_passes("MINIFS", "gap_from", _GAP), "date"),
        result("gap_to", "First gap until",
               'IF(SUM({uncovered_days})=0,"",IF({before}>0,IF({first}=0,{emerges_to},'
               'MIN({first},{emerges_to})),%s))' % _of_passes("MINIFS", "gap_to", _GAP), "date"),
        check("status", "Status",
              'IF({weed_totals.ratings}=0,"",IF({uncovered_days}="","Not entered",'
              'IF(OR({enough}=0,{uncovered_weeks}>uncovered_limit),"Review","OK")))',
              needs="weed", twin=lambda ratings, *season: definitions.cover_status(*season)
              if ratings else "",
              takes="weed_totals.ratings uncovered_weeks enough agronomy_settings.uncovered_limit"),
        check("finding", "Finding",
              'IF({status}="Not entered","Enter when "&{weed}&" emerges, or the field\'s planting and '
              'harvest dates",IF({status}="Review",'
              'IF({enough}=0,"No pass has enough effective groups on it",'
              '"")&IF({uncovered_weeks}>uncovered_limit,IF({enough}=0,"; ","")&ROUND(ROUND({uncovered_weeks},'
              '6),1)&" weeks of emergence without residual control",""),""))', "long_text"),
    ),
    rows="as:weeds",
    kind="result",
    was=("Weed cover",),
)

_SEASONS = tuple(f"{{mode_rotation.{key}}}" for key in ("back_3", "back_2", "back_1", "planned"))

RELIANCE_FACTS = Table(
    "reliance_facts",
    "Reliance workings",
    "Uses of each group on each field over the seasons looked back on and this one.",
    (
        working("uses", "Uses in all",
                'IF(OR(SUM({mode_rotation.group_no})=0,SUM({mode_rotation.group_no})>=100),"",%s)'
                % "+".join(_SEASONS), "count"),
        working("seasons", "Seasons with it", "+".join(f"IF({season}>0,1,0)" for season in _SEASONS), "count",
                needs="uses"),
    ),
    rows="as:mode_rotation",
    kind="working",
    sheet="Workings groups",
    was=("Workings modes",),
)

MODE_RELIANCE = Table(
    "mode_reliance",
    "Reliance on one group",
    "How much each field leans on one herbicide group over the seasons: past use and this plan together. "
    "Herbicides only.",
    (
        result("field", "Field", or_blank("fields.field"), "name"),
        result("uses", "Uses of all groups", "SUM({reliance_facts.uses:block})", "count", needs="field"),
        working("most", "Most uses of one group", 'IF(SUM({uses})=0,"",MAX({reliance_facts.uses:block}))',
                "count"),
        working("place", "Its place", "MATCH({most},{reliance_facts.uses:block},0)", needs="most"),
        result("top_group", "Most used group", "{mode_rotation.mode_group:block@place}", "code",
               needs="place"),
        result("top_uses", "Its uses", "{most}", "count"),
        result("top_seasons", "Seasons with it", "{reliance_facts.seasons:block@place}", "count",
               needs="place"),
        result("top_share", "Share of all uses", "{most}/{uses}", "share", needs="most",
               twin=definitions.top_share, takes="mode_rotation.group_no:block reliance_facts.uses:block"),
        check("status", "Status", 'IF({top_share}>reliance_share,"Review","OK")', needs="top_share",
              twin=lambda share, limit: LOOK if share > limit else OK,
              takes="top_share agronomy_settings.reliance_share"),
        check("worst", "Status", 'IF(COUNTIF({mode_rotation.status:block},"Review")>0,"Review",{status}&"")',
              note="Review where the field leans on one group, or a group comes too often on it."),
        check("finding", "Finding",
              'IF({status}="Review","Group "&{top_group}&" carries "&ROUND(ROUND(100*{top_share},6),'
              '0)&" % of the uses over "&{top_seasons}&" seasons","")', "long_text",
              source="no published number; Norsworthy et al. 2012 and Evans et al. 2016 advise several "
                     "effective modes together"),
    ),
    rows="as:fields",
    kind="result",
    was=("Mode reliance",),
)

TABLES = (EFFECTIVE_MODES, PASS_WEEDS, WEED_COVER, MODE_RELIANCE, RELIANCE_FACTS)

CHECKS = (
    CheckKind("Effective herbicide groups", "effective_modes", "status", "finding",
              "effective_modes", rank=190),
)
