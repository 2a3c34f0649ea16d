"""Conditions of the day: what the labels allow, what was read in the field, and go, wait or no."""

from __future__ import annotations

from dataclasses import replace

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import check, result, working, worst_status
from workbook_builder.features.as_logged.columns import SHEET, of_log
from workbook_builder.features.labels.columns import product_columns
from workbook_builder.features.records.inputs import SPRAY_LOG

DRIFT_CAUTION = "Readings hold for the minute they were taken: look again at every fill, and stop when wind or neighbours say so."

WEATHER_LIMITS = Table(
    "weather_limits",
    "Weather limits",
    "One row per product whose label was read for weather: wind, temperature, rain and downwind distance; blank where the label is silent.",
    (
        Column("product", "Product", "name", required=True, choices="products.product", note="Choose from the products."),
        Column("wind_min", "Lowest wind", "speed", minimum=0, maximum=100, note="Label figure; blank where it gives none, then the advised range counts."),
        Column("wind_max", "Highest wind", "speed", minimum=0, maximum=200, note="Label figure; blank where it gives none, then the advised range counts."),
        Column("temperature_min", "Lowest temperature", "temperature", minimum=-60, maximum=140, note="Label figure; blank where it gives none."),
        Column("temperature_max", "Highest temperature", "temperature", minimum=-60, maximum=140, note="Label figure, for the field and the forecast high."),
        Column("no_rain_hours", "No rain forecast for", "hours", digits=0, minimum=0, maximum=500, note="Hours without rain in the forecast that the label demands."),
        Column("buffer_distance", "Downwind distance", "length", digits=0, minimum=0, maximum=20000, note="Distance the label demands to downwind sensitive areas."),
        Column("after_sunrise_hours", "Hours after sunrise", "hours", digits=1, minimum=0, maximum=12,
               note="Label figure: start no sooner than this after sunrise; 0 for sunrise itself, blank where it gives none."),
        Column("before_sunset_hours", "Hours before sunset", "hours", digits=1, minimum=0, maximum=12,
               note="Label figure: stop no later than this before sunset; 0 for sunset itself, blank where it gives none."),
        Column("never_toward", "Never toward sensitive areas", choices=("yes", "no"), note="yes: the label forbids wind toward them at any distance."),
    ),
    caution="The label in your hand governs; these figures are typed in by people.",
)

CONDITIONS = Table(
    "conditions",
    "Weather readings",
    "Readings on the day, one row each time someone looks; the one nearest the start of its pass counts, and one of another day releases nothing.",
    (
        Column("pass", "Pass", "name", required=True, choices="cost_pass_names.pass", note="As named in Passes."),
        Column("field", "Field", "name", required=True, choices="fields.field", note="Choose from the fields."),
        Column("date", "Date", "date", note="Day of the reading; blank releases nothing."),
        Column("time", "Time", "time", note="Clock time of the reading; blank releases nothing."),
        Column("temperature", "Temperature", "temperature", minimum=-60, maximum=140, note="Air temperature in the field."),
        Column("forecast_high", "Forecast high", "temperature", minimum=-60, maximum=140, note="Highest temperature forecast for the day; needed where a label limits the temperature."),
        Column("humidity", "Relative humidity", "percent", digits=0, minimum=0, maximum=100, note="Percent, for instance 55."),
        Column("wind", "Wind", "speed", minimum=0, maximum=200, note="Speed at boom height."),
        Column("wind_from", "Wind from", "name", note="Compass direction the wind comes from."),
        Column("toward_sensitive", "Toward sensitive areas", choices=("yes", "no"),
               note="yes when sensitive crops, homes, water or listed habitat lie downwind."),
        Column("sensitive_distance", "Distance to them", "length", digits=0, minimum=0, maximum=100000, note="From the edge of the spray to the nearest one downwind."),
        Column("inversion_signs", "Signs of an inversion", choices=("yes", "no"),
               note="yes: smoke or dust hangs, ground fog, dew with clear sky and no wind."),
        Column("rain_in_hours", "Rain forecast in", "hours", digits=0, minimum=0, maximum=500, note="Hours until rain is forecast; 99 when none is in sight."),
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
    return working(key, header, f'IF({{rows}}=0,"",IF(COUNTIFS({_ALL_NAMES},{figures},">-1000")=0,"",_xlfn.{pick}({figures},{_ALL_NAMES})))', quantity)


LINE_WEATHER = Table(
    "line_weather",
    "Weather workings",
    "Weather limits of each product of each pass.",
    (
        working("rows", "Weather rows of it", 'IF({product_limits.product_no}="",0,COUNTIF(' + _ALL_NAMES + "))", "count"),
        _of_product("wind_min", "Lowest wind", "speed", "MAXIFS"),
        _of_product("wind_max", "Highest wind", "speed", "MINIFS"),
        _of_product("temperature_min", "Lowest temperature", "temperature", "MAXIFS"),
        _of_product("temperature_max", "Highest temperature", "temperature", "MINIFS"),
        _of_product("no_rain_hours", "No rain for", "hours", "MAXIFS"),
        _of_product("buffer_distance", "Downwind distance", "length", "MAXIFS"),
        _of_product("after_sunrise_hours", "Hours after sunrise", "hours", "MAXIFS"),
        _of_product("before_sunset_hours", "Hours before sunset", "hours", "MAXIFS"),
        working("toward", "Never toward", f'IF({{rows}}=0,0,IF(COUNTIFS({_ALL_NAMES},{{weather_limits.never_toward:all}},"yes")>0,1,0))', "count"),
        working("missing", "Label not read", "IF(AND({product_limits.needed}=1,{rows}=0),1,0)", "count"),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet="Workings records",
)


def _strictest(key: str, header: str, quantity: str, how: str) -> Column:
    block = "{line_weather.%s:block}" % key
    return result(key, header, f'IF(COUNT({block})=0,"",{how}({block}))', quantity)


_FIRST_MISSING = "{line_weather.missing:block}"


def _latest_of_labels(key: str, header: str) -> Column:
    block = "{line_weather.%s:block}" % key
    return working(f"label_{key}", f"Labels: {header.lower()}", f'IF(COUNT({block})=0,"",MAX({block}))', "hours")


def _offset(key: str, header: str) -> Column:
    """Hours kept from the edge of the day: the most that a label or the terms of the spot sprayer ask for."""
    spot = 'IF({daylight.wanted}=0,0,SUM(INDEX({spot_terms.%s:all},{spot_uses.term_row})))' % key
    return result(key, header, 'IF({bounded}=0,"",MAX(SUM({label_%s}),%s))' % (key, spot), "hours", digits=1)


def _place_in_light(moment: str) -> str:
    """Where a moment lies: in the window where there is one, else in daylight."""
    return (
        'IF({opens}<>"",IF(%s<{opens},"before the window",IF(%s>{closes},"after the window","in the window")),'
        'IF(%s<{sunrise},"before sunrise",IF(%s>{sunset},"after sunset","in daylight")))' % ((moment,) * 4)
    )


_LIGHT = (
    _latest_of_labels("after_sunrise_hours", "Hours after sunrise"),
    _latest_of_labels("before_sunset_hours", "Hours before sunset"),
    working("label_bound", "A label names the time of day", 'IF(AND({label_after_sunrise_hours}="",{label_before_sunset_hours}=""),0,1)', "count"),
    working("bounded", "Bound to a time of day", "IF(OR({label_bound}=1,{daylight.wanted}=1),1,0)", "count"),
    result("sunrise", "Sunrise", "{daylight.sunrise}", "moment", source="NOAA solar calculation sheet, after Meeus, Astronomical Algorithms"),
    result("sunset", "Sunset", "{daylight.sunset}", "moment", source="NOAA solar calculation sheet, after Meeus, Astronomical Algorithms"),
    _offset("after_sunrise_hours", "Hours after sunrise"),
    _offset("before_sunset_hours", "Hours before sunset"),
    result("opens", "May start from", 'IF(OR({bounded}=0,{sunrise}=""),"",{sunrise}+{after_sunrise_hours}/24)', "moment"),
    result("closes", "Must stop by", 'IF(OR({bounded}=0,{sunset}=""),"",{sunset}-{before_sunset_hours}/24)', "moment"),
    result("light", "Start lies", 'IF(OR({pass}="",{pass_times.clock}=""),"",IF({daylight.sun}<>"","on a day when "&{daylight.sun},IF({sunrise}="","",%s)))' % _place_in_light("{pass_times.start}"), "text"),
    check("light_status", "Time of day",
          'IF({label_bound}=0,"",IF({daylight.sun}<>"",IF({daylight.sun}="the sun does not rise","Not allowed","Review"),IF({light}="","Not entered",'
          'IF({light}<>"in the window","Not allowed",IF({pass_times.end_known}<>1,"OK",IF({pass_times.end}>{closes},"Review","OK"))))))'),
    check("light_finding", "Time of day finding",
          'IF(AND({light_status}<>"",{daylight.sun}<>""),"On this day "&{daylight.sun}&": the hours of the labels cannot be counted from it",IF({light_status}="Not allowed","Start lies "&{light}&" that the labels leave in the day",IF({light_status}="Review","Work lasts past the window that the labels leave in the day",'
          'IF({light_status}="Not entered",IF({sunrise}="","Date, latitude, longitude or a time zone of the list not entered","Start time not entered"),""))))', "long_text"),
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
        working("toward", "Never toward", "MAX({line_weather.toward:block})", "count"),
        result("missing", "Label not read for",
               f'IF(SUM({_FIRST_MISSING})=0,"",INDEX({{mix_lines.product:block}},MATCH(1,{_FIRST_MISSING},0))&IF(SUM({_FIRST_MISSING})>1," and "&(SUM({_FIRST_MISSING})-1)&" more",""))', "name"),
        working("readings", "Readings", "COUNTIF({condition_checks.pass_row:all},{pass_rows.row_no})", "count"),
        working("timely", "Readings of its day or night with their time", 'COUNTIFS({condition_checks.pass_row:all},{pass_rows.row_no},{condition_checks.reading_key:all},">0")', "count"),
        working("reading_row", "Reading nearest the start",
                'IF({timely}=0,"",MATCH(_xlfn.MINIFS({condition_checks.reading_key:all},{condition_checks.pass_row:all},{pass_rows.row_no}),{condition_checks.reading_key:all},0))'),
        result("verdict", "Reading nearest the start says",
               'IF({readings}=0,"",IF({reading_row}="","wait",INDEX({condition_checks.verdict:all},{reading_row})))', "text", width=14, was=("Last reading says",)),
        check("status", "Status", 'IF({log_weather.status}<>"",{log_weather.status},IF({readings}=0,"",IF({reading_row}="","Not entered",INDEX({condition_checks.status:all},{reading_row}))))',
              note="Of a pass that was sprayed by the log, and by the reading for what the log does not say."),
        check("finding", "Reason",
              'IF({log_weather.status}<>"",{log_weather.reason},IF({readings}=0,"",IF({reading_row}<>"",INDEX({condition_checks.reason:all},{reading_row}),'
              'IF({pass_times.clock}="","start time of the pass not entered","no reading of the day of the pass with its time"))))', "long_text"),
        *_LIGHT,
    ),
    rows="as:passes",
    kind="result",
    caution=DRIFT_CAUTION,
)

_LIMIT = 'IF({pass_row}="","",INDEX({%s:all},{pass_row}))'
_STATUSES = "{day_status}:{light_status}"
_TOPICS = ("day", "wind", "temperature", "delta", "inversion", "downwind", "rain", "light")


def _clock(key: str, header: str) -> Column:
    """Clock time of a moment in the day of the pass."""
    cell = "INDEX({pass_weather.%s:all},{pass_row})" % key
    return result(key, header, 'IF({pass_row}="","",IF(%s="","",%s-INDEX({pass_times.day:all},{pass_row})))' % (cell, cell), "time")


_LIGHT_NOW = (
    *(_clock(key, header) for key, header in (("sunrise", "Sunrise"), ("sunset", "Sunset"), ("opens", "May start from"), ("closes", "Must stop by"))),
    working("bounded", "Bound to a time of day", 'IF({pass_row}="",0,INDEX({pass_weather.bounded:all},{pass_row}))', "count"),
    working("sun", "Sun that does not rise or set", 'IF({pass_row}="","",INDEX({daylight.sun:all},{pass_row}))', "text"),
    result("light", "Reading lies", 'IF({time}="","",IF({sun}<>"","on a day when "&{sun},IF({sunrise}="","",%s)))' % _place_in_light("{time}"), "text",
           note="By the sun of the day the pass is planned for or was sprayed."),
)

#: What a reading and what the log of a pass are judged by; the log may tell of two winds and temperatures, a reading of one.
_DELTA = (
    working("celsius", "Temperature in deg C", 'IF({conditions.air}="","",({conditions.air}-temperature_zero)*temperature_step)', "delta_t"),
    working("in_range", "Within the method's range",
            'IF(OR({celsius}="",{conditions.humidity}=""),0,IF(AND({conditions.humidity}>=5,{conditions.humidity}<=99,{celsius}>=-20,{celsius}<=50),1,0))', "count"),
    working("wet_1", "Wet bulb, first terms",
            'IF({in_range}=0,"",{celsius}*ATAN(0.151977*SQRT({conditions.humidity}+8.313659))+ATAN({celsius}+{conditions.humidity})-ATAN({conditions.humidity}-1.676331))', "factor"),
    working("wet_bulb", "Wet bulb in deg C",
            'IF({wet_1}="","",{wet_1}+0.00391838*POWER({conditions.humidity},1.5)*ATAN(0.023101*{conditions.humidity})-4.686035)', "delta_t"),
    result("delta_t", "Delta T", 'IF({wet_bulb}="","",{celsius}-{wet_bulb})', "delta_t", tolerance=1e-6,
           note="Air less wet-bulb temperature, near sea level; from 5 to 99 % humidity and -20 to 50 deg C.",
           source="Stull 2011, J. Appl. Meteor. Climatol. 50:2267-2269"),
)
_STATUS = (
    check("wind_status", "Wind",
          'IF({pass_row}="","",IF({conditions.wind}="","Not entered",IF(AND({wind_max}<>"",{conditions.wind}>SUM({wind_max})),"Not allowed",'
          'IF(AND({wind_min}<>"",{conditions.calm}<SUM({wind_min})),"Not allowed",IF({missing}<>"","Not entered",'
          'IF(OR(AND({wind_max}="",{conditions.wind}>wind_high),AND({wind_min}="",{conditions.calm}<wind_low)),"Review","OK"))))))'),
    check("temperature_status", "Temperature",
          'IF({pass_row}="","",IF({conditions.temperature}="","Not entered",IF(AND({temperature_max}<>"",{hottest}>SUM({temperature_max})),"Not allowed",'
          'IF(AND({temperature_min}<>"",{conditions.cold}<SUM({temperature_min})),"Not allowed",IF(AND({temperature_max}<>"",{conditions.forecast_high}=""),"Not entered","OK")))))'),
    check("delta_status", "Delta T",
          'IF({pass_row}="","",IF({delta_t}="",IF(OR({celsius}="",{conditions.humidity}=""),"Not entered","Review"),IF(OR({delta_t}<delta_t_low,{delta_t}>delta_t_high),"Review","OK")))'),
    check("inversion_status", "Inversion",
          'IF({pass_row}="","",IF({conditions.inversion_signs}="yes","Not allowed",IF({conditions.inversion_signs}="no","OK",IF(AND({conditions.calm}<>"",SUM({conditions.calm})>=wind_low),"OK","Not entered"))))'),
    check("downwind_status", "Downwind",
          'IF({pass_row}="","",IF({conditions.toward_sensitive}="","Not entered",IF({conditions.toward_sensitive}="no","OK",IF({toward}=1,"Not allowed",'
          'IF(OR({buffer}="",{conditions.sensitive_distance}=""),"Not entered",IF({conditions.sensitive_distance}<{buffer},"Not allowed","OK"))))))'),
    check("rain_status", "Rain",
          'IF({pass_row}="","",IF({conditions.rain_in_hours}="","Not entered",IF(AND({no_rain}<>"",{conditions.rain_in_hours}<SUM({no_rain})),"Not allowed",'
          'IF(AND({rain_free}<>"",{conditions.rain_in_hours}<SUM({rain_free})),"Review","OK"))))'),
)
_FINDING = (
    working("wind_finding", "Wind finding",
            'IF({wind_status}="Not entered",IF({conditions.wind}="","wind not read","weather on the label not entered: "&{missing}),IF({wind_status}="Not allowed","wind outside the label range",'
            'IF({wind_status}="Review",IF(AND({wind_min}="",{conditions.calm}<wind_low),"wind below the advised range: suspect an inversion","wind above the advised range"),"")))', "text"),
    working("temperature_finding", "Temperature finding",
            'IF({temperature_status}="Not entered",IF({conditions.temperature}="","temperature not read","forecast high not entered, a label limits it"),IF({temperature_status}="Not allowed","temperature or forecast outside the label range",""))', "text"),
    working("delta_finding", "Delta T finding",
            'IF({delta_status}="Not entered","humidity or temperature not read",IF({delta_status}="Review",IF({delta_t}="","delta T outside the range of the method",'
            'IF({delta_t}<delta_t_low,"delta T low: droplets hang","delta T high: droplets dry out")),""))', "text"),
    working("inversion_finding", "Inversion finding",
            'IF({inversion_status}="Not allowed","signs of an inversion",IF({inversion_status}="Not entered","look for an inversion",""))', "text"),
    working("downwind_finding", "Downwind finding",
            'IF({downwind_status}="Not entered",IF({conditions.toward_sensitive}="","downwind neighbours not looked at",IF({buffer}="","downwind distance of the label not entered","distance to sensitive area not entered")),'
            'IF({downwind_status}="Not allowed",IF({toward}=1,"wind toward a sensitive area","too close to a downwind sensitive area"),""))', "text"),
    working("rain_finding", "Rain finding",
            'IF({rain_status}="Not entered","rain forecast not entered",IF({rain_status}="Not allowed","rain forecast sooner than the label allows",IF({rain_status}="Review","rain forecast within the rain-free hours","")))', "text"),
)
_ONE_VALUE = {"{conditions.calm}": "{conditions.wind}", "{conditions.cold}": "{conditions.temperature}", "{conditions.air}": "{conditions.temperature}"}


def _reworded(columns: tuple[Column, ...], words: dict[str, str]) -> tuple[Column, ...]:
    """Return columns with tokens of their formulas exchanged."""
    found = []
    for column in columns:
        formula = str(column.formula)
        for word, other in words.items():
            formula = formula.replace(word, other)
        found.append(replace(column, formula=formula))
    return tuple(found)


def _of_readings(columns: tuple[Column, ...]) -> tuple[Column, ...]:
    return _reworded(columns, _ONE_VALUE)


CONDITION_CHECKS = Table(
    "condition_checks",
    "Go or wait",
    "Each reading against the labels of the mix and the advised ranges: go, wait or no, with the reason.",
    (
        result("pass", "Pass", 'IF({conditions.pass}="","",{conditions.pass})', "name"),
        result("field", "Field", 'IF({conditions.field}="","",{conditions.field})', "name"),
        result("date", "Date", 'IF({conditions.date}="","",{conditions.date})', "date"),
        result("time", "Time", 'IF({conditions.time}="","",{conditions.time})', "time"),
        working("pass_row", "Pass row", 'IF({pass}="","",IFERROR(MATCH({pass}&"|"&{field},{pass_volumes.key:all},0),""))'),
        working("pass_day", "Day of the pass", _LIMIT % "pass_times.day", "date"),
        working("reading_key", "Reading key",
                'IF({pass_row}="","",IF(OR({date}="",{time}="",{pass_day}="",INDEX({pass_times.clock:all},{pass_row})=""),"",IF(AND({date}<>{pass_day},OR({date}<{pass_day},ROUND({date}+{time}-INDEX({pass_times.start:all},{pass_row}),6)>0.5)),"",'
                '{pass_row}*1000000+2*ROUND(ABS({date}+{time}-INDEX({pass_times.start:all},{pass_row}))*86400,0)+IF({date}+{time}>INDEX({pass_times.start:all},{pass_row}),1,0))))',
                note="Seconds from the start, twice, one more after it; blank where the reading is not of the day of the pass nor of the night that follows."),
        check("verdict", "Verdict", 'IF({status}="","",IF({status}="OK","go",IF({status}="Not allowed","no","wait")))', "text", width=10,
              note="no: a label figure is broken; wait: look again or fill in what is missing; go: nothing against it in what was typed."),
        check("reason", "Reason",
              'IF(OR({status}="",{status}="OK"),"",MID(%s,3,250))' % "&".join('IF({%s_status}={status},"; "&{%s_finding},"")' % (t, t) for t in _TOPICS), "long_text"),
        check("status", "Status",
              'IF({pass_row}="","",IF(COUNTIF(%s,"Not allowed")>0,"Not allowed",IF(COUNTIF(%s,"Not entered")>0,"Not entered",IF(COUNTIF(%s,"Review")>0,"Review","OK"))))'
              % (_STATUSES, _STATUSES, _STATUSES)),
        *_LIGHT_NOW,
        working("wind_min", "Lowest wind", _LIMIT % "pass_weather.wind_min", "speed"),
        working("wind_max", "Highest wind", _LIMIT % "pass_weather.wind_max", "speed"),
        working("missing", "Label not read for", _LIMIT % "pass_weather.missing", "name"),
        working("temperature_min", "Lowest temperature", _LIMIT % "pass_weather.temperature_min", "temperature"),
        working("temperature_max", "Highest temperature", _LIMIT % "pass_weather.temperature_max", "temperature"),
        working("hottest", "Hottest of reading and forecast", "MAX({conditions.temperature},{conditions.forecast_high})", "temperature"),
        working("no_rain", "No rain for", _LIMIT % "pass_weather.no_rain_hours", "hours"),
        working("rain_free", "Rain-free hours", _LIMIT % "intervals.rain_hours", "hours"),
        working("buffer", "Downwind distance", _LIMIT % "pass_weather.buffer_distance", "length"),
        working("toward", "Never toward", 'IF({pass_row}="",0,INDEX({pass_weather.toward:all},{pass_row}))', "count"),
        *_of_readings(_DELTA),
        check("day_status", "Day", 'IF({pass_row}="","",IF(OR({date}="",{time}="",{pass_day}=""),"Not entered",IF({date}={pass_day},"OK","Not entered")))'),
        *_of_readings(_STATUS),
        check("light_status", "Time of day",
              'IF({bounded}=0,"",IF({sun}<>"",IF({sun}="the sun does not rise","Not allowed","Review"),IF({light}="","Not entered",IF({light}="in the window","OK","Not allowed"))))'),
        working("day_finding", "Day finding",
                'IF({day_status}<>"Not entered","",IF({pass_day}="","date of the pass not entered",IF({date}="","day of the reading not entered",'
                'IF({date}<>{pass_day},"reading of another day","time of the reading not entered"))))', "text"),
        *_of_readings(_FINDING),
        working("light_finding", "Time of day finding",
                'IF(AND({bounded}=1,{sun}<>""),"on this day "&{sun},IF({light_status}="Not allowed","time of the reading "&{light}&" of daylight",IF({light_status}="Not entered",IF({time}="","time of the reading not entered","date, place or time zone for the sun not entered"),"")))', "text"),
    ),
    rows="as:conditions",
    kind="result",
    caution=DRIFT_CAUTION,
)

_LOG_WIND, _LOG_AIR = "COUNT({wind_start},{wind_end})>0", "COUNT({temperature_start},{temperature_end})>0"
#: When each topic is judged of a pass that was sprayed: when a reading or the log tells of it, or a label limits it.
_WANTED = {
    "wind": _LOG_WIND + ',{pass_weather.wind_min}<>"",{pass_weather.wind_max}<>""',
    "temperature": _LOG_AIR + ',{pass_weather.temperature_min}<>"",{pass_weather.temperature_max}<>""',
    "delta": '{delta_t}<>""',
    "inversion": _LOG_WIND,
    "downwind": '{pass_weather.buffer_distance}<>"",{pass_weather.toward}=1',
    "rain": '{pass_weather.no_rain_hours}<>""',
}
_OF_PASS = {"{conditions.": "{"} | {
    "{%s}" % key: "{%s}" % source
    for key, source in (
        *((key, f"pass_weather.{key}") for key in ("wind_min", "wind_max", "missing", "temperature_min", "temperature_max", "toward")),
        ("no_rain", "pass_weather.no_rain_hours"), ("rain_free", "intervals.rain_hours"), ("buffer", "pass_weather.buffer_distance"),
    )
}


def _read(key: str) -> str:
    """What the reading nearest the start says."""
    cell = "INDEX({conditions.%s:all},{pass_weather.reading_row})" % key
    return 'IF({pass_weather.reading_row}="","",IF(%s="","",%s))' % (cell, cell)


def _logged(key: str, header: str, quantity: str, logged: str, known: str, read: str) -> Column:
    return working(key, header, 'IF({pass_times.log_day}="","",IF(%s,%s,%s))' % (known, logged, _read(read)), quantity)


def _judged() -> tuple[Column, ...]:
    """The topics of a pass that was sprayed."""
    found: list[Column] = []
    for column in _STATUS:
        unwanted = 'OR({pass_times.log_day}="",NOT(OR({pass_weather.readings}>0,%s)))' % _WANTED[column.key.removesuffix("_status")]
        found += _reworded((column,), _OF_PASS | {'{pass_row}=""': unwanted})
    return tuple(found)


LOG_WEATHER = Table(
    "log_weather",
    "As logged, weather",
    "Weather of each pass that was sprayed: what the log says, and for what it does not say the reading nearest the start.",
    (
        *(working(key, column.header, of_log(key), column.quantity) for key, column in SPRAY_LOG.by_key.items()
          if key in ("wind_start", "wind_end", "temperature_start", "temperature_end")),
        working("damp", "Relative humidity, logged", of_log("humidity"), "percent"),
        _logged("wind", "Highest wind", "speed", "MAX({wind_start},{wind_end})", _LOG_WIND, "wind"),
        _logged("calm", "Lowest wind", "speed", "MIN({wind_start},{wind_end})", _LOG_WIND, "wind"),
        _logged("temperature", "Highest temperature", "temperature", "MAX({temperature_start},{temperature_end})", _LOG_AIR, "temperature"),
        _logged("cold", "Lowest temperature", "temperature", "MIN({temperature_start},{temperature_end})", _LOG_AIR, "temperature"),
        working("air", "Temperature at start", 'IF({temperature_start}="",{temperature},{temperature_start})', "temperature"),
        _logged("humidity", "Relative humidity", "percent", "{damp}", '{damp}<>""', "humidity"),
        *(working(key, column.header, 'IF({pass_times.log_day}="","",%s)' % _read(key), column.quantity) for key, column in CONDITIONS.by_key.items()
          if key in ("forecast_high", "toward_sensitive", "sensitive_distance", "inversion_signs", "rain_in_hours")),
        working("hottest", "Hottest of log and forecast", "MAX({temperature},{forecast_high})", "temperature"),
        *_reworded(_DELTA, _OF_PASS),
        *_judged(),
        *_reworded(_FINDING, _OF_PASS),
        check("status", "Status", worst_status("{wind_status}:{rain_status}")),
        working("told", "The log tells of weather", "COUNT({wind_start},{wind_end},{temperature_start},{temperature_end},{damp})", "count"),
        check("reason", "Reason",
              'IF(OR({status}="",{status}="OK"),"",IF({told}=0,"","as logged: ")&MID(%s,3,250))' % "&".join('IF({%s_status}={status},"; "&{%s_finding},"")' % (t, t) for t in _WANTED),
              "long_text"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

CONDITION_INPUTS = (WEATHER_LIMITS, CONDITIONS)
CONDITION_TABLES = (CONDITION_CHECKS, PASS_WEATHER, LINE_WEATHER, WEATHER_FACTS, LOG_WEATHER)
