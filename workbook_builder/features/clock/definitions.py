"""The farm's clock: hours counted across the moments it is put forward and back."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from workbook_builder.core.draft import EPOCH, Cells, Draft, number
from workbook_builder.core.rounding import rounded
from workbook_builder.features.clock.daylight import summer_days

MINUTES = 1440
#: A change of the clock: the minute it holds from, and whether summer time begins.
Change = tuple[float, bool]


def minute_of(when: float) -> int:
    """Return the minute nearest to a moment, counted from day 0 [min].

    Parameters
    ----------
    when : float
        Day number with its fraction [d].
    """
    # Four digits first, so that half a minute is half a minute whatever dust the fraction carries.
    return int(rounded(rounded(when * MINUTES, 4)))


@dataclass(frozen=True)
class Clock:
    """A clock that is put forward and back; without changes, one that runs on.

    Parameters
    ----------
    standard, shift : float
        Hours from universal time, and hours more in summer [h].
    wall, utc : iterable of (minute, bool)
        Minutes from day 0 at which summer time starts or ends, as the clock shows them and in universal time.
    south : bool
        Whether the first of them falls into a summer.

    Notes
    -----
    A time that the clock shows twice is taken as the second one, so that no interval ends too early.
    """

    standard: float = 0.0
    shift: float = 0.0
    wall: tuple[Change, ...] = ()
    utc: tuple[Change, ...] = ()
    south: bool = False
    _minutes: dict[str, list[float]] = field(init=False, repr=False, compare=False, default_factory=dict)

    def __post_init__(self) -> None:
        self._minutes.update(wall=[minute for minute, _ in self.wall], utc=[minute for minute, _ in self.utc])

    def offset(self, when: float, clock: str) -> float:
        """Return the hours from universal time [h] at a moment [d] by the ``wall`` clock or in ``utc``."""
        past = bisect_right(self._minutes[clock], minute_of(when))
        summer = getattr(self, clock)[past - 1][1] if past else self.south
        return self.standard + (self.shift if summer else 0)

    def universal(self, when: float) -> float:
        """Return a moment of this clock in universal time [d]."""
        return when - self.offset(when, "wall") / 24

    def shown(self, when: float) -> float:
        """Return a universal moment as this clock shows it [d]."""
        return when + self.offset(when, "utc") / 24

    def after(self, when: float, hours: float) -> float:
        """Return what this clock shows some hours later [d].

        Parameters
        ----------
        when : float
            Moment by this clock [d].
        hours : float
            Elapsed hours [h].
        """
        return self.shown(self.universal(when) + hours / 24)


def clock_changes(draft: Draft) -> list[Cells]:
    """When the clock is put forward and back in the years around the season."""
    zone = draft.form("spot_day")
    return [Cells() if row["year"] == "" else changes_of_year(zone, row["year"])
            for row in draft["clock_changes"]]


def changes_of_year(zone: Mapping[str, Any], year: int) -> Cells:
    """Return when a clock is put forward and back in a year [min from day 0],
    by the clock and in universal time.
    """
    out = Cells()
    if number(zone["shift"]):
        days = summer_days(year, (zone["start_month"], zone["start_week"]),
                           (zone["end_month"], zone["end_week"]))
        out["on"], out["off"] = ((day - EPOCH).days for day in days)
        starts, ends = (out[key] * MINUTES + zone[hour] * 60
                        for key, hour in (("on", "start_hour"), ("off", "end_hour")))
        shift, offset = zone["shift"] * 60, zone["standard"] * 60
        # The hour left out belongs to no time; of the hour shown twice the second one counts.
        out.update(on_wall=rounded(starts + shift), off_wall=rounded(ends - shift),
                   on_utc=rounded(starts - offset), off_utc=rounded(ends - offset - shift))
    return out


#: The cells a twin takes to know the farm's clock, in the order of :func:`clock_of`.
CLOCK_CELLS = (
    "spot_day.standard spot_day.shift spot_day.south "
    "clock_changes.on_wall:all clock_changes.off_wall:all clock_changes.on_utc:all clock_changes.off_utc:all"
)


def clock_of(standard: Any, shift: Any, south: Any, *minutes: Sequence[Any]) -> Clock:
    """Return the clock of a place; one that runs on where its time zone is not in the list.

    Parameters
    ----------
    standard, shift : float or ""
        Hours from universal time, and hours more in summer [h].
    south : float
        1 where the first change falls into a summer.
    *minutes : sequence of float or ""
        When summer time starts and ends by the clock, and when in universal time [min from day 0].
    """
    return _clock(standard or 0, shift or 0, south == 1, *map(tuple, minutes))


@lru_cache(64)
def _clock(standard: float, shift: float, south: bool, *minutes: tuple[Any, ...]) -> Clock:
    on_wall, off_wall, on_utc, off_utc = ([(minute, starts) for minute in each if minute != ""]
                                          for each, starts in zip(minutes, (True, False) * 2, strict=True))
    return Clock(standard, shift, tuple(sorted(on_wall + off_wall)), tuple(sorted(on_utc + off_utc)), south)


def farm_clock(draft: Draft) -> Clock:
    """Return the farm's clock."""
    zone, keys = draft.form("spot_day"), ("on_wall", "off_wall", "on_utc", "off_utc")
    return clock_of(zone["standard"], zone["shift"], zone["south"],
                    *([row[key] for row in draft["clock_changes"]] for key in keys))
