"""The share of the field sprayed of every spot pass: experience, scouting and loads joined in one estimate."""

from __future__ import annotations

from workbook_builder.core.columns import FIXED, SETTING, Column, Table
from workbook_builder.core.short import check, result, row_number, working
from workbook_builder.features.spot_volumes.lists import with_list

SHEET = "Workings spot"
_PASS_ROW = 'IF(OR({%s.pass}="",{%s.field}=""),"",IFERROR(MATCH({%s.pass}&"|"&{%s.field},{pass_volumes.key:all},0),""))'


#: What is said where the evidence is worth less than one patch.
NOTHING_KNOWN = (
    "Nothing is known of this share yet: less than one patch of evidence either way. "
    "Anything from none to all may be sprayed: fill one tank, spray it out, judge"
)


#: 0 where the evidence is worth less than one patch, or holds less than one patch of either kind: with both shapes under 1
#: the curve would turn into a U, as if none and all were likelier than anything between.
KNOWN = "IF(OR(ROUND({evidence_patches},9)<1,AND(ROUND({patches_sprayed},9)<1,ROUND({patches_left},9)<1)),0,1)"
SHAPE = "IF({known}=0,1,MAX(0.05,{%s}))"


def pass_row_of(table: str) -> str:
    """Return the formula of the pass row that a row of `table` speaks of."""
    return _PASS_ROW % (table, table, table, table)


SPOT_FACTORS = Table(
    "spot_factors",
    "Spot factors",
    "Unit factors and the figures used where the farm sheet leaves a cell blank.",
    (
        Column("small_per_area", "Small areas in an area", "factor", FIXED, note="sq ft in an acre; m2 in a hectare"),
        Column("spacing_per_length", "Spacing units in a length", "factor", FIXED, note="in per ft; cm per m"),
        Column("usual_patch", "Usual patch size", "area", FIXED, note="Stands in for a blank patch size.", source="docs/calibration-study.md"),
        Column("usual_effect", "Usual frames per independent frame", "number", FIXED, note="Stands in for a blank.", source="docs/calibration-study.md"),
        Column("usual_confidence", "Usual confidence", "share", FIXED, note="Stands in for a blank.", source="own choice"),
    ),
    rows="form",
    kind="reference",
    behind=True,
    sheet="Units and lists",
    named=True,
)

SPOT_FIGURES = Table(
    "spot_figures",
    "Spot figures",
    "The figures the spot pass counts with: yours from the farm sheet, or the usual ones where a cell is blank.",
    (
        working("patch_size", "Patch size", 'IF(SUM({farm.patch_area})=0,usual_patch,{farm.patch_area})', "area"),
        working("frames_effect", "Frames per independent frame", 'IF(SUM({farm.frames_design_effect})=0,usual_effect,{farm.frames_design_effect})', "number"),
        working("wanted_confidence", "Confidence wanted", 'IF(SUM({farm.confidence})=0,usual_confidence,{farm.confidence})', "share"),
        working("refill_cost", "Cost of an extra refill trip", "SUM({farm.extra_refill_cost})", "money"),
        working("waste_cost", "Disposal cost", "SUM({farm.disposal_cost})", "money_per_volume"),
    ),
    rows="form",
    kind="working",
    sheet=SHEET,
    named=True,
)

SPOT_ASSUMPTIONS = Table(
    "spot_assumptions",
    "Spot assumptions",
    "Figures the spot pass rests on that neither farm nor label gives; change them here and everything follows.",
    (
        Column("clump_k", "Clumping where weeds were not counted", "number", SETTING, default=0.25, minimum=0.01, maximum=100,
               note="k of the negative binomial for frames noted only as present or absent.",
               source="published journal article: mean k 0.17 to 0.32"),
        Column("least_k", "Smallest k to trust", "number", SETTING, default=0.25, minimum=0.001, maximum=10,
               note="Estimates get poor below this.", source="published journal article"),
        Column("farthest_frame", "Farthest frame from footprint", "number", SETTING, default=4, minimum=1, maximum=1000,
               note="A frame this many times larger or smaller than the footprint is flagged.", source="own choice: k changes with the size of the cell"),
        Column("wanted_error", "Wanted error of the count", "share", SETTING, default=0.25, minimum=0.01, maximum=1,
               note="Standard error over mean that the number of frames wanted aims at.", source="published journal article, from memory"),
        Column("typed_patches", "Weight of a typed share", "number", SETTING, default=2, minimum=0.1, maximum=1000,
               note="Patches of evidence that a typed share of field sprayed is worth where no pressure class is chosen.", source="own choice"),
        Column("respray_below", "Respray below", "count", SETTING, default=80, minimum=0, maximum=100,
               note="A rating under this raises the respray flag.", source="published rating scale: 80 and more counts as control"),
        Column("contact_look_days", "Look after contact action", "days", SETTING, default=4, minimum=1, maximum=60,
               note="Days after a pass that holds a contact group.", source="common practice 3 to 4 days, no source"),
        Column("first_look_days", "First look", "days", SETTING, default=14, minimum=1, maximum=90, source="trial convention, from memory"),
        Column("second_look_days", "Second look", "days", SETTING, default=28, minimum=1, maximum=180, source="trial convention, from memory"),
    ),
    rows="form",
    kind="setting",
    named=True,
)

SCOUTING_FACTS = Table(
    "scouting_facts",
    "Scouting workings",
    "What each frame adds to its spot pass.",
    (
        working("pass_row", "Pass row", pass_row_of("scouting")),
        working("frame", "Counts", 'IF(OR({pass_row}="",SUM({scouting.frame_area})=0),0,IF(AND({scouting.count}="",{scouting.seen}=""),0,1))', "count"),
        working("counted", "Weeds counted", 'IF({frame}=0,0,IF({scouting.count}="",0,1))', "count"),
        working("infested", "Weeds in it", 'IF({frame}=0,0,IF({counted}=1,IF({scouting.count}>0,1,0),IF({scouting.seen}="yes",1,0)))', "count"),
        working("number", "Weeds", "IF({counted}=1,{scouting.count},0)", "count"),
        working("square", "Weeds squared", "{number}*{number}", "count"),
        working("area", "Frame area", "IF({frame}=1,{scouting.frame_area},0)", "small_area"),
        working("counted_area", "Frame area counted", "IF({counted}=1,{scouting.frame_area},0)", "small_area"),
        working("widths", "Has a weed width", 'IF({frame}=0,0,IF({scouting.weed_width}="",0,1))', "count"),
        working("width", "Weed width", "IF({widths}=1,{scouting.weed_width},0)", "spacing"),
    ),
    rows="as:scouting",
    kind="working",
    sheet=SHEET,
)

LOAD_FACTS = Table(
    "load_facts",
    "Load log workings",
    "What each logged load adds to its spot pass.",
    (
        working("pass_row", "Pass row", pass_row_of("load_log")),
        working("used", "Counts", 'IF({pass_row}="",0,IF(OR(SUM({load_log.area_covered})<=0,{load_log.volume_sprayed}="",SUM(INDEX({passes.carrier:all},{pass_row}))<=0),0,1))', "count"),
        working("area", "Area covered", "IF({used}=1,{load_log.area_covered},0)", "area"),
        working("volume", "Volume sprayed", "IF({used}=1,{load_log.volume_sprayed},0)", "volume"),
        working("mixed", "Volume mixed", 'IF({used}=1,IF({load_log.volume_mixed}="",{volume},{load_log.volume_mixed}),0)', "volume"),
        working("share", "Share of field sprayed", "IF({used}=1,{volume}/{area}/INDEX({passes.carrier:all},{pass_row}),0)", "share"),
        working("area_square", "Area squared", "{area}*{area}", "factor"),
        working("sprayed_square", "Sprayed area squared", "({area}*{share})*({area}*{share})", "factor"),
        working("area_product", "Area times sprayed area", "{area}*({area}*{share})", "factor"),
        working("share_square", "Share squared", "{share}*{share}", "factor"),
        working("nth", "Nth load of its pass", 'IF({used}=1,SUMIF({pass_row:upto},{pass_row},{used:upto}),"")', "count"),
        working("key", "Key", 'IF({nth}="","",{pass_row}*1000+{nth})'),
    ),
    rows="as:load_log",
    kind="working",
    sheet=SHEET,
)

TERM_FACTS = Table(
    "term_facts",
    "Spot term workings",
    "Lookup keys of the spot terms.",
    (
        working("key", "Key", 'IF({spot_terms.sprayer}="","",{spot_terms.sprayer}&"|"&{spot_terms.use}&"|"&IF(OR({spot_terms.crop}="",{spot_terms.crop}="any"),"any",{spot_terms.crop}))', "text"),
    ),
    rows="as:spot_terms",
    kind="working",
    sheet=SHEET,
)


SPOT_USES = Table(
    "spot_uses",
    "Spot use workings",
    "Whether a spot pass works in crop or in fallow, and which terms hold for it.",
    (
        working("on", "Spot pass", 'IF(AND({passes.method}="spot",{pass_volumes.pass}<>""),1,0)', "count"),
        working("running", "Spot passes so far", "SUM({running:above},{on})"),
        working("field_row", "Field row", 'IF({on}=0,"",{pass_volumes.field_row})'),
        working("use", "Use", 'IF({field_row}="","",IF(OR({pass_crops.crop_name}="fallow",{pass_crops.standing}=0),"fallow","in crop"))', "text",
                note="Before planting and after harvest a field counts as fallow."),
        working("term_row", "Terms row",
                'IF(OR({use}="",{passes.sprayer}=""),"",IFERROR(MATCH({passes.sprayer}&"|"&{use}&"|"&{pass_volumes.crop},{term_facts.key:all},0),'
                'IFERROR(MATCH({passes.sprayer}&"|"&{use}&"|any",{term_facts.key:all},0),"")))'),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

_SUM = "SUMIF({%s.pass_row:all},{row_no},{%s.%s:all})"


def _scouted(key: str, otherwise: str = '""', needs: str = "SUM({frames})=0") -> str:
    return "IF(%s,%s,%s)" % (needs, otherwise, _SUM % ("scouting_facts", "scouting_facts", key))


def _term(key: str) -> str:
    return 'IF(OR({spot_uses.term_row}="",SUM({frames})=0),"",IF(INDEX({spot_terms.%s:all},{spot_uses.term_row})="","",INDEX({spot_terms.%s:all},{spot_uses.term_row})))' % (key, key)


_NONE = 'IF(SUM({frames})=0,"",%s)'

SCOUT_SHARES, SCOUT_SHARES_LIST = with_list(Table(
    "scout_shares",
    "Scouted shares",
    "What the frames say of each spot pass: weeds per frame, clumping, and the share of footprints with a weed in them.",
    (
        row_number(),
        result("pass", "Pass", 'IF({spot_uses.on}=1,{pass_volumes.pass},"")', "name"),
        result("field", "Field", 'IF({spot_uses.on}=1,{pass_volumes.field},"")', "name"),
        result("frames", "Frames", _scouted("frame", needs="{spot_uses.on}=0"), "count"),
        working("counted", "Frames counted", _scouted("counted"), "count"),
        result("infested_share", "Frames with weeds", _NONE % ("%s/{frames}" % (_SUM % ("scouting_facts", "scouting_facts", "infested"))), "share"),
        working("weeds", "Weeds counted", 'IF(SUM({counted})<2,"",%s)' % (_SUM % ("scouting_facts", "scouting_facts", "number")), "count",
                note="Counts are used from two counted frames on; otherwise only present or absent."),
        result("mean_count", "Mean per frame", 'IF({weeds}="","",{weeds}/{counted})', "number"),
        result("variance", "Variance",
               'IF({weeds}="","",MAX(0,(%s-{weeds}*{weeds}/{counted})/({counted}-1)))' % (_SUM % ("scouting_facts", "scouting_facts", "square")), "number"),
        result("k", "Clumping k",
               _NONE % 'IF({weeds}="",clump_k,IF(ROUND({variance}-{mean_count},9)>0,{mean_count}*{mean_count}/({variance}-{mean_count}),""))', "number",
               note="Negative binomial k by moments; blank when weeds lie at random (Poisson).", source="Bliss & Fisher 1953"),
        working("capped", "Frames with weeds, capped", _NONE % "MIN({infested_share},1-0.5/{frames})", "share",
                note="All frames infested would mean endless weeds; half a frame is taken off."),
        working("frame_area", "Mean frame area", _NONE % ("%s/{frames}" % (_SUM % ("scouting_facts", "scouting_facts", "area"))), "small_area"),
        result("density", "Weeds per small area",
               _NONE % ("IF({weeds}=\"\",clump_k*(POWER(1-{capped},0-1/clump_k)-1)/{frame_area},{weeds}/%s)" % (_SUM % ("scouting_facts", "scouting_facts", "counted_area"))),
               "density_of_weeds", digits=4),
        working("widths", "Frames with a weed width", _scouted("widths"), "count"),
        working("weed_width", "Weed width", _NONE % ("IF({widths}=0,0,%s/{widths}/spacing_per_length)" % (_SUM % ("scouting_facts", "scouting_facts", "width"))), "length"),
        working("wide", "Footprint width", _term("footprint_width"), "length"),
        working("long", "Footprint length", _term("footprint_length"), "length"),
        working("lead", "Lead and lag", _term("lead_and_lag_length"), "length"),
        result("footprint", "Sprayed footprint", 'IF(OR(SUM({frames})=0,{wide}="",{long}=""),"",IF(({wide}+{weed_width})*({long}+SUM({lead})+{weed_width})=0,"",({wide}+{weed_width})*({long}+SUM({lead})+{weed_width})))', "small_area",
               note="Ground that one weed turns on: (width + weed) x (length + lead and lag + weed).", source="Boolean-model coverage"),
        working("cell", "Area the share is carried to", _NONE % 'IF({footprint}="",{frame_area},{footprint})', "small_area"),
        working("load_per_k", "Weeds in a footprint per k", 'IF({density}="","",IF({k}="",{density}*{cell},{density}*{cell}/{k}))', "factor"),
        result("scouting_share", "Share by scouting",
               'IF({density}="","",IF({k}="",1-EXP(0-{load_per_k}),1-POWER(1+{load_per_k},0-{k})))', "share", digits=1,
               source="1-(1+m/k)^-k, or 1-exp(-m) at random"),
        working("share_slope", "Share per density",
                'IF({density}="","",{cell}*IF({k}="",EXP(0-{load_per_k}),POWER(1+{load_per_k},0-{k}-1)))', "factor"),
        working("density_error", "Error of the density",
                'IF({density}="","",IF({weeds}="",SQRT({capped}*(1-{capped})*frames_effect/{frames})*POWER(1-{capped},0-1/clump_k-1)/{frame_area},'
                "SQRT({variance}*frames_effect/{counted})/{frame_area}))", "factor"),
        result("standard_error", "Standard error of the share", 'IF({density}="","",{share_slope}*{density_error})', "share", digits=1,
               note="By the slope of the share over the density; the error of k itself is left out."),
        result("frames_wanted", "Frames wanted",
               'IF(OR({density}="",SUM({density})=0),"",ROUNDUP(ROUND(IF({weeds}="",(1-{capped})/{capped},1/{mean_count}+IF({k}="",0,1/SUM({k})))/(wanted_error*wanted_error),6),0))', "count",
               note="For the wanted standard error over mean.", source="Karandinos 1976, from memory: n = (1/m + 1/k)/CV2"),
        working("weight", "Weight in patches", _NONE % "{frames}/frames_effect", "number"),
        working("frame_ratio", "Frame over footprint", 'IF({footprint}="","",{frame_area}/{footprint})', "number"),
        check("status", "Status", 'IF({density}="","",IF({finding}="","OK","Review"))'),
        check("finding", "Note",
              'IF({density}="","",IF(AND({weeds}<>"",{k}<>"",SUM({k})<least_k),"k of "&ROUND(ROUND(SUM({k}),6),2)&" is too small to trust; ","")'
              '&IF({footprint}="","footprint not entered: share taken at frame size; ",IF(OR(SUM({frame_ratio})>farthest_frame,SUM({frame_ratio})*farthest_frame<1),'
              '"frame is "&ROUND(ROUND({frame_ratio},6),2)&" times the footprint: k may not carry over; ",""))'
              '&IF({frames_wanted}="","",IF({frames}<SUM({frames_wanted}),{frames_wanted}&" frames wanted; ","")))', "long_text"),
    ),
    rows="as:passes",
    kind="result",
))


def _logged(key: str) -> str:
    return 'IF({pass}="","",%s)' % (_SUM % ("load_facts", "load_facts", key))


def _quantile(chance: str) -> str:
    return 'IF({a}="","",MAX(0.001,MIN(0.999,BETAINV(%s,{a},{b}))))' % chance


def _rest(share: str) -> str:
    return 'IF(OR({a}="",{remaining_area}="",{passes.carrier}=""),"",{%s}*{remaining_area}*{passes.carrier})' % share


_WEIGHTED = "{prior_weight}*%s+SUM({scout_shares.weight})*%s+{log_weight}*%s"

SHARE_ESTIMATES, SHARE_ESTIMATES_LIST = with_list(Table(
    "share_estimates",
    "Share estimates",
    "How much of the field each spot pass will spray, by experience, scouting and the loads logged, and the volume the remaining ground will take.",
    (
        row_number(),
        result("pass", "Pass", "{scout_shares.pass}", "name"),
        result("field", "Field", "{scout_shares.field}", "name"),
        working("class_row", "Pressure class row", 'IF(OR({pass}="",{passes.pressure_class}=""),"",IFERROR(MATCH({passes.pressure_class},{pressure_classes.pressure_class:all},0),""))'),
        working("class_share", "Share of the class", 'IF({class_row}="","",IF(INDEX({pressure_classes.expected_share:all},{class_row})="","",INDEX({pressure_classes.expected_share:all},{class_row})))', "share"),
        working("class_weight", "Patches of the class", 'IF({class_row}="","",SUM(INDEX({pressure_classes.evidence_area:all},{class_row}))/patch_size)', "number"),
        working("basis", "Experience from", 'IF({pass}="","",IF(AND({class_share}<>"",SUM({class_weight})>0),"class",IF({passes.sprayed_share}<>"","typed share","none")))', "text"),
        result("expected_share", "Expected share", 'IF({pass}="","",IF({basis}="class",{class_share},IF({basis}="none",0.5,{passes.sprayed_share})))', "share",
               note="From the pressure class, or the typed share of field sprayed; 50 % with hardly any weight when neither is there."),
        result("prior_weight", "Weight of experience", 'IF({pass}="","",IF({basis}="class",{class_weight},IF({basis}="none",2,typed_patches)))', "number", note="In patches."),
        result("scouting_share", "Share by scouting", "{scout_shares.scouting_share}", "share"),
        result("scouting_weight", "Weight of scouting", "{scout_shares.weight}", "number", note="In patches."),
        result("loads_logged", "Loads logged", _logged("used"), "count"),
        result("area_covered", "Area covered", _logged("area"), "area"),
        result("volume_sprayed", "Volume sprayed", _logged("volume"), "volume"),
        working("volume_mixed", "Volume mixed", _logged("mixed"), "volume"),
        result("logged_share", "Share by the load log", 'IF(SUM({area_covered})=0,"",{volume_sprayed}/{area_covered}/{passes.carrier})', "share",
               note="All volume sprayed over all area covered at the carrier.", source="ratio estimator, Cochran ch. 6, from memory"),
        working("log_residual", "Squared residuals",
                'IF(SUM({loads_logged})<2,"",MAX(0,%s-2*{logged_share}*%s+{logged_share}*{logged_share}*%s))'
                % tuple(_SUM % ("load_facts", "load_facts", key) for key in ("sprayed_square", "area_product", "area_square")), "factor"),
        result("logged_error", "Standard error of it", 'IF({log_residual}="","",SQRT({log_residual}*{loads_logged}/({loads_logged}-1))/{area_covered})', "share", digits=1),
        result("load_spread", "Spread between loads",
               'IF(SUM({loads_logged})<2,"",SQRT(MAX(0,%s-POWER(%s,2)/{loads_logged})/({loads_logged}-1)))'
               % tuple(_SUM % ("load_facts", "load_facts", key) for key in ("share_square", "share")), "share", digits=1,
               note="Standard deviation of the share from load to load.", tolerance=1e-6),
        working("log_weight", "Weight of the loads", 'IF({pass}="","",SUM({area_covered})/patch_size)', "number"),
        working("patches_sprayed", "Patches sprayed", 'IF({pass}="","",%s)' % (_WEIGHTED % ("{expected_share}", "SUM({scouting_share})", "MIN(1,SUM({logged_share}))")), "number"),
        working("patches_left", "Patches left out", 'IF({pass}="","",%s)' % (_WEIGHTED % ("(1-{expected_share})", "(1-SUM({scouting_share}))", "(1-MIN(1,SUM({logged_share})))")), "number"),
        working("experience", "Patches of experience", 'IF({pass}="","",IF({basis}="none",0,{prior_weight}))', "number"),
        working("evidence_patches", "Patches of evidence", 'IF({pass}="","",{experience}+SUM({scout_shares.weight})+{log_weight})', "number"),
        working("known", "Anything is known", 'IF({pass}="","",%s)' % KNOWN, "count"),
        result("a", "Beta a", 'IF({pass}="","",%s)' % (SHAPE % "patches_sprayed"), "number", digits=3,
               note="Patches counted as sprayed; 1 where nothing is known."),
        result("b", "Beta b", 'IF({pass}="","",%s)' % (SHAPE % "patches_left"), "number", digits=3,
               note="Patches counted as left out; 1 where nothing is known."),
        result("share_mean", "Mean share", 'IF({a}="","",{a}/({a}+{b}))', "share", digits=1),
        result("share_p50", "Share, enough 5 times in 10", _quantile("0.5"), "share", digits=1),
        result("share_p80", "Share, enough 8 times in 10", _quantile("0.8"), "share", digits=1, note="Enough in 4 of 5 passes."),
        result("share_p95", "Share, enough 19 times in 20", _quantile("0.95"), "share", digits=1),
        result("remaining_area", "Area that remains", 'IF(OR({pass}="",{pass_volumes.area}=""),"",MAX(0,{pass_volumes.area}-{area_covered}))', "area"),
        result("volume_mean", "Mean volume for it", _rest("share_mean"), "volume"),
        result("volume_p50", "Volume, enough 5 times in 10", _rest("share_p50"), "volume"),
        result("volume_p80", "Volume, enough 8 times in 10", _rest("share_p80"), "volume"),
        result("volume_p95", "Volume, enough 19 times in 20", _rest("share_p95"), "volume"),
        working("evidence", "Any evidence", 'IF({pass}="","",IF(OR({basis}="class",SUM({scout_shares.frames})>0,{loads_logged}>0),1,0))', "count"),
        result("field_share", "Share of the whole field", 'IF(OR({remaining_area}="",SUM({pass_volumes.area})=0),"",MIN(1,(MIN(1,SUM({logged_share}))*{area_covered}+{share_mean}*{remaining_area})/{pass_volumes.area}))', "share", digits=1,
               note="Logged so far and the mean for the rest."),
        check("status", "Status", 'IF({pass}="","",IF(OR({remaining_area}="",SUM({passes.carrier})=0),"Not entered",IF({finding}="","OK","Review")))'),
        check("finding", "Finding",
              'IF({pass}="","",IF(OR({remaining_area}="",SUM({passes.carrier})=0),"Field, area or carrier is missing",'
              'IF(SUM({logged_share})>1,"More was sprayed than the area logged can take: check the load log",'
              'IF({evidence}+IF({basis}="typed share",1,0)=0,"No pressure class, share, scouting or load to go by",IF({known}=0,"' + NOTHING_KNOWN + '",'
              'IF({area_covered}>{pass_volumes.area},"More area logged than the field has",""))))))', "long_text"),
    ),
    rows="as:passes",
    kind="result",
    caution="A share is an estimate until it is sprayed: watch the tank.",
))

SHARE_TABLES = (SCOUT_SHARES, SCOUT_SHARES_LIST, SHARE_ESTIMATES, SHARE_ESTIMATES_LIST, SPOT_FIGURES, SCOUTING_FACTS, LOAD_FACTS, TERM_FACTS, SPOT_USES)
