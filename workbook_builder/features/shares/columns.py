"""The share of the field sprayed of every spot pass: experience, scouting and loads joined in one estimate.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from operator import add, mul, sub, truediv
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import FIXED, SETTING, Column, Table
from workbook_builder.core.draft import number
from workbook_builder.core.short import check, or_blank, result, row_number, working
from workbook_builder.features.loads.lines import summed
from workbook_builder.features.records.inputs import AREA_DOUBT
from workbook_builder.features.shares import definitions as shares
from workbook_builder.features.shares.beta import quantile_formula, share_quantile
from workbook_builder.features.shares.inputs import (
    CONTACT_GROUPS,
    DETECTION_TRIALS,
    LOAD_LOG,
    LOOK_LOG,
    PRESSURE_CLASSES,
    SCOUTING,
    SPOT_HISTORY,
    SPOT_TERMS,
)
from workbook_builder.features.weeds.definitions import footprint_area, share_slope, sprayed_share

SHEET = "Workings spot"
#: 0 where the evidence is worth less than one patch, or holds less than one patch of either kind: with both
#: shapes under 1 the curve would turn into a U, as if none and all were likelier than anything between.
KNOWN = ("IF(OR(ROUND({evidence_patches},9)<1,AND(ROUND({patches_sprayed},9)<1,ROUND({patches_left},"
         "9)<1)),0,1)")
SHAPE = "IF({known}=0,1,MAX(0.05,{%s}*{firmness}))"


def scatter(loads: str, squared: str, sprayed: str, driven: str) -> str:
    """Return the formula of how far the shares of loads lie from each other,
    told the cells of what they add up to.
    """
    return ('IF({%s}<2,"",MAX(0,{%s}-{%s}*{%s}/{%s})/({%s}-1)/MAX(%s,{%s}/{%s}*(1-{%s}/{%s}))/patch_size)'
            % (loads, squared, sprayed, sprayed, driven, loads, shares.LEAST_SPREAD, sprayed, driven,
               sprayed, driven))


def firmness(loads: str) -> str:
    """Return the formula of what the scatter of loads makes of the weight of all evidence."""
    return 'IF({scatter}="",1,MAX(0.5,MIN(2,({%s}+1)/(2+({%s}-1)*{scatter}/usual_scatter))))' % (loads, loads)


def pass_row(table: str) -> Column:
    """Declare the pass row that a row of `table` speaks of."""
    return working("pass_row", "Pass row",
                   'IFERROR(MATCH({%s.pass}&"|"&{%s.field},{pass_volumes.key:all},0),"")' % (table, table),
                   needs=f"{table}.pass {table}.field")


SPOT_FACTORS = Table(
    "spot_factors",
    "Spot factors",
    "Unit factors and the figures used where the farm sheet leaves a cell blank.",
    (
        Column("small_per_area", "Small areas in an area", "factor", FIXED,
               note="sq ft in an acre; m2 in a hectare"),
        Column("spacing_per_length", "Spacing units in a length", "factor", FIXED,
               note="in per ft; cm per m"),
        Column("usual_patch", "Usual patch size", "area", FIXED, note="Stands in for a blank patch size.",
               source="docs/calibration-study.md"),
        Column("usual_effect", "Usual frames per independent frame", "number", FIXED,
               note="Stands in for a blank.", source="docs/calibration-study.md"),
        Column("least_carried_k", "Smallest k that carries a share", "number", FIXED,
               note="A smaller k found in the frames counts as this much where their share is carried to the "
                    "footprint.", source="docs/calibration-study.md"),
        Column("usual_scatter", "Usual scatter of loads", "factor", FIXED,
               note="Of load to load, in patches.", source="docs/calibration-study.md"),
        Column("usual_confidence", "Usual confidence", "share", FIXED, note="Stands in for a blank.",
               source="own choice"),
    ),
    rows="form",
    kind="reference",
    sheet="Units and lists",
    named=True,
)

SPOT_FIGURES = Table(
    "spot_figures",
    "Spot figures",
    "The figures the spot pass counts with: yours from the farm sheet, or the usual ones where a cell is "
    "blank.",
    (
        working("patch_size", "Patch size", 'IF(SUM({farm.patch_area})=0,usual_patch,{farm.patch_area})',
                "area"),
        working("frames_effect", "Frames per independent frame",
                'MAX(usual_effect,SUM({farm.frames_design_effect}))', "number"),
        working("wanted_confidence", "Confidence wanted",
                'IF(SUM({farm.confidence})=0,usual_confidence,{farm.confidence})', "share"),
        working("typed_confidence", "Confidence is typed", 'IF(SUM({farm.confidence})=0,0,1)', "count"),
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
    "Figures the spot pass rests on that neither farm nor label gives; change them here and everything "
    "follows.",
    (
        Column("clump_k", "Clumping where weeds were not counted", "number", SETTING, default=0.25,
               minimum=0.01, maximum=100,
               note="k of the negative binomial for frames noted only as present or absent.",
               source="published journal article: mean k 0.17 to 0.32"),
        Column("least_k", "Smallest k to trust", "number", SETTING, default=0.25, minimum=0.001, maximum=10,
               note="Estimates get poor below this.", source="published journal article"),
        Column("farthest_frame", "Farthest frame from footprint", "number", SETTING, default=4,
               minimum=1, maximum=1000,
               note="A frame this many times larger or smaller than the footprint is flagged.",
               source="own choice: k changes with the size of the cell"),
        Column("wanted_error", "Wanted error of the count", "share", SETTING, default=0.25,
               minimum=0.01, maximum=1,
               note="Standard error over mean that the number of frames wanted aims at.",
               source="published journal article, from memory"),
        Column("typed_patches", "Weight of a typed share", "number", SETTING, default=2,
               minimum=0.1, maximum=1000,
               note="Patches of evidence that a typed share of field sprayed is worth where no pressure "
                    "class is chosen.", source="own choice"),
        Column("season_patches", "Weight of many earlier seasons", "number", SETTING, default=50,
               minimum=0, maximum=1000,
               note="Patches of evidence that endless seasons of the same pass on the same field are worth; "
                    "one is worth half, three are worth three quarters.", source="docs/calibration-study.md"),
        Column("respray_below", "Respray below", "count", SETTING, default=80, minimum=0, maximum=100,
               note="A rating under this raises the respray flag.",
               source="published rating scale: 80 and more counts as control"),
        Column("contact_look_days", "Look after contact action", "days", SETTING, default=4,
               minimum=1, maximum=60,
               note="Days after a pass that holds a contact group.",
               source="common practice 3 to 4 days, no source"),
        Column("first_look_days", "First look", "days", SETTING, default=14, minimum=1, maximum=90,
               source="trial convention, from memory"),
        Column("second_look_days", "Second look", "days", SETTING, default=28, minimum=1, maximum=180,
               source="trial convention, from memory"),
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
        pass_row("scouting"),
        working("frame", "Counts",
                'IF(OR({pass_row}="",SUM({scouting.frame_area})=0),0,IF(AND({scouting.count}="",'
                '{scouting.seen}=""),0,1))', "count"),
        working("counted", "Weeds counted", 'IF({frame}=0,0,IF({scouting.count}="",0,1))', "count"),
        working("infested", "Weeds in it",
                'IF({frame}=0,0,IF({counted}=1,IF({scouting.count}>0,1,0),IF({scouting.seen}="yes",1,0)))',
                "count"),
        working("number", "Weeds", "IF({counted}=1,{scouting.count},0)", "count"),
        working("square", "Weeds squared", "{number}*{number}", "count", twin=lambda number: number**2),
        working("area", "Frame area", "IF({frame}=1,{scouting.frame_area},0)", "small_area"),
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
        pass_row("load_log"),
        working("used", "Counts",
                'IF({pass_row}="",0,IF(OR(SUM({load_log.area_covered})<=0,{load_log.volume_sprayed}="",'
                'SUM({passes.carrier@pass_row})<=0),0,1))', "count"),
        working("area", "Area driven", "IF({used}=1,{load_log.area_covered},0)", "area"),
        working("volume", "Volume sprayed", "IF({used}=1,{load_log.volume_sprayed},0)", "volume"),
        working("mixed", "Volume mixed",
                'IF({used}=1,IF({load_log.volume_mixed}="",{volume},{load_log.volume_mixed}),0)', "volume"),
        working("share", "Share of field sprayed", "IF({used}=1,{volume}/{area}/{passes.carrier@pass_row},0)",
                "share",
                twin=lambda used, volume, area, carrier: volume / (area * carrier) if used else 0,
                takes="used volume area passes.carrier@pass_row"),
        working("nth", "Nth load of its pass",
                'IF({used}=1,SUMIF({pass_row:upto},{pass_row},{used:upto}),"")', "count"),
        working("squared", "Area by share squared", "{area}*{share}*{share}", "factor",
                twin=lambda area, share: area * share**2),
        working("key", "Key", "{pass_row}*1000+{nth}", needs="nth"),
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
        working("key", "Key",
                '{spot_terms.sprayer}&"|"&{spot_terms.use}&"|"&IF(OR({spot_terms.crop}="",'
                '{spot_terms.crop}="any"),"any",{spot_terms.crop})', "text", needs="spot_terms.sprayer"),
    ),
    rows="as:spot_terms",
    kind="working",
    sheet=SHEET,
)


_WIDE, _LONG, _LEAD = (f"spot_terms.{key}@term_row"
                       for key in ("footprint_width", "footprint_length", "lead_and_lag_length"))

SPOT_USES = Table(
    "spot_uses",
    "Spot use workings",
    "Whether a spot pass works in crop or in fallow, and which terms hold for it.",
    (
        working("on", "Spot pass", 'IF(AND({passes.method}="spot",{pass_volumes.pass}<>""),1,0)', "count"),
        working("running", "Spot passes so far", "SUM({running:above},{on})"),
        working("slot", "Place among spot passes", 'IF(OR({on}=0,{running}>{room.spot}),"",{running})'),
        working("field_row", "Field row", 'IF({on}=0,"",{pass_volumes.field_row})'),
        working("use", "Use",
                'IF(OR({pass_crops.crop_name}="fallow",{pass_crops.standing}=0),"fallow","in crop")', "text",
                needs="field_row",
                note="Before planting and after harvest a field counts as fallow."),
        working("term_row", "Terms row",
                'IFERROR(MATCH({passes.sprayer}&"|"&{use}&"|"&{pass_volumes.crop},{term_facts.key:all},0),'
                'IFERROR(MATCH({passes.sprayer}&"|"&{use}&"|any",{term_facts.key:all},0),""))',
                needs="use passes.sprayer"),
        working("ground_seen", "Ground that one weed turns on",
                'IF({passes.seen_buffer}="","",SUM({spot_terms.footprint_width@term_row})'
                '*(SUM({spot_terms.footprint_length@term_row})'
                '+SUM({spot_terms.lead_and_lag_length@term_row})))', "small_area",
                needs="term_row", twin=lambda typed, wide, long, lead: "" if typed == ""
                else footprint_area(number(wide), number(long), number(lead), 0.0),
                takes=f"passes.seen_buffer {_WIDE} {_LONG} {_LEAD}"),
        working("grown", "Times that ground with the buffer",
                'IF(OR({on}=0,SUM({passes.seen_buffer})=0),1,IF(SUM({ground_seen})=0,"",'
                '({spot_terms.footprint_width@term_row}+2*{passes.seen_buffer})'
                '*({spot_terms.footprint_length@term_row}+SUM({spot_terms.lead_and_lag_length@term_row})'
                '+2*{passes.seen_buffer})/{ground_seen}))', "factor",
                twin=lambda on, buffer, seen, wide, long, lead: 1.0 if not on or not number(buffer) else ""
                if not number(seen) else footprint_area(number(wide), number(long), number(lead),
                                                        2 * number(buffer)) / number(seen),
                takes=f"on passes.seen_buffer ground_seen {_WIDE} {_LONG} {_LEAD}",
                note="Blank where the footprint of the sprayer is not entered."),
        working("product_area", "Products per sprayed area",
                'IF({on}=0,"",%s)' % summed("pick_list.area_cost"), "money_per_area"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)


HISTORY_FACTS = Table(
    "history_facts",
    "Spot history workings",
    "What each earlier season adds to its spot pass, and how this season compares with it.",
    (
        pass_row("spot_history"),
        working("used", "Counts", 'IF({pass_row}="",0,IF({spot_history.share}="",0,1))', "count"),
        working("share", "Share", "IF({used}=1,{spot_history.share},0)", "share"),
        result("this_season", "This season, likely", "{pass_volumes.share@pass_row}", "share",
               needs="pass_row"),
        result("more", "More this season", "{this_season}-{spot_history.share}", "share",
               needs="this_season spot_history.share", twin=sub, takes="this_season spot_history.share"),
    ),
    rows="as:spot_history",
    kind="result",
)

_LOW, _HIGH = "pressure_classes.share_low", "pressure_classes.share_high"


def _fit(low: str, likely: str, high: str) -> str:
    """Return the formula of the mean share of a range, its likely share the middle where none is typed."""
    return f'IF({{{likely}}}="",({{{low}}}+{{{high}}})/2,0.16*{{{likely}}}+0.42*({{{low}}}+{{{high}}}))'


def _fit_weight(mean: str, low: str, high: str) -> str:
    return (f'IF({{{high}}}<={{{low}}},"",MAX(1,{{{mean}}}*(1-{{{mean}}})/POWER(({{{high}}}-{{{low}}})/2.65,'
            f'2)-1))')


CLASS_FACTS = Table(
    "class_facts",
    "What a class stands for",
    "The range that each pressure class stands for: one field in ten sprays less than the low share, one in "
    "ten more than the high one.",
    (
        working("mean", "Mean share",
                f'IF(OR({{{_LOW}}}="",{{{_HIGH}}}=""),{{pressure_classes.expected_share}},'
                f'{_fit(_LOW, "pressure_classes.expected_share", _HIGH)})', "share",
                needs="pressure_classes.expected_share", twin=shares.class_mean,
                takes=f"{_LOW} pressure_classes.expected_share {_HIGH}"),
        working("spread_weight", "Patches by its range", _fit_weight("mean", _LOW, _HIGH), "number",
                needs=f"mean {_LOW} {_HIGH}", twin=shares.range_weight, takes=f"mean {_LOW} {_HIGH}"),
        working("weight", "Patches",
                'IF({spread_weight}<>"",{spread_weight},IF(SUM({pressure_classes.evidence_area})=0,'
                'typed_patches,{pressure_classes.evidence_area}/patch_size))', "number",
                needs="mean", twin=shares.class_weight,
                takes="spread_weight pressure_classes.evidence_area spot_figures.patch_size "
                      "spot_assumptions.typed_patches"),
        *(result(key, header,
                 quantile_formula(str(chance), "MAX(0.05,{mean}*{weight}),MAX(0.05,(1-{mean})*{weight})"),
                 "share", needs="mean weight",
                 twin=lambda mean, weight, chance=chance: share_quantile(
                     chance, max(shares.LEAST_SHAPE, mean * weight),
                     max(shares.LEAST_SHAPE, (1 - mean) * weight)),
                 takes="mean weight")
          for key, header, chance in (("low", "Stands for, low", 0.1), ("high", "Stands for, high", 0.9))),
    ),
    rows="as:pressure_classes",
    kind="result",
)


def _sum(column: str) -> str:
    """Return the formula of what all rows that speak of this pass add up to."""
    return "SUMIF({%s.pass_row:all},{row_no},{%s:all})" % (column.split(".")[0], column)


def _frames(key: str, header: str, **more: Any) -> Column:
    """Declare a count over the frames of a pass, blank without frames."""
    return working(key, header, _sum(f"scouting_facts.{key}"), "count", needs="infested_share", **more)


def _average(role: Callable[..., Column], key: str, header: str, of: str, quantity: str) -> Column:
    """Declare what the frames of a pass hold on average: of none where no frame was thrown on the farm."""
    return role(key, header, 'IF(OR(SUM({scouting_facts.frame:all})=0,SUM({frames})=0),"",%s/{frames})'
                % _sum(f"scouting_facts.{of}"), quantity,
                twin=shares.average,
                takes=f"frames row_no scouting_facts.pass_row:all scouting_facts.{of}:all")


def _term(key: str, header: str, term: str) -> Column:
    """Declare a length of the footprint, as the spot terms have it."""
    return working(key, header, or_blank(f"spot_terms.{term}@spot_uses.term_row"), "length",
                   needs="spot_uses.term_row infested_share")


SCOUT_SHARES = Table(
    "scout_shares",
    "Scouted shares",
    "What the frames say of each spot pass: weeds per frame, clumping, and the share of footprints with a "
    "weed in them.",
    (
        row_number(),
        result("pass", "Pass", 'IF({spot_uses.on}=1,{pass_volumes.pass},"")', "name"),
        result("field", "Field", 'IF({spot_uses.on}=1,{pass_volumes.field},"")', "name"),
        result("frames", "Frames", 'IF({spot_uses.on}=0,"",%s)' % _sum("scouting_facts.frame"), "count"),
        _frames("counted", "Frames counted"),
        _average(result, "infested_share", "Frames with weeds", "infested", "share"),
        working("weeds", "Weeds counted", 'IF(SUM({counted})<2,"",%s)' % _sum("scouting_facts.number"),
                "count",
                note="Counts are used from two counted frames on; otherwise only present or absent."),
        result("mean_count", "Mean per frame", "{weeds}/{counted}", "number", needs="weeds", twin=truediv,
               takes="weeds counted"),
        result("variance", "Variance", "MAX(0,(%s-{weeds}*{weeds}/{counted})/({counted}-1))"
               % _sum("scouting_facts.square"), "number",
               needs="weeds", twin=shares.variance,
               takes="row_no scouting_facts.pass_row:all scouting_facts.counted:all "
                     "scouting_facts.number:all"),
        result("k", "Clumping k",
               'IF({weeds}="",clump_k,IF(ROUND({variance}-{mean_count},9)>0,'
               '{mean_count}*{mean_count}/({variance}-{mean_count}),""))', "number",
               needs="infested_share", twin=shares.clumping,
               takes="weeds mean_count variance spot_assumptions.clump_k",
               note="Negative binomial k by moments; blank when weeds lie at random (Poisson).",
               source="Bliss & Fisher 1953"),
        working("capped", "Frames with weeds, capped", "MIN({infested_share},1-0.5/{frames})", "share",
                needs="infested_share", twin=lambda share, frames: min(share, 1 - 1 / (2 * frames)),
                takes="infested_share frames",
                note="All frames infested would mean endless weeds; half a frame is taken off."),
        _average(working, "frame_area", "Mean frame area", "area", "small_area"),
        working("carried_k", "k that carries the share", 'IF({k}="","",MAX(least_carried_k,{k}))', "number",
                needs="infested_share", twin=shares.carried_k, takes="k spot_factors.least_carried_k"),
        result("density", "Weeds per small area",
               'IF({carried_k}="",0-LN(1-{capped}),{carried_k}*(POWER(1-{capped},0-1/{carried_k})-1))'
               '/{frame_area}', "density_of_weeds", digits=4,
               needs="infested_share", twin=shares.density, takes="capped frame_area carried_k",
               note="By the frames with weeds in them: single frames full of weeds pull a mean about, not "
                    "this."),
        _frames("widths", "Frames with a weed width"),
        working("weed_width", "Weed width",
                "IF({widths}=0,0,%s/{widths}/spacing_per_length)+2*SUM({passes.seen_buffer})"
                % _sum("scouting_facts.width"), "length",
                needs="infested_share", twin=lambda buffer, spacing, *frames: number(shares.average(*frames))
                / spacing + 2 * number(buffer), note="With the buffer around what is seen on both sides.",
                takes="passes.seen_buffer spot_factors.spacing_per_length widths row_no "
                      "scouting_facts.pass_row:all scouting_facts.width:all"),
        _term("wide", "Footprint width", "footprint_width"),
        _term("long", "Footprint length", "footprint_length"),
        _term("lead", "Lead and lag", "lead_and_lag_length"),
        result("footprint", "Sprayed footprint",
               'IF(({wide}+{weed_width})*({long}+SUM({lead})+{weed_width})=0,"",'
               '({wide}+{weed_width})*({long}+SUM({lead})+{weed_width}))', "small_area",
               needs="wide long",
               twin=lambda wide, long, lead, weed_width: footprint_area(wide, long, number(lead), weed_width)
               or "",
               note="Ground that one weed turns on: (width + weed) x (length + lead and lag + weed).",
               source="Boolean-model coverage"),
        working("cell", "Area the share is carried to", 'IF({footprint}="",{frame_area},{footprint})',
                "small_area", needs="infested_share"),
        working("load_per_k", "Weeds in a footprint per k",
                'IF({carried_k}="",{density}*{cell},{density}*{cell}/{carried_k})', "factor",
                needs="density", twin=lambda density, cell, k: density * cell / (k or 1),
                takes="density cell carried_k"),
        working("clear", "Footprints without weeds",
                'IF({carried_k}="",EXP(0-{load_per_k}),POWER(1+{load_per_k},0-{carried_k}))', "share",
                needs="density", twin=lambda density, cell, k: 1 - sprayed_share(density, cell, k or None),
                takes="density cell carried_k"),
        result("scouting_share", "Share by scouting", "1-{clear}", "share", digits=1,
               needs="density", twin=lambda density, cell, k: sprayed_share(density, cell, k or None),
               takes="density cell carried_k", source="1-(1+m/k)^-k, or 1-exp(-m) at random"),
        working("share_slope", "Share per density",
                '{cell}*IF({carried_k}="",{clear},{clear}/(1+{load_per_k}))', "factor",
                needs="density", twin=lambda density, cell, k: share_slope(density, cell, k or None),
                takes="density cell carried_k"),
        working("density_error", "Error of the density",
                'SQRT({capped}*(1-{capped})*frames_effect/{frames})*POWER(1-{capped},0-1-IF({carried_k}="",0,'
                '1/SUM({carried_k})))/{frame_area}', "factor",
                needs="density", twin=shares.density_error,
                takes="frames capped frame_area spot_figures.frames_effect carried_k"),
        result("standard_error", "Standard error of the share", "{share_slope}*{density_error}", "share",
               digits=1, needs="density", twin=mul, takes="share_slope density_error",
               note="By the slope of the share over the density; the error of k itself is left out."),
        result("frames_wanted", "Frames wanted",
               'IF({density}=0,"",ROUNDUP(ROUND(IF({weeds}="",(1-{capped})/{capped},1/{mean_count}+IF({k}="",'
               '0,1/SUM({k})))/(wanted_error*wanted_error),6),0))', "count",
               needs="density", twin=shares.frames_wanted,
               takes="mean_count k capped spot_assumptions.wanted_error",
               note="For the wanted standard error over mean.",
               source="Karandinos 1976, from memory: n = (1/m + 1/k)/CV2"),
        working("weight", "Weight in patches",
                'MIN({frames}/frames_effect,IF({standard_error}=0,{frames},'
                'MAX(1,{scouting_share}*{clear}/({standard_error}*{standard_error}))))', "number",
                needs="standard_error", twin=shares.frames_weight,
                takes="frames spot_figures.frames_effect scouting_share standard_error",
                note="Independent patches that would have the error of the frames; never more than the "
                     "independent frames."),
        working("frame_ratio", "Frame over footprint", "{frame_area}/{footprint}", "number",
                needs="footprint", twin=truediv, takes="frame_area footprint"),
        check("status", "Status", 'IF({finding}="","OK","Review")', needs="density"),
        check("finding", "Note",
              'IF(AND({weeds}<>"",{k}<>"",SUM({k})<least_k),"k of "&ROUND(ROUND(SUM({k}),6),'
              '2)&" is too small to trust; ","")'
              '&IF({footprint}="","footprint not entered: share taken at frame size; ",'
              'IF(OR(SUM({frame_ratio})>farthest_frame,SUM({frame_ratio})*farthest_frame<1),'
              '"frame is "&ROUND(ROUND({frame_ratio},6),2)&" times the footprint: k may not carry over;'
              ' ",""))'
              '&IF({frames_wanted}="","",IF({frames}<SUM({frames_wanted}),{frames_wanted}&" frames wanted;'
              ' ",""))&IF(ROUND(frames_effect-usual_effect,6)>0,ROUND(ROUND(frames_effect,6),2)&" frames '
              'count as one, as typed: counts cannot tell whether they do; ","")', "long_text",
              needs="density", twin=shares.scouting_note,
               takes="weeds k frame_ratio frames frames_wanted spot_assumptions.least_k "
                     "spot_assumptions.farthest_frame spot_figures.frames_effect spot_factors.usual_effect"),
    ),
    rows="as:passes",
    kind="result",
)

_EVIDENCE = "prior_weight expected_share scout_shares.weight scouting_share log_weight logged_share"
_WEIGHTED = "{prior_weight}*%s+SUM({scout_shares.weight})*%s+{log_weight}*%s"
#: Shares the sheet shows: end of the key -> title and chance.
_CHANCES = (("p50", "enough 5 times in 10", 0.5, ""),
            ("p80", "enough 8 times in 10", 0.8, "Enough in 4 of 5 passes."),
            ("p95", "enough 19 times in 20", 0.95, ""))


def _logged(role: Callable[..., Column], key: str, header: str, of: str, quantity: str) -> Column:
    """Declare what the logged loads of a pass add up to."""
    return role(key, header, _sum(f"load_facts.{of}"), quantity, needs="pass")


def _rest(key: str, header: str) -> Column:
    """Declare the volume that a share takes of the area that remains."""
    return result(f"volume_{key}", header, "{share_%s}*{remaining_area}*{passes.carrier}" % key, "volume",
                  needs="a remaining_area passes.carrier",
                  twin=lambda share, area, carrier: area * share * carrier,
                  takes=f"share_{key} remaining_area passes.carrier")


SHARE_ESTIMATES = Table(
    "share_estimates",
    "Share estimates",
    "How much of the field each spot pass will spray, by experience, scouting and the loads logged, and the "
    "volume the remaining ground will take.",
    (
        row_number(),
        result("pass", "Pass", "{scout_shares.pass}", "name"),
        result("field", "Field", "{scout_shares.field}", "name"),
        working("class_row", "Pressure class row",
                'IFERROR(MATCH({passes.pressure_class},{pressure_classes.pressure_class:all},0),"")',
                needs="pass passes.pressure_class"),
        working("class_share", "Share of the class", "{class_facts.mean@class_row}", "share",
                needs="class_row"),
        working("class_weight", "Patches of the class", "{class_facts.weight@class_row}", "number",
                needs="class_row"),
        working("range_mean", "Mean of the range typed",
                _fit("passes.share_low", "passes.sprayed_share", "passes.share_high"), "share",
                needs="pass passes.share_low passes.share_high",
                twin=shares.range_mean, takes="passes.share_low passes.sprayed_share passes.share_high",
                note="Of low, likely and high share: a tenth less, most likely, a tenth more.",
                source="Davidson & Cooper 1980, as compared by Keefer & Verdini 1993, from memory"),
        working("range_weight", "Patches by the range typed",
                _fit_weight("range_mean", "passes.share_low", "passes.share_high"), "number",
                needs="range_mean",
                twin=shares.range_weight, takes="range_mean passes.share_low passes.share_high"),
        working("seasons", "Earlier seasons", _sum("history_facts.used"), "count", needs="pass"),
        result("history_share", "Share of earlier seasons",
               'IF({seasons}=0,"",%s/{seasons})' % _sum("history_facts.share"), "share", needs="seasons",
               twin=shares.average,
               takes="seasons row_no history_facts.pass_row:all history_facts.share:all"),
        working("history_weight", "Weight of earlier seasons", "season_patches*{seasons}/({seasons}+1)",
                "number", needs="seasons", twin=shares.history_weight,
                takes="seasons spot_assumptions.season_patches",
                note="Two seasons tell less than twice as much as one: every year has weather of its own."),
        working("basis", "Experience from",
                'IF(OR({passes.sprayed_share}<>"",{range_mean}<>""),"typed share",IF({class_share}<>"",'
                '"class",IF({seasons}>0,"earlier seasons","none")))', "text", needs="pass"),
        working("seen_share", "Share typed or of the class",
                'IF({basis}="class",{class_share},IF({basis}<>"typed share",0.5,IF({range_mean}="",'
                '{passes.sprayed_share},{range_mean})))', "share", needs="pass",
                note="The share or range typed beside the pass, or that of its pressure class; 50 % with "
                     "hardly any weight when neither is there."),
        working("own_share", "The same with the buffer",
                'IF(OR({basis}="none",{basis}="earlier seasons",SUM({spot_uses.grown})<=1),{seen_share},'
                '1-POWER(1-{seen_share},{spot_uses.grown}))', "share", needs="pass seen_share",
                twin=lambda basis, seen, grown: shares.buffered_share(seen, grown)
                if basis in ("typed share", "class") else seen, takes="basis seen_share spot_uses.grown",
                note="Where a buffer around what is seen is typed; spots are taken to lie at random, which "
                     "gives the largest growth.", source="Boolean-model coverage"),
        working("own_weight", "Weight of it",
                'IF(SUM({range_weight})>0,{range_weight},IF({basis}="earlier seasons",0,'
                'IF(SUM({class_weight})>0,{class_weight},IF({basis}="none",2,typed_patches))))',
                "number", needs="pass",
                note="In patches: by the range typed, or else that of the pressure class, also where a share "
                     "is typed."),
        result("expected_share", "Expected share",
               "IF({history_weight}=0,{own_share},({own_weight}*{own_share}+{history_weight}*{history_share})"
               "/({own_weight}+{history_weight}))", "share", needs="pass own_share",
               twin=shares.joined_share, takes="own_weight own_share history_weight history_share",
               note="What was typed, and earlier seasons of this pass on this field, by their weights."),
        result("prior_weight", "Weight of experience", "{own_weight}+{history_weight}", "number",
               needs="pass own_weight", twin=add, takes="own_weight history_weight", note="In patches."),
        result("scouting_share", "Share by scouting", "{scout_shares.scouting_share}", "share"),
        _logged(result, "loads_logged", "Loads logged", "used", "count"),
        _logged(working, "loads_area", "Driven by the loads", "area", "area"),
        _logged(working, "loads_volume", "Sprayed by the loads", "volume", "volume"),
        _logged(working, "volume_mixed", "Volume mixed", "mixed", "volume"),
        working("closed", "Closed by the spray record",
                'IF({pass_times.log_day}="",0,IF(OR({pass_times.log_end}<>"",{loads_logged}=0,'
                'SUM({as_logged.area_typed})>=SUM({pass_volumes.area})*%s),1,0))' % (1 - AREA_DOUBT), "count",
                needs="pass", twin=shares.closed,
                takes="pass_times.log_day pass_times.log_end loads_logged as_logged.area_typed "
                      "pass_volumes.area",
                note="1 where the record has an end, covers the field, or stands without loads."),
        working("recorded", "Its volume is recorded", 'IF({closed}=0,0,IF({as_logged.volume_typed}="",0,1))',
                "count", needs="pass"),
        result("area_covered", "Area driven",
               "IF({closed}=1,MAX({loads_area},SUM({pass_volumes.area})),{loads_area})", "area", needs="pass",
               note="By the load log; all of the field once the spray record closes the pass."),
        result("volume_sprayed", "Volume sprayed", "IF({recorded}=1,{as_logged.volume_typed},{loads_volume})",
               "volume", needs="pass",
               note="By the load log, or else by the spray record that closes the pass."),
        working("known_area", "Area driven with that volume",
                "IF({recorded}=1,SUM({pass_volumes.area}),{loads_area})", "area", needs="pass"),
        result("logged_share", "Share by the log",
               'IF(SUM({known_area})*SUM({passes.carrier})=0,"",'
               '{volume_sprayed}/{known_area}/{passes.carrier})', "share",
               needs="pass", twin=shares.pooled, takes="volume_sprayed known_area passes.carrier",
               note="All volume sprayed over all area driven at the carrier.",
               source="ratio estimator, Cochran ch. 6, from memory"),
        working("log_weight", "Weight of the log", "{known_area}/patch_size", "number", needs="known_area",
                twin=truediv, takes="known_area spot_figures.patch_size"),
        working("patches_sprayed", "Patches sprayed",
                _WEIGHTED % ("{expected_share}", "SUM({scouting_share})", "MIN(1,SUM({logged_share}))"),
                "number",
                needs="pass", twin=shares.patches_sprayed, takes=_EVIDENCE),
        working("patches_left", "Patches left out",
                _WEIGHTED % ("(1-{expected_share})", "(1-SUM({scouting_share}))",
                             "(1-MIN(1,SUM({logged_share})))"), "number",
                needs="pass", twin=shares.patches_left, takes=_EVIDENCE),
        working("experience", "Patches of experience", 'IF({basis}="none",0,{prior_weight})', "number",
                needs="pass"),
        working("evidence_patches", "Patches of evidence",
                "{experience}+SUM({scout_shares.weight})+{log_weight}", "number",
                needs="pass", twin=lambda *weights: added(map(number, weights)),
                takes="experience scout_shares.weight log_weight"),
        working("known", "Anything is known", KNOWN, "count", needs="pass", twin=shares.known,
                takes="evidence_patches patches_sprayed patches_left"),
        working("loads_squared", "Area by share squared", _sum("load_facts.squared"), "factor", needs="pass"),
        working("loads_sprayed", "Area sprayed by the loads", "{loads_volume}/{passes.carrier}", "area",
                needs="pass passes.carrier", twin=truediv, takes="loads_volume passes.carrier"),
        working("scatter", "Scatter of the loads",
                scatter("loads_logged", "loads_squared", "loads_sprayed", "loads_area"), "factor",
                needs="pass loads_sprayed", twin=shares.scatter,
                takes="row_no load_facts.pass_row:all load_facts.area:all load_facts.share:all "
                      "spot_figures.patch_size",
                note="How far the shares of the loads lie from each other, in patches; from two loads on."),
        working("firmness", "Firmness by the loads", firmness("loads_logged"), "number", needs="pass",
                twin=shares.firmness, takes="scatter loads_logged spot_factors.usual_scatter",
                note="Over 1 where loads agree more than usual and the range is narrower; under 1 where they "
                     "scatter.", source="docs/calibration-study.md"),
        result("a", "Evidence for sprayed", SHAPE % "patches_sprayed", "number", digits=3, needs="pass",
               twin=shares.shape, takes="known patches_sprayed firmness",
               note="Patches counted as sprayed; 1 where nothing is known."),
        result("b", "Evidence for left out", SHAPE % "patches_left", "number", digits=3, needs="pass",
               twin=shares.shape, takes="known patches_left firmness",
               note="Patches counted as left out; 1 where nothing is known."),
        result("share_mean", "Mean share",
               "IF({known}=0,0.5,{patches_sprayed}/({patches_sprayed}+{patches_left}))", "share",
               digits=1, needs="a",
               twin=lambda is_known, sprayed, left: sprayed / (sprayed + left) if is_known else 0.5,
               takes="known patches_sprayed patches_left",
               note="A share of none or all stays so, though the curve keeps a little room for doubt."),
        *(result(f"share_{key}", f"Share, {title}", quantile_formula(str(chance)), "share", digits=1,
                 needs="a", twin=partial(share_quantile, chance), takes="a b", note=note)
          for key, title, chance, note in _CHANCES),
        result("remaining_area", "Area that remains", "MAX(0,{pass_volumes.area}-{area_covered})", "area",
               needs="pass pass_volumes.area", twin=lambda area, covered: max(0, area - covered),
               takes="pass_volumes.area area_covered"),
        _rest("mean", "Mean volume for it"),
        *(_rest(key, f"Volume, {title}") for key, title, _, _ in _CHANCES),
        working("evidence", "Any evidence",
                'IF(OR({basis}<>"none",SUM({scout_shares.frames})>0,SUM({known_area})>0),1,0)', "count",
                needs="pass"),
        result("field_share", "Share of the whole field",
               'IF({pass_volumes.area}=0,"",MIN(1,(IF({logged_share}="",{share_mean},'
               'MIN(1,{logged_share}))*{area_covered}+{share_mean}*{remaining_area})/{pass_volumes.area}))',
               "share", digits=1,
               needs="remaining_area", twin=shares.field_share,
               takes="logged_share area_covered share_mean remaining_area pass_volumes.area",
               note="Logged so far and the mean for the rest; the mean where nobody logged a volume."),
        check("status", "Status",
              'IF(OR({remaining_area}="",SUM({passes.carrier})=0,{evidence}=0),"Not entered",IF({finding}="",'
              '"OK","Review"))', needs="pass"),
        check("finding", "Finding",
              'IF(OR({remaining_area}="",SUM({passes.carrier})=0),"Field, area or carrier is missing",'
              'IF(SUM({logged_share})>1,"More was sprayed than the area logged can take: check the load log",'
              'IF({evidence}=0,"' + shares.NO_SHARE + '",IF({known}=0,"' + shares.NOTHING_KNOWN + '",'
              'IF({loads_area}>{pass_volumes.area},"More area logged than the field has","")))))',
              "long_text",
              needs="pass", twin=shares.estimate_finding,
              takes="remaining_area passes.carrier logged_share evidence known loads_area pass_volumes.area"),
    ),
    rows="as:passes",
    kind="result",
    caution="A share is an estimate until it is sprayed: watch the tank.",
)

TABLES = (
    PRESSURE_CLASSES, CLASS_FACTS, SPOT_HISTORY, HISTORY_FACTS, SCOUTING, LOAD_LOG, SPOT_TERMS,
    DETECTION_TRIALS, LOOK_LOG, SPOT_ASSUMPTIONS,
    CONTACT_GROUPS, SPOT_FACTORS, SCOUT_SHARES, SHARE_ESTIMATES, SPOT_FIGURES, SCOUTING_FACTS, LOAD_FACTS,
    TERM_FACTS, SPOT_USES,
)

CHECKS = (
    CheckKind("Spot share", "share_estimates", "status", "finding", rank=310),
)
