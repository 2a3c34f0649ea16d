"""Published check values and the functions that answer them."""

from oracles import (
    clean_out,
    groups_and_intervals,
    loads_and_work,
    mitigation,
    money,
    nozzles,
    records,
    rules_and_settings,
    spot,
    units_and_rates,
    water_and_jar,
    weather_days,
)
from oracles.registry import usable_rows
from oracles.rows import all_rows

#: Importing these modules registers their functions.
ENTRIES_LOADED = (
    clean_out, groups_and_intervals, loads_and_work, mitigation, money, nozzles, records, rules_and_settings, spot, units_and_rates, water_and_jar,
    weather_days,
)

__all__ = ["ENTRIES_LOADED", "all_rows", "usable_rows"]
