"""The map of a spot pass, live: share and cost by field against the plan, the map square by square,
hot spots and overlays.
"""

from __future__ import annotations

from functools import partial
from operator import mul, sub
from typing import Any

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.draft import number
from workbook_builder.core.short import (
    check,
    or_blank,
    place,
    result,
    row_number,
    slot_number,
    typed_in,
    working,
)
from workbook_builder.features.shares.beta import quantile_formula
from workbook_builder.features.shares.columns import pass_row
from workbook_builder.features.shares.definitions import patches_left, patches_sprayed
from workbook_builder.features.spray_map import definitions as maps
from workbook_builder.features.spray_map.inputs import (
    HOT_SPOTS,
    MAP_CHOICE,
    MAP_OVERLAYS,
    MAP_PASSES,
    MAP_RECURRENCE,
    MAP_ROWS,
    MAP_SETTINGS,
    SQUARES,
)

SHEET = "Workings maps"
_BEFORE = (" ".join(f"share_estimates.{key}@pass_row" for key in ("prior_weight", "expected_share"))
           + " scout_shares.weight@pass_row share_estimates.scouting_share@pass_row")


def _of_pass(key: str, header: str, column: str, quantity: str) -> Column:
    """Declare a figure of the pass that a log is of, fetched from a table beside all passes."""
    return working(key, header, "{%s@pass_row}" % column, quantity, needs="pass_row")


def _key(table: str, *more: str) -> Column:
    """Declare the name of a row: pass, field and kind of log, and what else tells it apart."""
    cells = [f"{table}.{key}" for key in ("pass", "field", "log_kind", *more)]
    return working("key", "Key", '&"|"&'.join(f"{{{cell}}}" for cell in cells), "text", needs=" ".join(cells))


def _said(condition: str, words: str) -> str:
    """Return the formula of a part of a finding."""
    return f'IF({condition},"; "&{words},"")'


def _rounded(cell: str, digits: int = 0) -> str:
    return "ROUND(ROUND({%s},6),%d)" % (cell, digits)


def _for(cost: str) -> str:
    """Return the formula of what products for ground cost, after a finding; blank where that is not known."""
    return ('IF(ROUND(ABS(SUM({%s})),0)=0,"",", products for "&{farm.currency}&ROUND(ROUND(ABS({%s}),6),0))'
            % (cost, cost))


def _percent(cell: str, digits: int = 0) -> str:
    return 'ROUND(ROUND(100*{%s},6),%d)&" %%"' % (cell, digits)


MAP_SQUARES = Table(
    "map_squares",
    "Map squares",
    "What the rows of each map add up to.",
    (
        _key("map_rows", "row"),
        working("map_key", "Map", '{map_rows.pass}&"|"&{map_rows.field}&"|"&{map_rows.log_kind}',
                "text", needs="key"),
        working("driven", "Driven in the row", "SUM({map_rows.driven_01}:{map_rows.driven_24})",
                "area", needs="key"),
        working("sprayed", "Sprayed in the row", "SUM({map_rows.sprayed_01}:{map_rows.sprayed_24})",
                "area", needs="key"),
    ),
    rows="as:map_rows",
    kind="working",
    sheet=SHEET,
)

MAP_CHECKS = Table(
    "map_checks",
    "Each map",
    "What each log says of its field, against the plan.",
    (
        row_number(),
        _key("map_passes"),
        working("place", "Place", '{map_passes.pass}&"|"&{map_passes.field}', "text", needs="key"),
        pass_row("map_passes"),
        typed_in("carrier", "Carrier rate", "passes.carrier", "pass_row", "carrier"),
        _of_pass("pass_area", "Field area", "pass_volumes.area", "area"),
        _of_pass("loads_area", "Driven by the loads", "share_estimates.loads_area", "area"),
        _of_pass("loads_volume", "Sprayed by the loads", "share_estimates.loads_volume", "volume"),
        _of_pass("product_area", "Products per sprayed area", "spot_uses.product_area", "money_per_area"),
        _of_pass("log_weight", "Weight of the loads", "share_estimates.log_weight", "number"),
        _of_pass("loads_share", "Share by the loads", "share_estimates.logged_share", "share"),
        _of_pass("sprayed_then", "Patches sprayed", "share_estimates.patches_sprayed", "number"),
        _of_pass("left_then", "Patches left out", "share_estimates.patches_left", "number"),
        working("sprayed_before", "Patches sprayed, before",
                "{sprayed_then}-SUM({log_weight})*MIN(1,SUM({loads_share}))", "number", needs="sprayed_then",
                twin=patches_sprayed, takes=_BEFORE),
        working("left_before", "Patches left out, before",
                "{left_then}-SUM({log_weight})*(1-MIN(1,SUM({loads_share})))", "number", needs="left_then",
                twin=patches_left, takes=_BEFORE),
        result("sprayed_area", "Area sprayed",
               'IF({map_passes.sprayed_logged}<>"",{map_passes.sprayed_logged},IF(SUM({carrier})=0,"",'
               'IF({map_passes.volume_logged}<>"",{map_passes.volume_logged}/{carrier},'
               'IF(SUM({loads_volume})=0,"",{loads_volume}/{carrier}))))', "area",
               needs="key", twin=maps.sprayed_area,
               takes="map_passes.sprayed_logged map_passes.volume_logged loads_volume carrier",
               note="By the nozzles, else volume over carrier, of the log or else of the loads typed; never "
                    "from on and off alone."),
        result("rests_on", "Rests on",
               'IF(OR({map_passes.sprayed_logged}<>"",{map_passes.volume_logged}<>""),"log","load log")',
               "text", needs="sprayed_area"),
        result("share", "Share sprayed",
               'IF({map_passes.field_area_drawn}=0,"",{sprayed_area}/{map_passes.field_area_drawn})',
               "share", digits=1,
               needs="sprayed_area map_passes.field_area_drawn", twin=lambda sprayed, drawn: sprayed / drawn
               if drawn else "",
               takes="sprayed_area map_passes.field_area_drawn"),
        result("share_low", "Share, at least", "{share}*(1-SUM({map_passes.share_error}))", "share", digits=1,
               needs="share", twin=lambda share, error: share - share * number(error),
               takes="share map_passes.share_error", note="For width and drift."),
        result("share_high", "Share, at most", "MIN(1,{share}*(1+SUM({map_passes.share_error})))", "share",
               digits=1, needs="share", twin=maps.share_above, takes="share map_passes.share_error"),
        working("share_typed", "Share typed", or_blank("passes.sprayed_share@pass_row"), "share",
                needs="pass_row"),
        result("planned_share", "Planned",
               'IF({share_typed}<>"",{share_typed},IF({sprayed_before}="","",'
               '{sprayed_before}/({sprayed_before}+{left_before})))', "share", digits=1,
               needs="pass_row", twin=maps.planned_share, takes="share_typed sprayed_before left_before",
               note="Typed, or the estimate before the pass."),
        *(working(f"expected_{name}", f"Expected share, {name}",
                  'IF(ROUND({sprayed_before}+{left_before},9)<%d,"",%s)'
                  % (maps.LEAST_EVIDENCE, quantile_formula(str(chance),
                                                           "MAX(0.05,{sprayed_before}),"
                                                           "MAX(0.05,{left_before})")), "share",
                  needs="sprayed_before left_before", twin=partial(maps.expected, chance),
                  takes="sprayed_before left_before",
                  note=f"{chance:.0%} of such fields are under it.")
          for name, chance in (("low", 0.05), ("high", 0.95))),
        result("not_driven", "Not driven", "MAX(0,{map_passes.field_area_drawn}-{map_passes.area_driven})",
               "area", needs="map_passes.field_area_drawn map_passes.area_driven",
               twin=lambda drawn, driven: max(0, drawn - driven),
               takes="map_passes.field_area_drawn map_passes.area_driven"),
        result("volume", "Volume",
               'IF({map_passes.volume_logged}<>"",{map_passes.volume_logged},'
               'IF(OR({sprayed_area}="",SUM({carrier})=0),"",{sprayed_area}*{carrier}))', "volume",
               needs="key", twin=maps.volume_used, takes="map_passes.volume_logged sprayed_area carrier"),
        result("planned_volume", "Volume planned", "{planned_share}*{pass_area}*{carrier}", "volume",
               needs="planned_share pass_area carrier",
               twin=lambda share, area, carrier: area * share * carrier,
               takes="planned_share pass_area carrier"),
        result("more_volume", "More than planned", "{volume}-{planned_volume}", "volume",
               needs="volume planned_volume", twin=sub, takes="volume planned_volume"),
        result("more_cost", "Products for it", "{more_volume}/{carrier}*{product_area}", "money",
               needs="more_volume product_area",
               twin=lambda more, product, carrier: product * more / carrier,
               takes="more_volume product_area carrier"),
        *(working(key, header, "{%s}*{share}*{product_area}" % area, "money",
                  needs=f"{area} share product_area",
                  twin=lambda area, share, product: product * share * area,
                  takes=f"{area} share product_area", note=note) for key, header, area, note in (
            ("not_driven_cost", "Products, not driven", "not_driven",
             "To spray it at the share of the rest."),
            ("twice_cost", "Products, driven twice", "map_passes.area_overlap",
             "At most: where the share of the field was sprayed again."),
        )),
        working("squares_driven", "Driven in the squares",
                "SUMIFS({map_squares.driven:all},{map_squares.map_key:all},{key})", "area", needs="key"),
        working("squares_sprayed", "Sprayed in the squares",
                "SUMIFS({map_squares.sprayed:all},{map_squares.map_key:all},{key})", "area", needs="key"),
        working("extra", "Extra in hot spots",
                "SUMIFS({hot_spot_facts.extra_sprayed:all},{hot_spot_facts.map_key:all},{key})",
                "area", needs="key"),
        working("scale", "Scale of the squares",
                "IF(OR(SUM({sprayed_area})=0,{squares_sprayed}=0),1,{sprayed_area}/{squares_sprayed})",
                "factor", needs="key",
                twin=maps.square_scale, takes="sprayed_area squares_sprayed",
                note="On and off show where; the squares are brought to the share that the volume tells."),
        working("share_says", "Finding, share",
                'IF({sprayed_area}="",IF(OR({map_passes.log_kind}="nozzles",{map_passes.log_kind}="volume"),'
                '"; the share needs the carrier of the pass",'
                '"; the log tells no share: enter the volume sprayed in the load log"),'
                'IF(OR({share}="",{expected_low}=""),"",IF(OR({share}<{expected_low},'
                '{share}>{expected_high}),"; "&'
                + _percent("share", 1) + '&" sprayed, where "&' + _percent("expected_low") + '&" to "&'
                + _percent("expected_high") + '&" was expected","")))', "text",
                needs="key", twin=maps.share_finding,
                takes="sprayed_area map_passes.log_kind share expected_low expected_high"),
        working("ground_says", "Finding, ground",
                "&".join((
                    _said('{map_passes.dead_sections}<>""',
                          '"section "&{map_passes.dead_sections}&" sprayed next to nothing: check its '
                          'nozzles and valve"'),
                    _said("{not_driven}>not_driven_from*{map_passes.field_area_drawn}",
                          _rounded("not_driven", 1)
                          + '&" "&area_name&" ("&ROUND(ROUND(100*{not_driven}/{map_passes.field_area_drawn},'
                            '6),0)&" %) not driven"&' + _for("not_driven_cost")),
                    _said("SUM({map_passes.area_overlap})>driven_twice_from*{map_passes.area_driven}",
                          _rounded("map_passes.area_overlap", 1) + '&" "&area_name&" driven twice"&'
                          + _for("twice_cost")),
                    _said("SUM({map_passes.area_unknown})>not_driven_from*{map_passes.field_area_drawn}",
                          '"on "&' + _rounded("map_passes.area_unknown", 1)
                          + '&" "&area_name&" the log says nothing about spraying"'),
                )), "text", needs="key not_driven", twin=maps.ground_finding,
                takes="map_passes.field_area_drawn map_passes.area_driven not_driven map_passes.area_overlap "
                      "map_passes.area_unknown map_passes.dead_sections "
                "map_settings.not_driven_from map_settings.driven_twice_from factors.area_name "
                "not_driven_cost twice_cost farm.currency"),
        working("volume_says", "Finding, volume",
                _said('IF(SUM({planned_volume})=0,0=1,IF({more_volume}="",0=1,'
                      'ABS({more_volume})>volume_differs_from*{planned_volume}))',
                      'ROUND(ROUND(ABS({more_volume}),6),0)&" "&liquid_name_1&IF({more_volume}>0," more",'
                      '" less")&" than planned"&' + _for("more_cost")), "text", needs="key",
                twin=maps.volume_finding,
                takes="planned_volume more_volume more_cost map_settings.volume_differs_from "
                      "factors.liquid_name_1 farm.currency"),
        working("loads_say", "Finding, loads",
                _said("IF(SUM({loads_area})=0,0=1,ABS(SUM({map_passes.area_driven})-{loads_area})"
                      ">loads_differ_from*{loads_area})",
                      'ROUND(ROUND(SUM({map_passes.area_driven}),6),1)&" "&area_name&" driven by the log, "&'
                      + _rounded("loads_area", 1) + '&" "&area_name&" by the loads typed"')
                + "&" + _said('IF(OR({rests_on}<>"log",SUM({loads_volume})=0,{volume}=""),0=1,'
                              'ABS({volume}-{loads_volume})>loads_differ_from*{loads_volume})',
                              _rounded("volume") + '&" "&liquid_name_1&" sprayed by the log, "&'
                              + _rounded("loads_volume") + '&" by the loads typed"'), "text",
                needs="key", twin=maps.loads_finding,
                takes="map_passes.area_driven loads_area volume loads_volume rests_on "
                      "map_settings.loads_differ_from factors.area_name factors.liquid_name_1"),
        working("squares_say", "Finding, squares",
                'IF({pass_row}="","; no such pass is planned on that field","")&'
                + _said(f"ROUND(ABS({{squares_driven}}-SUM({{map_passes.area_driven}}))-{maps.SQUARES_DIFFER}"
                        f"*SUM({{map_passes.area_driven}}),6)>0",
                        '"the squares of the map are not those of this log: map it again"'), "text",
                needs="key", twin=maps.squares_finding,
                takes="pass_row map_passes.area_driven squares_driven"),
        working("dead", "A section sprayed nothing", 'IF({map_passes.dead_sections}="",0,1)',
                "count", needs="key"),
        working("found", "All findings", "{share_says}&{volume_says}&{ground_says}&{loads_say}&{squares_say}",
                "text", needs="key"),
        check("status", "Status", 'IF({sprayed_area}="","Not entered",IF({found}="","OK","Review"))',
              needs="key", twin=maps.status, takes="sprayed_area found"),
        check("finding", "Finding", 'IF({found}="","",MID({found},3,1000))', "one_line", width=90),
    ),
    rows="as:map_passes",
    kind="result",
)

SPOT_FACTS = Table(
    "hot_spot_facts",
    "Each hot spot",
    "What each hot spot took beyond the rest of its field, where it lies, and when to look.",
    (
        working("map_key", "Map", '{hot_spots.pass}&"|"&{hot_spots.field}&"|"&{hot_spots.log_kind}', "text",
                needs="hot_spots.pass hot_spots.field"),
        working("key", "Key", '{map_key}&"|"&{hot_spots.rank}', "text", needs="map_key hot_spots.rank"),
        place("map_no", "Row of its map", "map_key", "map_checks.key"),
        working("pass_row", "Pass row", "{map_checks.pass_row@map_no}", needs="map_no"),
        working("day", "Day sprayed", "{map_passes.day@map_no}", "date", needs="map_no"),
        working("product_area", "Products per sprayed area", "{map_checks.product_area@map_no}",
                "money_per_area", needs="map_no"),
        result("extra_sprayed", "Extra sprayed",
               "MAX(0,{hot_spots.sprayed_area}-{hot_spots.background_share}*{hot_spots.area})", "area",
               needs="hot_spots.sprayed_area hot_spots.background_share hot_spots.area",
               twin=maps.extra_sprayed,
               takes="hot_spots.sprayed_area hot_spots.area hot_spots.background_share",
               note="Beyond what its ground would take elsewhere in the field."),
        result("cost", "Products for it", "{extra_sprayed}*{product_area}", "money",
               needs="extra_sprayed product_area", twin=mul, takes="extra_sprayed product_area"),
        working("all_extra", "Extra of all spots", "{map_checks.extra@map_no}", "area", needs="map_no"),
        result("share_of_extra", "Of all extra", 'IF(SUM({all_extra})=0,"",{extra_sprayed}/{all_extra})',
               "share", needs="extra_sprayed",
               twin=lambda extra, every: extra / every if number(every) else "",
               takes="extra_sprayed all_extra"),
        result("lies", "Lies",
               'IF({hot_spots.to_edge}<{edge_zone},"edge",IF(AND({hot_spots.length_over_width}>strip_ratio,'
               '{hot_spots.bearing_to_runs}<=strip_angle),"strip along the runs","patch"))', "text",
               needs="hot_spots.to_edge edge_zone hot_spots.length_over_width hot_spots.bearing_to_runs",
               twin=maps.lies,
               takes="hot_spots.to_edge edge_zone hot_spots.length_over_width hot_spots.bearing_to_runs "
                     "map_settings.strip_ratio map_settings.strip_angle",
               note="Where it lies, never why."),
        working("edge_zone", "Edge reaches", or_blank("map_passes.edge_zone@map_no"), "length",
                needs="map_no"),
        working("reentry_at", "Field opens", "{intervals.reentry_at@pass_row}", "moment", needs="pass_row"),
        working("last_day", "Day of the pass", "{pass_times.last_day@pass_row}", "date", needs="pass_row"),
        result("scout_on", "Look on",
               'MAX({day}+contact_look_days,IF({reentry_at}="",0,ROUNDUP(ROUND({reentry_at}+IF({last_day}="",'
               '0,MAX(0,{day}-{last_day})),6),0)))', "date",
               needs="day", twin=maps.scout_day,
               takes="day spot_assumptions.contact_look_days reentry_at last_day",
               note="Never before people may go back in by the plan."),
        check("going_in", "Going in", 'IF({reentry_at}="","Not entered",IF({day}<>{last_day},"Review","OK"))',
              needs="map_key",
              note="Not entered: the plan holds no re-entry, read the label. Review: sprayed on another day "
                   "than the plan has."),
        working("to_look", "Still to look", 'IF({hot_spots.looked_on}="",1,0)', "count", needs="key"),
    ),
    rows="as:hot_spots",
    kind="result",
)

OVERLAY_SAYS = Table(
    "overlay_says",
    "Each overlay",
    "Whether each layer goes together with spraying; together is not because.",
    (
        result("says", "Says",
               'IF({map_overlays.effective_n}<fewest_pieces,"too little ground to tell",'
               'IF(AND({map_overlays.p_adjusted}<>"",{map_overlays.p_adjusted}<overlay_chance),'
               '"goes together","no sign"))',
               "text", needs="map_overlays.layer map_overlays.effective_n", twin=maps.overlay_word,
               takes="map_overlays.effective_n map_overlays.p_adjusted map_settings.fewest_pieces "
                     "map_settings.overlay_chance"),
    ),
    rows="as:map_overlays",
    kind="result",
)

MAP_PICK = Table(
    "map_pick",
    "Chosen map",
    "The map that is drawn.",
    (
        working("row", "Row of the map",
                'IF({map_choice.pass}="",IF(SUMPRODUCT(({map_passes.field:all}<>"")*1)=0,"",1),'
                'IFERROR(MATCH({map_choice.pass}&"|"&{map_choice.field},{map_checks.place:all},0),""))'),
        working("key", "Key", "{map_checks.key@row}", "text", needs="row"),
        working("kind", "Log tells", "{map_passes.log_kind@row}", "text", needs="row"),
        working("extra", "Extra in hot spots",
                "SUMIFS({hot_spot_facts.extra_sprayed:all},{hot_spot_facts.map_key:all},{key})",
                "area", needs="key"),
        working("scale", "Scale of the squares", "{map_checks.scale@row}", "factor", needs="row"),
        working("square", "Area of a square", "SUM({map_passes.square_area@row})", "area", needs="row"),
        working("least", "Least driven of a square", f"{{square}}*{maps.LEAST_SQUARE}", "area",
                needs="square", twin=lambda square: square * maps.LEAST_SQUARE),
        working("spots", "Hot spots",
                'COUNTIFS({hot_spot_facts.map_key:all},{key},{hot_spots.rank:all},">0")',
                "count", needs="key"),
        working("open", "Maps to look at",
                'COUNTIF({map_checks.status:all},"Review")+COUNTIF({map_checks.status:all},"Not entered")',
                "count"),
        working("first_open", "First of them",
                'IFERROR(MATCH("Review",{map_checks.status:all},0),IFERROR(MATCH("Not entered",'
                '{map_checks.status:all},0),""))'),
        working("dead", "Maps with a section that sprayed nothing", "SUM({map_checks.dead:all})", "count"),
        working("first_dead", "First of those", 'IFERROR(MATCH(1,{map_checks.dead:all},0),"")'),
    ),
    rows="form",
    kind="working",
    sheet=SHEET,
)


def _picked(key: str, header: str, column: str, quantity: str, **more: Any) -> Column:
    """Declare a figure of the chosen map."""
    return result(key, header, "{%s@map_pick.row}" % column, quantity, needs="map_pick.row", **more)


MAP_SHEET = Table(
    "map_sheet",
    "This map",
    "What the chosen log says of its field.",
    (
        result("answer", "What it says",
               'IF({map_pick.row}="",IF({map_choice.pass}="","No log is mapped yet","No such pass is mapped '
               'on that field"),{map_passes.field@map_pick.row}&", "&{map_passes.pass@map_pick.row}&": "'
               '&IF({share}="","share Not entered","sprayed "&' + _percent("share") + '&" of "&'
               + _rounded("drawn") + '&" "&area_name)'
               '&IF(OR({share}="",{planned_share}=""),"",", planned "&' + _percent("planned_share") + '))',
               "sentence"),
        result("to_do", "What to do",
               'IF({map_pick.row}="","Map a log: workbook-builder map LOG --fields BOUNDARIES --book THIS -o '
               'NEW.xlsx",IF({finding}="","",{finding}&". ")&IF({map_pick.spots}=0,"No hot spot: nothing '
               'stands out",'
               '{map_pick.spots}&IF({map_pick.spots}=1," hot spot"," hot spots")&", listed beside the map: '
               'look what grows there, and note the cause")'
               '&IF(OR({map_pick.kind}="nozzles",{map_pick.kind}="volume",{share}<>""),"",'
               '". On and off alone: the map shows where, and never how much"))', "sentence"),
        _picked("drawn", "Area drawn", "map_passes.field_area_drawn", "area", digits=1),
        _picked("sprayed_area", "Area sprayed", "map_checks.sprayed_area", "area", digits=1),
        _picked("share", "Share sprayed", "map_checks.share", "share", digits=1),
        _picked("planned_share", "Planned", "map_checks.planned_share", "share", digits=1),
        _picked("extra", "Extra in hot spots", "map_checks.extra", "area", digits=1),
        _picked("not_driven", "Not driven", "map_checks.not_driven", "area", digits=1),
        _picked("volume", "Volume", "map_checks.volume", "volume", digits=0),
        _picked("more_volume", "More than planned", "map_checks.more_volume", "volume", digits=0),
        _picked("more_cost", "Products for it", "map_checks.more_cost", "money"),
        _picked("status", "Status", "map_checks.status", "status"),
        _picked("finding", "Finding", "map_checks.finding", "one_line"),
    ),
    rows="form",
    kind="result",
)


MAP_DRAWING = Table(
    "map_drawing",
    "The map, north on top: sprayed share of each square in percent",
    "The chosen map, square by square.",
    (
        slot_number("No."),
        working("at", "Row of the squares",
                'IFERROR(MATCH({map_pick.key}&"|"&{slot},{map_squares.key:all},0),"")', needs="map_pick.key"),
        *(result(
            f"square_{number}", str(int(number)),
            'IF(OR(SUM({map_rows.driven_%s@at})<={map_pick.least},{map_rows.sprayed_%s@at}=""),"",'
            'ROUND(100*MIN(1,{map_rows.sprayed_%s@at}/{map_rows.driven_%s@at}*{map_pick.scale}),6))'
            % ((number,) * 4), "number", digits=0, needs="at", twin=maps.square,
            takes=f"map_rows.driven_{number}@at map_rows.sprayed_{number}@at map_pick.least map_pick.scale",
        ) for number in SQUARES),
    ),
    rows="list:map_side",
    kind="working",
    sheet="Spray map drawing",
)


def _listed(key: str, header: str, column: str, quantity: str, **more: Any) -> Column:
    return result(key, header, "{%s@at}" % column, quantity, needs="at", **more)


MAP_SPOTS = Table(
    "map_spots",
    "Its hot spots",
    "The ten hot spots of the chosen map with most extra spray; all of them stand further right, with room "
    "for notes.",
    (
        slot_number(),
        working("at", "Row of the hot spot",
                'IFERROR(MATCH({map_pick.key}&"|"&{slot},{hot_spot_facts.key:all},0),"")',
                needs="map_pick.key"),
        result("where", "Where",
               '{slot}&": "&{hot_spot_facts.lies@at}&IF({hot_spots.map_row@at}="","",'
               '" (row "&{hot_spots.map_row@at}&", column "&{hot_spots.map_column@at}&")")', "name",
               needs="at", width=30),
        result("area", "Area", or_blank("hot_spots.area@at"), "area", needs="at"),
        _listed("extra_sprayed", "Extra", "hot_spot_facts.extra_sprayed", "area",
                note="Sprayed beyond what its ground would take elsewhere in the field."),
        _listed("cost", "Cost", "hot_spot_facts.cost", "money"),
        _listed("scout_on", "Look on", "hot_spot_facts.scout_on", "date"),
        result("overlay", "Lies with", '{hot_spots.overlay@at}&""', "name", needs="at"),
        result("seen_before", "Before", '{hot_spots.seen_before@at}&""', "name", needs="at"),
    ),
    rows="list:map_spots",
    kind="result",
    shows="hot_spots",
)

TABLES = (
    MAP_PASSES, MAP_ROWS, HOT_SPOTS, MAP_OVERLAYS, MAP_RECURRENCE, MAP_CHOICE, MAP_SETTINGS,
    MAP_SQUARES, MAP_CHECKS, SPOT_FACTS, OVERLAY_SAYS, MAP_PICK, MAP_SHEET, MAP_DRAWING, MAP_SPOTS,
)
