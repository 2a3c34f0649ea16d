"""Random valid farms, made from the declarations alone.

Every typed table and every column it declares is filled by kind, so a table or column
added later takes part without a change here.  What checking refuses is taken out again.
"""

from __future__ import annotations

import datetime as dt
import math
import random
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from workbook_builder.build import with_defaults
from workbook_builder.check import REQUIRED_TABLES, check_inputs, errors_in
from workbook_builder.check.names import ALIASES
from workbook_builder.core.columns import Column, Table
from workbook_builder.core.inputs import Inputs, Row
from workbook_builder.core.quantities import quantity
from workbook_builder.features import BY_KEY, TYPED_TABLES
from workbook_builder.features.shipped import shipped_rows

SEASON = 2026
CROPS = ("sunflower", "grain sorghum", "fallow", "pois d'hiver", "Straße", "any")
#: Names people might type: quotes, apostrophes, ampersands, signs that start a formula, other scripts.
NAMES = (
    "North 40", "O'Brien's quarter", 'The "Bench"', "Hill & Creek", "=1+1", "+Plus", "-Minus", "@home",
    "&P of &N", "<b>West</b>",
    "Größe", "İzmir", "東の畑", "حقل", "поле 7", "Ñandú", "100 %", "1", "2026-05-01", "TRUE", "#N/A", "a",
    "x" * 60, "Semi;colon,comma",
    "Back\\slash", "{braces}", "[brackets]", "$A$1", "R1C1", "'quoted'", "emoji 🌾", "ﬁeld", "ẞharp",
    "e\u0301t\u00e9", "''", '""', "0", "1e5",
)
TEXTS = (*NAMES, "two\u00a0words", "with * star", "why? ~ because", "a|b", "=HYPERLINK(\"http://x\")")
#: Column key -> range that keeps most farms lawful enough to plan; others follow their declared limits.
RANGES: Mapping[str, tuple[float, float]] = {
    "rate": (0.1, 4), "carrier": (5, 200), "main_tank": (60, 1500), "spot_tank": (20, 500),
    "unusable_volume": (0, 20), "content": (0.1, 9),
    "density": (0.5, 15), "area": (0.5, 400), "max_pass": (0.01, 6), "max_season": (0.01, 20),
    "max_rate": (0.1, 90), "max_rate_season": (0.1, 200),
}
KINDS_OF_HERBICIDE = (0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 14, 15, 16, 20, 22, 26, 27, 29)
#: Without these most rows would be refused for want of a unit or a weight.
SELDOM_BLANK = ("density", "rate_unit")
#: Tables in which several rows share a name; they get more rows.
MANY_ROWS = {"passes": 3, "mixes": 3, "past_use": 2, "ingredients": 2}


class Maker:
    """Makes one farm from a random generator.

    Parameters
    ----------
    chance : random.Random
    largest : int
        Most rows of a table; some tables get twice as many.
    """

    def __init__(self, chance: random.Random, largest: int) -> None:
        self.chance = chance
        self.largest = largest
        self.system = chance.choice(("us", "metric"))
        self.blank = chance.choice((0.0, 0.2, 0.5))
        self.lists = shipped_rows(self.system)
        self.counts = {table.key: self._count(table) for table in TYPED_TABLES}
        self.pools = {f"{table.key}.{column.key}": self._names(table) for table in TYPED_TABLES
                      for column in table.columns
                      if column.typed and quantity(column.quantity).form == "name" and not column.choices}

    def _count(self, table: Table) -> int:
        if table.is_form:
            return 1
        if table.key == "adding_steps":
            return self.chance.randint(0, 2)
        return self.chance.randint(1 if table.key in REQUIRED_TABLES else 0,
                                   self.largest * MANY_ROWS.get(table.key, 1))

    def _names(self, table: Table) -> list[str]:
        """Return as many names as a table has rows; fewer where several rows share one."""
        wanted = self.counts[table.key]
        if table.key in MANY_ROWS:
            wanted = min(wanted, self.chance.randint(1, 3))
        names = self.chance.sample(NAMES, min(wanted, len(NAMES)))
        return (names + [f"{name} {n}"
                         for n, name in enumerate(self.chance.choices(NAMES, k=wanted - len(names)))])

    def farm(self) -> Inputs:
        """Return the farm, not yet checked."""
        return Inputs({table.key: self._rows(table) for table in TYPED_TABLES if table.key != "adding_steps"
                       or self.chance.random() < 0.2})

    def _rows(self, table: Table) -> list[Row]:
        rows = [self._row(table, at) for at in range(self.counts[table.key])]
        if table.key == "adding_steps":
            return self.lists["adding_steps"] + rows
        if len(rows) > 1 and not table.is_form and self.chance.random() < 0.1:
            rows.insert(self.chance.randrange(len(rows)), {})
        return rows

    def _row(self, table: Table, at: int) -> Row:
        row = {column.key: self._value(table, column, at) for column in table.columns
               if column.required or self.chance.random() >= self.blank * (0.2 if column.key in SELDOM_BLANK
                                                                           else 1)}
        # A reference to a list that is empty leaves the whole row blank.
        whole = all(row[column.key] is not None for column in table.columns if column.required)
        if table.key == "passes" and row.get("partner_pass") == row.get("pass"):
            # Refused, and with few names of passes too many farms would lose all of theirs.
            row.pop("partner_pass", None)
        return {key: value for key, value in row.items() if value is not None} if whole else {}

    def _value(self, table: Table, column: Column, at: int) -> Any:
        if column.key == "units":
            return self.system
        if column.key == "time_zone":
            return self.chance.choice(("America/Denver", "UTC", "Australia/Adelaide"))
        if quantity(column.quantity).form == "whole" and column.key == "season":
            return SEASON if table.is_form else SEASON - self.chance.randint(0, 4)
        if column.choices:
            return self._choice(column)
        pool = self.pools.get(f"{table.key}.{column.key}")
        if pool:
            # The first rows take each name once, so that every reference finds its row.
            return pool[at] if at < len(pool) else self.chance.choice(pool)
        return self._plain(column)

    def _choice(self, column: Column) -> Any:
        if isinstance(column.choices, tuple):
            return self.chance.choice(column.choices)
        target = ALIASES.get(column.choices, column.choices)
        table, key = target.split(".")
        if target == "crops.crop":
            return self.chance.choice(CROPS)
        pool = self.pools.get(target,
                              next((self.pools[name] for name in self.pools if name.endswith(f".{key}")),
                                   None))
        if pool is not None:
            return self.chance.choice(pool) if pool else None
        known = [row[key] for row in self.lists.get(table, ()) if row.get(key)]
        if not known:
            return self.chance.choice(NAMES)
        if column.suggest_only and self.chance.random() < 0.1:
            return self.chance.choice(TEXTS if quantity(column.quantity).form == "text" else NAMES)
        return self.chance.choice(known[:6] if self.chance.random() < 0.5 else known)

    def _plain(self, column: Column) -> Any:
        form = quantity(column.quantity).form
        if form in ("text", "name"):
            return self.chance.choice(TEXTS)
        if form == "date":
            return dt.date(SEASON, 1, 1) + dt.timedelta(days=self.chance.randint(0, 480))
        if form == "time":
            return dt.time(self.chance.randint(0, 23), self.chance.choice((0, 15, 59)))
        return self._number(column, form)

    def _number(self, column: Column, form: str) -> float:
        low, high = RANGES.get(column.key,
                               (column.minimum or 0, 100.0 if column.maximum is None else column.maximum))
        low, high = (max(low, column.minimum if column.minimum is not None else low),
                     min(high, column.maximum if column.maximum is not None else high))
        if column.key == "mode_group":
            return self.chance.choice(KINDS_OF_HERBICIDE)
        if form == "whole":
            return self.chance.choice((math.ceil(low), min(math.ceil(low) + 1, int(high)),
                                       self.chance.randint(math.ceil(low), int(min(high, low + 60)))))
        if form == "share":
            return round(self.chance.choice((low, high, self.chance.uniform(low, high))), 2)
        scaled = self.chance.choice((low, self.chance.uniform(low, min(high, low + 20)),
                                     self.chance.uniform(low, min(high, low + 200))))
        return max(low, min(high, round(scaled, self.chance.choice((0, 1, 3)))))


def random_farm(seed: int, largest: int = 3) -> Inputs | None:
    """Return a random valid farm, or None when checking left nothing to plan.

    Parameters
    ----------
    seed : int
        The same seed gives the same farm.
    largest : int
        Most rows of an ordinary table.
    """
    maker = Maker(random.Random(seed), largest)
    inputs = with_defaults(_rising(maker.farm()))
    for _ in range(8):
        checked, problems = check_inputs(inputs, TYPED_TABLES)
        errors = errors_in(problems)
        if not errors:
            return checked
        inputs = _without(inputs, errors)
    return None


def _rising(inputs: Inputs) -> Inputs:
    """Return the inputs with low, likely and high shares in that order, as people mean them."""
    tables = dict(inputs.tables)
    for table, likely in (("passes", "sprayed_share"), ("pressure_classes", "expected_share")):
        keys, rows = ("share_low", likely, "share_high"), []
        for row in inputs.rows(table):
            told = [key for key in keys if row.get(key) is not None]
            rows.append({**row, **dict(zip(told, sorted(row[key] for key in told), strict=True))})
        tables[table] = rows
    return replace(inputs, tables=tables)


def _without(inputs: Inputs, errors: list[Any]) -> Inputs:
    """Return the inputs without the rows that checking refused."""
    tables = {key: list(rows) for key, rows in inputs.tables.items()}
    by_title = {table.sheet_title: table for table in TYPED_TABLES}
    for error in errors:
        table = by_title.get(error.sheet)
        if table is None or error.row is None or error.row > len(tables[table.key]):
            continue
        if table.is_form:
            named = next((c.key for c in table.columns if c.header == error.column), "")
            tables[table.key][0] = {k: v for k, v in tables[table.key][0].items() if k != named}
        else:
            tables[table.key][error.row - 1] = {}
    return replace(inputs, tables={key: _packed(BY_KEY[key], rows) for key, rows in tables.items()})


def _packed(table: Table, rows: list[Row]) -> list[Row]:
    while rows and not rows[-1] and not table.is_form:
        rows.pop()
    return rows
