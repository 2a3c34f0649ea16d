"""Limits of a spot sprayer: crops covered, speed, rows and daylight."""

from __future__ import annotations

from operator import mul
from typing import Any

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import OK, OPEN_STATUSES, RESULT, Column, Table
from workbook_builder.core.draft import number
from workbook_builder.core.short import check, part_of, result, typed_in, working
from workbook_builder.features.clock.columns import offset_at
from workbook_builder.features.clock.definitions import CLOCK_CELLS, clock_of
from workbook_builder.features.shares.columns import SHEET
from workbook_builder.features.spot_checks.definitions import (
    camera_check,
    daylight_check,
    least_status,
    most_status,
    sun_of,
)
from workbook_builder.features.spot_volumes.lists import with_list

NOAA = "NOAA solar calculation sheet, after Meeus, Astronomical Algorithms"
_PLACE = "pass_times.day farm.latitude farm.longitude"


def _sun(key: str, header: str, formula: str, needs: str = "century", **more: Any) -> Column:
    """Declare where the sun stands at noon of the place."""
    return working(key, header, formula, "factor", needs=needs,
                   twin=lambda *place: getattr(sun_of(*place).sun, key), takes=_PLACE, source=NOAA, **more)


DAYLIGHT = Table(
    "daylight",
    "Daylight workings",
    "Sunrise and sunset on the day of each pass, as logged or else as planned.",
    (
        working("wanted", "Spot pass in daylight only",
                'IF({spot_uses.term_row}="",0,IF({spot_terms.daylight_only@spot_uses.term_row}&""="yes",'
                '1,0))', "count"),
        working("known", "Can be worked out", 'IF({pass_times.day}="",0,{spot_day.place_known})', "count"),
        _sun("century", "Centuries since 2000",
             "({pass_times.day}+2415018.5+0.5-{farm.longitude}/360-2451545)/36525",
             f"{_PLACE} spot_day.zone_row", digits=9, note="At noon of the place."),
        _sun("mean_longitude", "Mean longitude",
             "RADIANS(280.46646+{century}*(36000.76983+0.0003032*{century}))", note="Radians."),
        _sun("anomaly", "Mean anomaly", "RADIANS(357.52911+{century}*(35999.05029-0.0001537*{century}))",
             note="Radians."),
        _sun("eccentricity", "Eccentricity", "0.016708634-{century}*(0.000042037+0.0000001267*{century})"),
        _sun("centre", "Equation of the centre",
             "RADIANS(SIN({anomaly})*(1.914602-{century}*(0.004817+0.000014*{century}))+SIN(2*{anomaly})"
             "*(0.019993-0.000101*{century})+SIN(3*{anomaly})*0.000289)", note="Radians."),
        _sun("node", "Moon's node", "RADIANS(125.04-1934.136*{century})", note="Radians."),
        _sun("apparent", "Apparent longitude",
             "{mean_longitude}+{centre}-RADIANS(0.00569+0.00478*SIN({node}))", note="Radians."),
        _sun("obliquity", "Obliquity",
             "RADIANS(23+(26+(21.448-{century}*(46.815+{century}*(0.00059-0.001813*{century})))/60)/60"
             "+0.00256*COS({node}))", note="Radians."),
        _sun("declination", "Declination", "ASIN(SIN({obliquity})*SIN({apparent}))", note="Radians."),
        _sun("squared", "Half obliquity, tangent squared", "TAN({obliquity}/2)*TAN({obliquity}/2)"),
        _sun("equation", "Equation of time",
             "4*DEGREES({squared}*SIN(2*{mean_longitude})-2*{eccentricity}*SIN({anomaly})+4*{eccentricity}"
             "*{squared}*SIN({anomaly})*COS(2*{mean_longitude})"
             "-0.5*{squared}*{squared}*SIN(4*{mean_longitude})-1.25*{eccentricity}*{eccentricity}"
             "*SIN(2*{anomaly}))", note="Minutes."),
        working("cosine", "Cosine of the hour angle",
                "COS(RADIANS(90.833))/(COS(RADIANS({farm.latitude}))*COS({declination}))"
                "-TAN(RADIANS({farm.latitude}))*TAN({declination})", "factor",
                needs="century", twin=lambda *place: sun_of(*place).cosine, takes=_PLACE, source=NOAA),
        working("sun", "Sun that does not rise or set",
                'IF({cosine}<-1,"the sun does not set",IF({cosine}>1,"the sun does not rise",""))', "text",
                needs="century", twin=lambda *place: sun_of(*place).all_day, takes=_PLACE),
        working("half_day", "Half the day", 'IF({sun}<>"","",4*DEGREES(ACOS({cosine})))', "minutes",
                needs="century", twin=lambda sun, *place: "" if sun else sun_of(*place).half_day,
                takes=f"sun {_PLACE}", note="Blank where the sun does not rise or set on that day."),
        working("offset", "Hours from universal time", offset_at("{pass_times.day}+0.5", "wall"), "hours",
                needs="century", twin=lambda day, *clock: clock_of(*clock).offset(day + 0.5, "wall"),
                takes=f"pass_times.day {CLOCK_CELLS}", note="At noon of the farm's clock."),
        working("noon", "Sun at its highest", "720-4*{farm.longitude}-{equation}+60*{offset}", "minutes",
                needs="century", twin=lambda offset, *place: sun_of(*place).noon + 60 * offset,
                takes=f"offset {_PLACE}", note="Minutes after midnight by the farm's clock.", source=NOAA),
        working("sunrise", "Sunrise", "{pass_times.day}+({noon}-{half_day})/1440", "moment",
                needs="half_day", twin=lambda day, noon, half: day + noon / 1440 - half / 1440,
                takes="pass_times.day noon half_day"),
        working("sunset", "Sunset", "{pass_times.day}+({noon}+{half_day})/1440", "moment",
                needs="half_day", twin=lambda day, noon, half: day + noon / 1440 + half / 1440,
                takes="pass_times.day noon half_day"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)


_AFTER, _BEFORE = ("spot_terms.after_sunrise_hours@spot_uses.term_row",
                   "spot_terms.before_sunset_hours@spot_uses.term_row")
_WORK = ("daylight.wanted daylight.sun hours_kept opens closes pass_times.clock pass_times.start "
         "pass_times.end_known pass_times.end")
_CAMERA = "unseen passes.seen_buffer spot_uses.grown"
#: Checks of one spot pass: key in the sheet -> printed name.
SPOT_LIMITS = {"crop": "Crop covered", "speed": "Top speed", "rows": "Row spacing", "daylight": "Daylight",
               "camera": "What the camera sees"}

SPOT_CHECKS, SPOT_CHECKS_LIST = with_list(Table(
    "spot_checks",
    "Spot checks",
    "Each spot pass against the terms of its sprayer: crop, speed, rows and daylight, and the fee.",
    (
        result("pass", "Pass", "{scout_shares.pass}", "name"),
        result("field", "Field", "{scout_shares.field}", "name"),
        result("use", "Use", "{spot_uses.use}", "text"),
        check("crop_status", "Crop covered",
              'IF(OR({spot_uses.on}=0,{spot_day.terms}=0),"",IF(OR({use}="",{passes.sprayer}=""),'
              '"Not entered",IF({spot_uses.term_row}<>"","OK",'
              'IF(ISNUMBER(MATCH({passes.sprayer},{spot_terms.sprayer:all},0)),"Not allowed",'
              '"Not entered"))))',
              note="Blank while no spot terms are typed at all."),
        check("crop_finding", "Crop finding",
              'IF({crop_status}="Not allowed",{pass_volumes.crop}&": spot spraying "&IF({use}="fallow",'
              '"in fallow","in crop")&" is not covered",'
              'IF({crop_status}="Not entered",IF({use}="","Field is missing","No spot terms for this '
              'sprayer"),""))', "long_text"),
        result("speed", "Speed", 'IF(SUM({pass_times.speed})=0,"",{pass_times.speed})', "speed",
               needs="pass"),
        typed_in("top_speed", "Top speed", "spot_terms.top_speed", "spot_uses.term_row", "speed", RESULT),
        check("speed_status", "Speed status",
              'IF({speed}="","Not entered",IF({speed}>{top_speed},"Not allowed","OK"))', needs="top_speed",
              twin=most_status, takes="speed top_speed"),
        check("speed_finding", "Speed finding",
              'IF({speed_status}="Not allowed","Too fast: "&ROUND(ROUND({speed},6),1)&" where "'
              '&ROUND(ROUND({top_speed},6),1)&" is the most",IF({speed_status}="Not entered",'
              '"Speed of the sprayer not entered",""))', "long_text"),
        typed_in("row_spacing", "Row spacing", "fields.row_spacing", "spot_uses.field_row", "spacing"),
        typed_in("narrowest_row", "Narrowest rows", "spot_terms.narrowest_row", "spot_uses.term_row",
                 "spacing", RESULT),
        check("rows_status", "Row status",
              'IF({use}="fallow","",IF({row_spacing}="","Not entered",IF({row_spacing}<{narrowest_row},"Not '
              'allowed","OK")))',
              needs="narrowest_row", twin=lambda use, *rows: "" if use == "fallow" else least_status(*rows),
              takes="use row_spacing narrowest_row"),
        check("rows_finding", "Row finding",
              'IF({rows_status}="Not allowed","Rows too narrow: "&ROUND(ROUND({row_spacing},6),1)&" where "'
              '&ROUND(ROUND({narrowest_row},6),1)&" is the least",IF({rows_status}="Not entered",'
              '"Row spacing of the field not entered",""))', "long_text"),
        result("sunrise", "Sunrise", 'IF({daylight.wanted}=0,"",{daylight.sunrise})', "moment", source=NOAA),
        result("sunset", "Sunset", 'IF({daylight.wanted}=0,"",{daylight.sunset})', "moment", source=NOAA),
        working("hours_kept", "Hours kept from sunrise and sunset", "IF({daylight.wanted}=0,0,SUM({%s},{%s}))"
                % (_AFTER, _BEFORE), "hours"),
        result("opens", "May start from", "{sunrise}+SUM({%s})/24" % _AFTER, "moment", needs="sunrise",
               twin=lambda sun, hours: sun + number(hours) / 24, takes=f"sunrise {_AFTER}"),
        result("closes", "Must stop by", "{sunset}-SUM({%s})/24" % _BEFORE, "moment", needs="sunset",
               twin=lambda sun, hours: sun - number(hours) / 24, takes=f"sunset {_BEFORE}"),
        check("daylight_status", "Daylight status",
              'IF({daylight.wanted}=0,"",IF({daylight.sun}="the sun does not rise","Not allowed",'
              'IF({daylight.sun}<>"",IF({hours_kept}>0,"Review","OK"),'
              'IF(OR({opens}="",{pass_times.clock}=""),"Not entered",IF(OR({pass_times.start}<{opens},'
              '{pass_times.start}>{closes}),"Not allowed",'
              'IF({pass_times.end_known}<>1,"OK",IF({pass_times.end}>{closes},"Review","OK")))))))',
              twin=part_of(daylight_check, 0), takes=_WORK),
        check("daylight_finding", "Daylight finding",
              'IF(AND({daylight.sun}<>"",{daylight_status}<>"",{daylight_status}<>"OK"),'
              '"On this day "&{daylight.sun}&": no hour of daylight can be counted from it",'
              'IF({daylight_status}="Not allowed",IF({pass_times.start}<{opens},"Starts too early: before '
              'daylight allows","Starts too late: after daylight allows"),'
              'IF({daylight_status}="Review","Work lasts past the end of daylight",IF({daylight_status}="Not '
              'entered",'
              'IF({opens}="","Date, latitude, longitude or a time zone of the list not entered",'
              '"Start time not entered"),""))))', "long_text", twin=part_of(daylight_check, 1), takes=_WORK),
        working("unseen", "Against what a camera cannot see",
                'IF(OR({spot_uses.on}=0,{pass_volumes.mix_no}=""),0,{mix_list.unseen@pass_volumes.mix_no})',
                "count"),
        check("camera_status", "Camera sees it",
              'IF(AND({unseen}=0,SUM({passes.seen_buffer})=0),"",IF({spot_uses.grown}="","Not entered",'
              'IF(SUM({passes.seen_buffer})=0,"Review","OK")))', needs="pass",
              twin=part_of(camera_check, 0), takes=_CAMERA),
        check("camera_finding", "Camera finding",
              'IF({camera_status}="Review","A camera sees no "&IF({unseen}=1,"disease before it shows",'
              'IF({unseen}=2,"hidden insects","disease before it shows and no hidden insects"))'
              '&": type what is sprayed around what it sees, or spray it all",'
              'IF({camera_status}="Not entered","Footprint of the sprayer not entered, so the share with the '
              'buffer is not known",""))', "long_text", needs="pass", twin=part_of(camera_check, 1),
              takes=_CAMERA),
        result("fee", "Fee", "SUM({spot_terms.fee@spot_uses.term_row})", "money_per_area",
               needs="spot_uses.term_row"),
        result("fee_total", "Fee for the field", "{fee}*{pass_volumes.area}", "money",
               needs="fee pass_volumes.area", twin=mul, takes="fee pass_volumes.area"),
        check("status", "Status",
              "".join("IF(OR(" + ",".join('{%s_status}="%s"' % (key, word) for key in SPOT_LIMITS)
                      + f'),"{word}",' for word in (*OPEN_STATUSES, OK)) + '""))))'),
        check("finding", "Finding",
              '{crop_finding}&IF({speed_finding}="","",IF({crop_finding}="","","; ")&{speed_finding})'
              '&IF({rows_finding}="","",IF({crop_finding}&{speed_finding}="","","; ")&{rows_finding})'
              '&IF({daylight_finding}="","",IF({crop_finding}&{speed_finding}&{rows_finding}="","",";'
              ' ")&{daylight_finding})'
              '&IF({camera_finding}="","",IF({crop_finding}&{speed_finding}&{rows_finding}&{daylight_finding}'
              '="","","; ")&{camera_finding})', "long_text"),
    ),
    rows="as:passes",
    kind="result",
    caution="The sprayer's own manual and agreement govern; these checks only compare what was typed in.",
))

TABLES = (SPOT_CHECKS_LIST, SPOT_CHECKS, DAYLIGHT)

CHECKS = (
    CheckKind("Spot limits", "spot_checks", "status", "finding", rank=320),
)
