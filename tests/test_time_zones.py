"""The shipped list of time zones is data that a command makes from the IANA database."""

from __future__ import annotations

import datetime as dt

import pytest
from time_zones import FILE, rule_of, sunday_of, time_zones_text


def test_rules_of_known_zones() -> None:
    """Chicago changes on the second Sunday of March and the first of November at two by the clock,
    London on last Sundays at one o'clock universal time, Phoenix never; Cairo has no rule of Sundays.
    """
    assert rule_of("America/Chicago") == (-6, 1, (3, 2, 2), (11, 1, 2))
    assert rule_of("Europe/London") == (0, 1, (3, 5, 1), (10, 5, 2))
    assert rule_of("America/Phoenix") == (-7, 0, None, None)
    assert rule_of("Africa/Cairo") is None


def test_sundays_are_counted_from_both_ends() -> None:
    """The 29th of March 2026 is the fifth and last Sunday, the 8th the second; a Monday is no Sunday."""
    assert sunday_of(dt.date(2026, 3, 29)) == {(3, 5)}
    assert sunday_of(dt.date(2026, 3, 8)) == {(3, 2)}
    assert sunday_of(dt.date(2026, 3, 9)) == set()


@pytest.mark.nightly
def test_the_shipped_list_is_what_the_command_makes() -> None:
    """No zone is typed by hand."""
    assert FILE.read_text("utf-8") == time_zones_text(), "run: python -m tests.time_zones"
