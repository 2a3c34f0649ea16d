"""The farm's clock: its time zone, the moments it is put forward and back, and hours counted across them."""

from __future__ import annotations

from workbook_builder.core.columns import FIXED, Column, Table
from workbook_builder.core.short import slot_number, working
from workbook_builder.features.clock.definitions import clock_changes

SHEET = "Workings passes"
#: Years of clock changes on either side of the season.
YEARS_BEFORE = 2

TIME_ZONES = Table(
    "time_zones",
    "Time zones",
    "Hours from universal time, and when summer time starts and ends: the Sunday of the month (week 5 is the "
    "last) and the hour the clock shows just before.",
    (
        Column("time_zone", "Time zone", "name", FIXED),
        Column("standard_offset", "Standard hours", "hours", FIXED),
        Column("summer_shift", "Summer shift", "hours", FIXED),
        Column("start_month", "Starts in month", "index", FIXED),
        Column("start_week", "Starts on Sunday", "index", FIXED),
        Column("start_hour", "Starts at hour", "hours", FIXED),
        Column("end_month", "Ends in month", "index", FIXED),
        Column("end_week", "Ends on Sunday", "index", FIXED),
        Column("end_hour", "Ends at hour", "hours", FIXED),
    ),
    rows="given",
    kind="reference",
)


def _zone(key: str) -> str:
    return "SUM({time_zones.%s@zone_row})" % key


SPOT_DAY = Table(
    "spot_day",
    "Day and place",
    "The farm's place and clock, for daylight and for hours across clock changes.",
    (
        working("zone_row", "Time zone row",
                'IF({farm.time_zone}="","",IFERROR(MATCH({farm.time_zone},{time_zones.time_zone:all},'
                '0),""))'),
        working("standard", "Standard hours", _zone("standard_offset"), "hours", needs="zone_row"),
        working("shift", "Summer shift", _zone("summer_shift"), "hours", needs="zone_row"),
        working("start_month", "Starts in month", _zone("start_month"), needs="zone_row"),
        working("start_week", "Starts on Sunday", _zone("start_week"), needs="zone_row"),
        working("start_hour", "Starts at hour", _zone("start_hour"), "hours", needs="zone_row"),
        working("end_month", "Ends in month", _zone("end_month"), needs="zone_row"),
        working("end_week", "Ends on Sunday", _zone("end_week"), needs="zone_row"),
        working("end_hour", "Ends at hour", _zone("end_hour"), "hours", needs="zone_row"),
        working("south", "Summer over the turn of the year",
                "IF(SUM({shift})=0,0,IF({start_month}>{end_month},1,0))", "count"),
        working("terms", "Spot terms typed", "COUNTA({spot_terms.sprayer:all})", "count"),
        working("place_known", "Place and clock known",
                'IF(OR({farm.latitude}="",{farm.longitude}="",{zone_row}=""),0,1)', "count"),
    ),
    rows="form",
    kind="working",
    sheet=SHEET,
)


def _sunday(which: str) -> str:
    """Nth or last Sunday of a month, WEEKDAY counting Sunday as 1."""
    month, week = "{spot_day.%s_month}" % which, "{spot_day.%s_week}" % which
    nth = "DATE({year},%s,1)+MOD(8-WEEKDAY(DATE({year},%s,1)),7)+7*(%s-1)" % (month, month, week)
    last = "DATE({year},%s+1,1)-WEEKDAY(DATE({year},%s+1,1)-1)" % (month, month)
    return 'IF(OR({year}="",SUM({spot_day.shift})=0),"",IF(%s=5,%s,%s))' % (week, last, nth)


def _minute(which: str, hours: str) -> str:
    return "ROUND({%s}*1440+60*(%s),0)" % (which, hours)


CLOCK_CHANGES = Table(
    "clock_changes",
    "Clock changes",
    "When the farm's clock is put forward and back, in minutes from day 0, by the clock and by universal "
    "time.",
    (
        slot_number(),
        working("year", "Year", "{farm.season}-%d+{slot}" % (YEARS_BEFORE + 1), "season", needs="farm.season",
                twin=lambda season, slot: season - YEARS_BEFORE + slot - 1, takes="farm.season slot"),
        working("on", "Summer time starts", _sunday("start"), "date"),
        working("off", "Summer time ends", _sunday("end"), "date"),
        working("on_wall", "Summer time by the clock from",
                _minute("on", "{spot_day.start_hour}+{spot_day.shift}"), "count", needs="on",
                note="The hour left out has no minutes of its own."),
        working("off_wall", "Standard time by the clock from",
                _minute("off", "{spot_day.end_hour}-{spot_day.shift}"), "count", needs="off",
                note="A clock time that comes twice is the second one, so that no interval ends too early."),
        working("on_utc", "Summer time from, universal",
                _minute("on", "{spot_day.start_hour}-{spot_day.standard}"), "count", needs="on"),
        working("off_utc", "Standard time from, universal",
                _minute("off", "{spot_day.end_hour}-{spot_day.standard}-{spot_day.shift}"),
                "count", needs="off"),
    ),
    rows="list:clock_years",
    kind="working",
    sheet=SHEET,
    whole=clock_changes,
    gives="on off on_wall off_wall on_utc off_utc",
)


def minute_of(when: str) -> str:
    """Return the formula of the minute nearest to a moment, counted from day 0."""
    return "ROUND(ROUND((%s)*1440,4),0)" % when


def offset_at(when: str, clock: str) -> str:
    """Return the formula of the hours from universal time at a moment.

    Parameters
    ----------
    when : str
        Formula of the moment, not blank.
    clock : str
        ``wall`` for a moment by the farm's clock, ``utc`` for one in universal time.
    """
    changes = ('{spot_day.south}+COUNTIF({clock_changes.on_%s:all},"<="&%s)'
               '-COUNTIF({clock_changes.off_%s:all},"<="&%s)')
    minute = minute_of(when)
    return "SUM({spot_day.standard})+SUM({spot_day.shift})*(%s)" % (changes % (clock, minute, clock, minute))


def universal(when: str) -> str:
    """Return the formula of a moment of the farm's clock in universal time."""
    return "%s-(%s)/24" % (when, offset_at(when, "wall"))


def by_the_clock(when: str) -> str:
    """Return the formula of a universal moment as the farm's clock shows it."""
    return "%s+(%s)/24" % (when, offset_at(when, "utc"))


def date_text(day: str) -> str:
    """Return the formula of a day as text, ``2026-05-14``.

    Formats of TEXT would change with the program's language.
    """
    return 'YEAR(%s)&"-"&RIGHT("0"&MONTH(%s),2)&"-"&RIGHT("0"&DAY(%s),2)' % (day, day, day)


def moment_text(minute: str) -> str:
    """Return the formula of a minute counted from day 0 as text, ``2026-05-14 07:30``."""
    clock = 'RIGHT("0"&INT(MOD(%s,1440)/60),2)&":"&RIGHT("0"&MOD(%s,60),2)' % (minute, minute)
    return date_text("INT(%s/1440)" % minute) + '&" "&' + clock

TABLES = (TIME_ZONES, SPOT_DAY, CLOCK_CHANGES)
