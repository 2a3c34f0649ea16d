"""Conditions of the day: what the labels allow, what was read in the field, and go, wait or no."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, NamedTuple

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import check, or_blank, part_of, result, working, worst_status
from workbook_builder.features.as_logged.columns import SHEET, logged
from workbook_builder.features.labels.columns import product_columns
from workbook_builder.features.loads.lines import counted, first_and_more, marked, outermost
from workbook_builder.features.records.inputs import SPRAY_LOG
from workbook_builder.features.weather import definitions as weather

DRIFT_CAUTION = ("Readings hold for the minute they were taken: look again at every fill, and stop when wind "
                 "or neighbours say so.")

WEATHER_LIMITS = Table(
    "weather_limits",
    "Weather limits",
    "One row per product whose label was read for weather: wind, temperature, rain and downwind distance; "
    "blank where the label is silent.",
    (
        Column("product", "Product", "name", required=True, choices="products.product",
               note="Choose from the products."),
        Column("wind_min", "Lowest wind", "speed", minimum=0, maximum=100,
               note="Label figure; blank where it gives none, then the advised range counts."),
        Column("wind_max", "Highest wind", "speed", minimum=0, maximum=200,
               note="Label figure; blank where it gives none, then the advised range counts."),
        Column("temperature_min", "Lowest temperature", "temperature", minimum=-60, maximum=140,
               note="Label figure; blank where it gives none."),
        Column("temperature_max", "Highest temperature", "temperature", minimum=-60, maximum=140,
               note="Label figure, for the field and the forecast high."),
        Column("no_rain_hours", "No rain forecast for", "hours", digits=0, minimum=0, maximum=500,
               note="Hours without rain in the forecast that the label demands."),
        Column("buffer_distance", "Downwind distance", "length", digits=0, minimum=0, maximum=20000,
               note="Distance the label demands to downwind sensitive areas."),
        Column("after_sunrise_hours", "Hours after sunrise", "hours", digits=1, minimum=0, maximum=12,
               note="Label figure: start no sooner than this after sunrise; 0 for sunrise itself, blank "
                    "where it gives none."),
        Column("before_sunset_hours", "Hours before sunset", "hours", digits=1, minimum=0, maximum=12,
               note="Label figure: stop no later than this before sunset; 0 for sunset itself, blank where "
                    "it gives none."),
        Column("never_toward", "Never toward sensitive areas", choices=("yes", "no"),
               note="yes: the label forbids wind toward them at any distance."),
    ),
    caution="The label in your hand governs; these figures are typed in by people.",
)

CONDITIONS = Table(
    "conditions",
    "Weather readings",
    "Readings on the day, one row each time someone looks; the one nearest the start of its pass counts, and "
    "one of another day releases nothing.",
    (
        Column("pass", "Pass", "name", required=True, choices="cost_pass_names.pass",
               note="As named in Passes."),
        Column("field", "Field", "name", required=True, choices="fields.field",
               note="Choose from the fields."),
        Column("date", "Date", "date", note="Day of the reading; blank releases nothing."),
        Column("time", "Time", "time", note="Clock time of the reading; blank releases nothing."),
        Column("temperature", "Temperature", "temperature", minimum=-60, maximum=140,
               note="Air temperature in the field."),
        Column("forecast_high", "Forecast high", "temperature", minimum=-60, maximum=140,
               note="Highest temperature forecast for the day; needed where a label limits the temperature."),
        Column("humidity", "Relative humidity", "percent", digits=0, minimum=0, maximum=100,
               note="Percent, for instance 55."),
        Column("wind", "Wind", "speed", minimum=0, maximum=200, note="Speed at boom height."),
        Column("wind_from", "Wind from", "name", note="Compass direction the wind comes from."),
        Column("toward_sensitive", "Toward sensitive areas", choices=("yes", "no"),
               note="yes when sensitive crops, homes, water or listed habitat lie downwind."),
        Column("sensitive_distance", "Distance to them", "length", digits=0, minimum=0, maximum=100000,
               note="From the edge of the spray to the nearest one downwind."),
        Column("inversion_signs", "Signs of an inversion", choices=("yes", "no"),
               note="yes: smoke or dust hangs, ground fog, dew with clear sky and no wind."),
        Column("rain_in_hours", "Rain forecast in", "hours", digits=0, minimum=0, maximum=500,
               note="Hours until rain is forecast; 99 when none is in sight."),
        Column("notes", "Notes", "long_text", note="Who looked, and from where."),
    ),
    caution=DRIFT_CAUTION,
    was=("Readings",),
)

WEATHER_FACTS = Table(
    "weather_facts",
    "Weather limit workings",
    "The product of each row of weather limits; two names of one registration are one product.",
    product_columns("weather_limits"),
    rows="as:weather_limits",
    kind="working",
    sheet="Workings records",
)

_ALL_NAMES = "{weather_facts.product_no:all},{product_limits.product_no}"


def _of_product(key: str, header: str, quantity: str, pick: str) -> Column:
    """The strictest figure that a label row under any name of the product gives."""
    figures = "{weather_limits.%s:all}" % key
    return working(key, header,
                   f'IF({{rows}}=0,"",IF(COUNTIFS({_ALL_NAMES},{figures},">-1000")=0,"",'
                   f'_xlfn.{pick}({figures},{_ALL_NAMES})))', quantity)


LINE_WEATHER = Table(
    "line_weather",
    "Weather workings",
    "Weather limits of each product of each pass.",
    (
        working("rows", "Weather rows of it", 'IF({product_limits.product_no}="",0,COUNTIF(' + _ALL_NAMES
                + "))", "count"),
        _of_product("wind_min", "Lowest wind", "speed", "MAXIFS"),
        _of_product("wind_max", "Highest wind", "speed", "MINIFS"),
        _of_product("temperature_min", "Lowest temperature", "temperature", "MAXIFS"),
        _of_product("temperature_max", "Highest temperature", "temperature", "MINIFS"),
        _of_product("no_rain_hours", "No rain for", "hours", "MAXIFS"),
        _of_product("buffer_distance", "Downwind distance", "length", "MAXIFS"),
        _of_product("after_sunrise_hours", "Hours after sunrise", "hours", "MAXIFS"),
        _of_product("before_sunset_hours", "Hours before sunset", "hours", "MAXIFS"),
        working("toward", "Never toward",
                f'IF({{rows}}=0,0,IF(COUNTIFS({_ALL_NAMES},{{weather_limits.never_toward:all}},"yes")>0,'
                f'1,0))', "count"),
        working("missing", "Label not read", marked("AND({product_limits.needed}=1,{rows}=0)"), "count"),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet="Workings records",
)


def _strictest(key: str, header: str, quantity: str, how: str) -> Column:
    return result(key, header, outermost(f"line_weather.{key}", how), quantity)


def _latest_of_labels(key: str, header: str) -> Column:
    return working(f"label_{key}", f"Labels: {header.lower()}", outermost(f"line_weather.{key}"), "hours")


def _offset(key: str, header: str) -> Column:
    """Hours kept from the edge of the day: the most that a label or the terms of the spot sprayer ask for."""
    spot = "IF({daylight.wanted}=0,0,SUM({spot_terms.%s@spot_uses.term_row}))" % key
    return result(key, header, 'IF({bounded}=0,"",MAX(SUM({label_%s}),%s))' % (key, spot), "hours", digits=1)


def _place_in_light(moment: str) -> str:
    """Where a moment lies: in the window where there is one, else in daylight."""
    return (
        'IF({opens}<>"",IF(%s<{opens},"before the window",IF(%s>{closes},"after the window","in the '
        'window")),'
        'IF(%s<{sunrise},"before sunrise",IF(%s>{sunset},"after sunset","in daylight")))' % ((moment,) * 4)
    )


_START = "label_bound light daylight.sun sunrise pass_times.end_known pass_times.end closes"
_LIGHT = (
    _latest_of_labels("after_sunrise_hours", "Hours after sunrise"),
    _latest_of_labels("before_sunset_hours", "Hours before sunset"),
    working("label_bound", "A label names the time of day",
            'IF(AND({label_after_sunrise_hours}="",{label_before_sunset_hours}=""),0,1)', "count"),
    working("bounded", "Bound to a time of day", "IF(OR({label_bound}=1,{daylight.wanted}=1),1,0)", "count"),
    result("sunrise", "Sunrise", "{daylight.sunrise}", "moment",
           source="NOAA solar calculation sheet, after Meeus, Astronomical Algorithms"),
    result("sunset", "Sunset", "{daylight.sunset}", "moment",
           source="NOAA solar calculation sheet, after Meeus, Astronomical Algorithms"),
    _offset("after_sunrise_hours", "Hours after sunrise"),
    _offset("before_sunset_hours", "Hours before sunset"),
    result("opens", "May start from", "{sunrise}+{after_sunrise_hours}/24", "moment",
           needs="sunrise after_sunrise_hours",
           twin=lambda sunrise, hours: sunrise + hours / 24, takes="sunrise after_sunrise_hours"),
    result("closes", "Must stop by", "{sunset}-{before_sunset_hours}/24", "moment",
           needs="sunset before_sunset_hours",
           twin=lambda sunset, hours: sunset - hours / 24, takes="sunset before_sunset_hours"),
    result("light", "Start lies",
           'IF({daylight.sun}<>"","on a day when "&{daylight.sun},IF({sunrise}="","",%s))'
           % _place_in_light("{pass_times.start}"), "text",
           needs="pass pass_times.clock", twin=weather.place_in_light,
           takes="pass_times.start sunrise sunset opens closes daylight.sun"),
    check("light_status", "Time of day",
          'IF({label_bound}=0,"",IF({daylight.sun}<>"",IF({daylight.sun}="the sun does not rise","Not '
          'allowed","Review"),IF({light}="","Not entered",'
          'IF({light}<>"in the window","Not allowed",IF({pass_times.end_known}<>1,"OK",'
          'IF({pass_times.end}>{closes},"Review","OK"))))))',
          twin=part_of(weather.start_outcome, 0), takes=_START),
    check("light_finding", "Time of day finding",
          'IF({daylight.sun}<>"","On this day "&{daylight.sun}&": the hours of the labels cannot be counted '
          'from it",'
          'IF({light_status}="Not allowed","Start lies "&{light}&" that the labels leave in the day",'
          'IF({light_status}="Review","Work lasts past the window that the labels leave in the day",'
          'IF({light_status}="Not entered",IF({sunrise}="","Date, latitude, longitude or a time zone of the '
          'list not entered","Start time not entered"),""))))', "long_text",
          needs="light_status", twin=part_of(weather.start_outcome, 1), takes=_START),
)

PASS_WEATHER = Table(
    "pass_weather",
    "Weather by pass",
    "The strictest weather limits of the products in each pass, and what the reading nearest the start says.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        _strictest("wind_min", "Lowest wind", "speed", "MAX"),
        _strictest("wind_max", "Highest wind", "speed", "MIN"),
        _strictest("temperature_min", "Lowest temperature", "temperature", "MAX"),
        _strictest("temperature_max", "Highest temperature", "temperature", "MIN"),
        _strictest("no_rain_hours", "No rain forecast for", "hours", "MAX"),
        _strictest("buffer_distance", "Downwind distance", "length", "MAX"),
        working("toward", "Never toward", 'IF(%s>0,1,0)' % counted("line_weather.toward", 1), "count"),
        result("missing", "Label not read for", first_and_more("line_weather.missing"), "name"),
        working("readings", "Readings", "COUNTIF({condition_checks.pass_row:all},{pass_rows.row_no})",
                "count"),
        working("timely", "Readings of its day or night with their time",
                'COUNTIFS({condition_checks.pass_row:all},{pass_rows.row_no},'
                '{condition_checks.reading_key:all},">0")', "count"),
        working("reading_row", "Reading nearest the start",
                'IF({timely}=0,"",MATCH(_xlfn.MINIFS({condition_checks.reading_key:all},'
                '{condition_checks.pass_row:all},{pass_rows.row_no}),{condition_checks.reading_key:all},0))'),
        result("verdict", "Reading nearest the start says",
               'IF({readings}=0,"",IF({reading_row}="","wait",{condition_checks.verdict@reading_row}))',
               "text", width=14, was=("Last reading says",)),
        check("status", "Status",
              'IF({log_weather.status}<>"",{log_weather.status},IF({readings}=0,"",IF({reading_row}="","Not '
              'entered",{condition_checks.status@reading_row})))',
              note="Of a pass that was sprayed by the log, and by the reading for what the log does "
                   "not say."),
        check("finding", "Reason",
              'IF({log_weather.status}<>"",{log_weather.reason},IF({readings}=0,"",IF({reading_row}<>"",'
              '{condition_checks.reason@reading_row},'
              'IF({pass_times.clock}="","start time of the pass not entered","no reading of the day of the '
              'pass with its time"))))', "long_text"),
        *_LIGHT,
    ),
    rows="as:passes",
    kind="result",
    caution=DRIFT_CAUTION,
)


_LIGHT_NOW = (
    # Clock times in the day of the pass.
    *(result(key, header,
             f'IF({{pass_weather.{key}@pass_row}}="","",'
             f"{{pass_weather.{key}@pass_row}}-{{pass_times.day@pass_row}})", "time", needs="pass_row",
             twin=lambda moment, day: "" if moment == "" else moment - day,
             takes=f"pass_weather.{key}@pass_row pass_times.day@pass_row")
      for key, header in (("sunrise", "Sunrise"), ("sunset", "Sunset"), ("opens", "May start from"),
                          ("closes", "Must stop by"))),
    working("bounded", "Bound to a time of day", 'IF({pass_row}="",0,{pass_weather.bounded@pass_row})',
            "count"),
    working("sun", "Sun that does not rise or set", "{daylight.sun@pass_row}", "text", needs="pass_row"),
    result("light", "Reading lies", 'IF({sun}<>"","on a day when "&{sun},IF({sunrise}="","",%s))'
           % _place_in_light("{time}"), "text",
           needs="time", twin=weather.place_in_light, takes="time sunrise sunset opens closes sun",
           note="By the sun of the day the pass is planned for or was sprayed."),
)


class _Topic(NamedTuple):
    """What a reading or the log of a pass is judged by: formulas of status and finding,
    and the function that judges apart from them.
    """

    key: str
    header: str
    judge: Callable[..., weather.Outcome]
    takes: str
    status: str
    finding: str
    needs: str = "pass_row"


#: The log may tell of two winds and temperatures, a reading of one; `calm` and `cold` are the lower ones,
#: `air` is that at the start.
_SHARED = (
    _Topic("wind", "Wind", weather.wind_outcome,
           "conditions.calm conditions.wind wind_min wind_max assumptions.wind_low assumptions.wind_high "
           "missing",
           'IF({conditions.wind}="","Not entered",IF(AND({wind_max}<>"",{conditions.wind}>SUM({wind_max})),'
           '"Not allowed",'
           'IF(AND({wind_min}<>"",{conditions.calm}<SUM({wind_min})),"Not allowed",IF({missing}<>"",'
           '"Not entered",'
           'IF(OR(AND({wind_max}="",{conditions.wind}>wind_high),AND({wind_min}="",'
           '{conditions.calm}<wind_low)),"Review","OK")))))',
           'IF({wind_status}="Not entered",IF({conditions.wind}="","wind not read","weather on the label not '
           'entered: "&{missing}),IF({wind_status}="Not allowed","wind outside the label range",'
           'IF({wind_status}="Review",IF(AND({wind_min}="",{conditions.calm}<wind_low),"wind below the '
           'advised range: suspect an inversion","wind above the advised range"),"")))'),
    _Topic("temperature", "Temperature", weather.temperature_outcome,
           "conditions.cold conditions.temperature conditions.forecast_high temperature_min temperature_max",
           'IF({conditions.temperature}="","Not entered",IF(AND({temperature_max}<>"",'
           '{hottest}>SUM({temperature_max})),"Not allowed",'
           'IF(AND({temperature_min}<>"",{conditions.cold}<SUM({temperature_min})),"Not allowed",'
           'IF(AND({temperature_max}<>"",{conditions.forecast_high}=""),"Not entered","OK"))))',
           'IF({temperature_status}="Not entered",IF({conditions.temperature}="","temperature not read",'
           '"forecast high not entered, a label limits it"),'
           'IF({temperature_status}="Not allowed","temperature or forecast outside the label range",""))'),
    _Topic("delta", "Delta T", weather.delta_outcome,
           "delta_t celsius conditions.humidity assumptions.delta_t_low assumptions.delta_t_high",
           'IF({delta_t}="",IF(OR({celsius}="",{conditions.humidity}=""),"Not entered","Review"),'
           'IF(OR({delta_t}<delta_t_low,{delta_t}>delta_t_high),"Review","OK"))',
           'IF({delta_status}="Not entered","humidity or temperature not read",IF({delta_status}="Review",'
           'IF({delta_t}="","delta T outside the range of the method",'
           'IF({delta_t}<delta_t_low,"delta T low: droplets hang","delta T high: droplets dry out")),""))'),
    _Topic("inversion", "Inversion", weather.inversion_outcome,
           "conditions.inversion_signs conditions.calm assumptions.wind_low",
           'IF({conditions.inversion_signs}="yes","Not allowed",IF({conditions.inversion_signs}="no","OK",'
           'IF(AND({conditions.calm}<>"",SUM({conditions.calm})>=wind_low),"OK","Not entered")))',
           'IF({inversion_status}="Not allowed","signs of an inversion",IF({inversion_status}="Not entered",'
           '"look for an inversion",""))'),
    _Topic("downwind", "Downwind", weather.downwind_outcome,
           "conditions.toward_sensitive conditions.sensitive_distance buffer toward",
           'IF({conditions.toward_sensitive}="","Not entered",IF({conditions.toward_sensitive}="no","OK",'
           'IF({toward}=1,"Not allowed",'
           'IF(OR({buffer}="",{conditions.sensitive_distance}=""),"Not entered",'
           'IF({conditions.sensitive_distance}<{buffer},"Not allowed","OK")))))',
           'IF({downwind_status}="Not entered",IF({conditions.toward_sensitive}="","downwind neighbours not '
           'looked at",IF({buffer}="","downwind distance of the label not entered","distance to sensitive '
           'area not entered")),'
           'IF({downwind_status}="Not allowed",IF({toward}=1,"wind toward a sensitive area","too close to a '
           'downwind sensitive area"),""))'),
    _Topic("rain", "Rain", weather.rain_outcome, "conditions.rain_in_hours no_rain rain_free",
           'IF({conditions.rain_in_hours}="","Not entered",'
           'IF(AND({no_rain}<>"",{conditions.rain_in_hours}<SUM({no_rain})),"Not allowed",'
           'IF(AND({rain_free}<>"",{conditions.rain_in_hours}<SUM({rain_free})),"Review","OK")))',
           'IF({rain_status}="Not entered","rain forecast not entered",IF({rain_status}="Not allowed",'
           '"rain forecast sooner than the label allows",'
           'IF({rain_status}="Review","rain forecast within the rain-free hours","")))'),
)
_DAY = _Topic("day", "Day", weather.day_outcome, "date time pass_day",
              'IF(OR({date}="",{time}="",{pass_day}=""),"Not entered",IF({date}={pass_day},"OK",'
              '"Not entered"))',
              'IF({day_status}<>"Not entered","",IF({pass_day}="","date of the pass not entered",'
              'IF({date}="","day of the reading not entered",'
              'IF({date}<>{pass_day},"reading of another day","time of the reading not entered"))))')
_TIME_OF_DAY = _Topic("light", "Time of day", weather.light_outcome, "bounded light time sun",
                      'IF({bounded}=0,"",IF({sun}<>"",IF({sun}="the sun does not rise","Not allowed",'
                      '"Review"),IF({light}="","Not entered",IF({light}="in the window","OK",'
                      '"Not allowed"))))',
                      'IF(AND({bounded}=1,{sun}<>""),"on this day "&{sun},IF({light_status}="Not allowed",'
                      '"time of the reading "&{light}&" of daylight",'
                      'IF({light_status}="Not entered",IF({time}="","time of the reading not entered",'
                      '"date, place or time zone for the sun not entered"),"")))', needs="")
_TOPICS = (_DAY, *_SHARED, _TIME_OF_DAY)

Swap = Callable[[str], str]


def _worded(text: str, swap: Swap) -> str:
    """Return a formula with its tokens exchanged."""
    return re.sub(r"\{([a-z_.0-9]+)\}", lambda found: "{%s}" % swap(found[1]), text)


def _taken(tokens: str, swap: Swap) -> str:
    return " ".join(map(swap, tokens.split()))


def _finding(topic: _Topic, swap: Swap) -> Column:
    status = f"{topic.key}_status"
    return working(f"{topic.key}_finding", f"{topic.header} finding", _worded(topic.finding, swap), "text",
                   takes=f"{status} {_taken(topic.takes, swap)}",
                   twin=lambda status, *cells: topic.judge(*cells)[1] if status else "")


def _delta(air: str, humidity: str) -> tuple[Column, ...]:
    """Delta T by the cells that hold air temperature and humidity."""
    wet = (f"{{celsius}}*ATAN(0.151977*SQRT({{{humidity}}}+8.313659))+ATAN({{celsius}}+{{{humidity}}})"
           f"-ATAN({{{humidity}}}-1.676331)")
    return (
        working("celsius", "Temperature in deg C", f"({{{air}}}-temperature_zero)*temperature_step",
                "delta_t", needs=air,
                twin=lambda air, zero, step: (air - zero) * step,
                takes=f"{air} factors.temperature_zero factors.temperature_step"),
        working("in_range", "Within the method's range",
                f'IF(OR({{celsius}}="",{{{humidity}}}=""),0,IF(AND({{{humidity}}}>=5,{{{humidity}}}<=99,'
                f'{{celsius}}>=-20,{{celsius}}<=50),1,0))', "count",
                twin=lambda celsius, humidity: int("" not in (celsius, humidity)
                                                   and weather.formula_holds(celsius, humidity)),
                takes=f"celsius {humidity}"),
        working("wet_1", "Wet bulb, first terms", f'IF({{in_range}}=0,"",{wet})', "factor",
                takes=f"in_range celsius {humidity}",
                twin=lambda holds, *read: weather.wet_bulb_first_terms(*read) if holds else ""),
        working("wet_bulb", "Wet bulb in deg C",
                f"{{wet_1}}+0.00391838*POWER({{{humidity}}},1.5)*ATAN(0.023101*{{{humidity}}})-4.686035",
                "delta_t",
                needs="wet_1", twin=weather.wet_bulb, takes=f"celsius {humidity}"),
        result("delta_t", "Delta T", "{celsius}-{wet_bulb}", "delta_t", tolerance=1e-6, needs="wet_bulb",
               twin=weather.delta_t, takes=f"celsius {humidity}",
               note="Air less wet-bulb temperature, near sea level; from 5 to 99 % humidity and -20 to 50 "
                    "deg C.",
               source="Stull 2011, J. Appl. Meteor. Climatol. 50:2267-2269"),
    )


def _of_reading(token: str) -> str:
    one = {"calm": "wind", "cold": "temperature", "air": "temperature"}
    table, _, key = token.rpartition(".")
    return f"conditions.{one.get(key, key)}" if table == "conditions" else token


def _limit(key: str, header: str, quantity: str, source: str = "") -> Column:
    return working(key, header, "{%s@pass_row}" % (source or f"pass_weather.{key}"), quantity,
                   needs="pass_row")


CONDITION_CHECKS = Table(
    "condition_checks",
    "Go or wait",
    "Each reading against the labels of the mix and the advised ranges: go, wait or no, with the reason.",
    (
        *(result(key, header, "{conditions.%s}" % key, quantity, needs=f"conditions.{key}")
          for key, header, quantity in (("pass", "Pass", "name"), ("field", "Field", "name"),
                                        ("date", "Date", "date"), ("time", "Time", "time"))),
        working("pass_row", "Pass row", 'IFERROR(MATCH({pass}&"|"&{field},{pass_volumes.key:all},0),"")',
                needs="pass"),
        _limit("pass_day", "Day of the pass", "date", "pass_times.day"),
        working("reading_key", "Reading key",
                'IF(OR({date}="",{time}="",{pass_day}="",{pass_times.clock@pass_row}=""),"",'
                'IF(AND({date}<>{pass_day},OR({date}<{pass_day},'
                'ROUND({date}+{time}-{pass_times.start@pass_row},6)>0.5)),"",'
                "{pass_row}*1000000+2*ROUND(ABS({date}+{time}-{pass_times.start@pass_row})*86400,"
                "0)+IF({date}+{time}>{pass_times.start@pass_row},1,0)))",
                needs="pass_row", twin=weather.reading_key,
                takes="pass_row date time pass_day pass_times.clock@pass_row pass_times.start@pass_row",
                note="Seconds from the start, twice, one more after it; blank where the reading is not of "
                     "the day of the pass nor of the night that follows."),
        check("verdict", "Verdict", 'IF({status}="OK","go",IF({status}="Not allowed","no","wait"))', "text",
              width=10, needs="status",
              note="no: a label figure is broken; wait: look again or fill in what is missing; go: nothing "
                   "against it in what was typed."),
        check("reason", "Reason",
              'IF({status}="OK","",MID(%s,3,250))'
              % "&".join('IF({%s_status}={status},"; "&{%s_finding},"")' % ((topic.key,) * 2)
                         for topic in _TOPICS),
              "long_text", needs="status"),
        check("status", "Status", worst_status("{day_status}:{light_status}"), needs="pass_row"),
        *_LIGHT_NOW,
        _limit("wind_min", "Lowest wind", "speed"),
        _limit("wind_max", "Highest wind", "speed"),
        _limit("missing", "Label not read for", "name"),
        _limit("temperature_min", "Lowest temperature", "temperature"),
        _limit("temperature_max", "Highest temperature", "temperature"),
        working("hottest", "Hottest of reading and forecast",
                "MAX({conditions.temperature},{conditions.forecast_high})", "temperature"),
        _limit("no_rain", "No rain for", "hours", "pass_weather.no_rain_hours"),
        _limit("rain_free", "Rain-free hours", "hours", "intervals.rain_hours"),
        _limit("buffer", "Downwind distance", "length", "pass_weather.buffer_distance"),
        working("toward", "Never toward", 'IF({pass_row}="",0,{pass_weather.toward@pass_row})', "count"),
        *_delta("conditions.temperature", "conditions.humidity"),
        *(check(f"{topic.key}_status", topic.header, _worded(topic.status, _of_reading), needs=topic.needs,
                twin=part_of(topic.judge, 0), takes=_taken(topic.takes, _of_reading)) for topic in _TOPICS),
        *(_finding(topic, _of_reading) for topic in _TOPICS),
    ),
    rows="as:conditions",
    kind="result",
    caution=DRIFT_CAUTION,
)

_LOG_WIND, _LOG_AIR = "COUNT({wind_start},{wind_end})>0", "COUNT({temperature_start},{temperature_end})>0"
#: What lets each topic be judged of a pass that was sprayed, beside any reading: the log tells of it, or a
#: label limits it.
_TOLD = {
    "wind": "wind_start wind_end pass_weather.wind_min pass_weather.wind_max",
    "temperature": "temperature_start temperature_end pass_weather.temperature_min "
                   "pass_weather.temperature_max",
    "delta": "delta_t", "inversion": "wind_start wind_end",
    "downwind": "pass_weather.buffer_distance pass_weather.toward", "rain": "pass_weather.no_rain_hours",
}
#: Never toward sensitive areas is told by 1 or 0, all else by a figure or a blank.
_FLAG = "pass_weather.toward"
_SOURCES = {"no_rain": "pass_weather.no_rain_hours", "rain_free": "intervals.rain_hours",
            "buffer": "pass_weather.buffer_distance"} | {
key: f"pass_weather.{key}" for key in ("wind_min", "wind_max", "missing", "temperature_min",
                                       "temperature_max", "toward")
}


def _of_log(token: str) -> str:
    return _SOURCES.get(token, token.removeprefix("conditions."))


def _logged_status(topic: _Topic) -> Column:
    told = _TOLD[topic.key].split()
    tests = ",".join("{%s}=1" % token if token == _FLAG else '{%s}<>""' % token for token in told)

    def judged(readings: int, *cells: Any) -> str:
        known = any(cell == 1 if token == _FLAG else cell != ""
                    for token, cell in zip(told, cells, strict=False))
        return topic.judge(*cells[len(told) :])[0] if readings or known else ""

    return check(f"{topic.key}_status", topic.header,
                 f'IF(OR({{pass_weather.readings}}>0,{tests}),{_worded(topic.status, _of_log)},"")',
                 needs="pass_times.log_day",
                 twin=judged, takes=f"pass_weather.readings {_TOLD[topic.key]} "
                                    f"{_taken(topic.takes, _of_log)}")


def _read(key: str) -> str:
    """What the reading nearest the start says."""
    return 'IF({pass_weather.reading_row}="","",%s)' % or_blank(f"conditions.{key}@pass_weather.reading_row")


def _logged(key: str, header: str, quantity: str, value: str, known: str, read: str) -> Column:
    return working(key, header, f"IF({known},{value},{_read(read)})", quantity, needs="pass_times.log_day")


LOG_WEATHER = Table(
    "log_weather",
    "As logged, weather",
    "Weather of each pass that was sprayed: what the log says, and for what it does not say the reading "
    "nearest the start.",
    (
        *(logged(key, column.header, key, column.quantity) for key, column in SPRAY_LOG.by_key.items()
          if key in ("wind_start", "wind_end", "temperature_start", "temperature_end")),
        logged("damp", "Relative humidity, logged", "humidity", "percent"),
        _logged("wind", "Highest wind", "speed", "MAX({wind_start},{wind_end})", _LOG_WIND, "wind"),
        _logged("calm", "Lowest wind", "speed", "MIN({wind_start},{wind_end})", _LOG_WIND, "wind"),
        _logged("temperature", "Highest temperature", "temperature",
                "MAX({temperature_start},{temperature_end})", _LOG_AIR, "temperature"),
        _logged("cold", "Lowest temperature", "temperature", "MIN({temperature_start},{temperature_end})",
                _LOG_AIR, "temperature"),
        working("air", "Temperature at start", 'IF({temperature_start}="",{temperature},{temperature_start})',
                "temperature"),
        _logged("humidity", "Relative humidity", "percent", "{damp}", '{damp}<>""', "humidity"),
        *(working(key, column.header, _read(key), column.quantity, needs="pass_times.log_day")
          for key, column in CONDITIONS.by_key.items()
          if key in ("forecast_high", "toward_sensitive", "sensitive_distance", "inversion_signs",
                     "rain_in_hours")),
        working("hottest", "Hottest of log and forecast", "MAX({temperature},{forecast_high})",
                "temperature"),
        *_delta("air", "humidity"),
        *(_logged_status(topic) for topic in _SHARED),
        *(_finding(topic, _of_log) for topic in _SHARED),
        check("status", "Status", worst_status("{wind_status}:{rain_status}")),
        working("told", "The log tells of weather",
                "COUNT({wind_start},{wind_end},{temperature_start},{temperature_end},{damp})", "count"),
        check("reason", "Reason", 'IF({status}="OK","",IF({told}=0,"","as logged: ")&MID(%s,3,250))'
              % "&".join('IF({%s_status}={status},"; "&{%s_finding},"")' % (key, key) for key in _TOLD),
              "long_text", needs="status"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

TABLES = (WEATHER_LIMITS, CONDITIONS, CONDITION_CHECKS, PASS_WEATHER, LINE_WEATHER,
          WEATHER_FACTS, LOG_WEATHER)

CHECKS = (
    CheckKind("Time of day", "pass_weather", "light_status", "light_finding", rank=270),
    CheckKind("Conditions of the day", "pass_weather", "status", "finding", rank=280),
)
