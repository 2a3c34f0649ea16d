"""Names: one spelling for each, and every reference found in the table it refers to.

Lookups in a spreadsheet do not tell upper from lower case; Python does.  So each name is
given one spelling before anything is planned: the one in the table that defines it, or
the first one met.  Tables and columns that every plan needs, and rows that describe the same
thing twice, are told here too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from workbook_builder.check.problems import (
    WARNING,
    PlacedRows,
    Problem,
    Where,
    folded,
    nearest,
    place_of,
    suggestion,
    where,
)
from workbook_builder.core.columns import SETTING, Column, Table
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.quantities import SYSTEMS, quantity
from workbook_builder.core.units import rate_units

#: Lists derived from a typed column: a name on the list is a name in that column.
ALIASES = {"mix_list.mix": "mixes.mix", "cost_pass_names.pass": "passes.pass"}
RATE_UNITS = "rate_units.rate_unit"
#: Words that mean something besides the names typed.
FIXED_WORDS = {"crops.crop": ("any",)}

#: Looking for the nearest name takes its time in long lists; past this many the reader has the idea.
MOST_SUGGESTIONS = 25

Spellings = dict[str, dict[str, str]]


@dataclass(frozen=True)
class _Target:
    """A list that references must be found in: title of its table, and its names by folded name."""

    title: str
    names: dict[str, str]


def check_names(inputs: Inputs, tables: Sequence[Table]) -> tuple[Inputs, list[Problem]]:
    """Give each name one spelling, and find the references that lead nowhere.

    Parameters
    ----------
    inputs : Inputs
    tables : sequence of Table
        The typed tables.

    Returns
    -------
    (inputs, problems) : tuple
        New inputs with every name in its one spelling.
    """
    spellings = _collect(inputs, tables)
    targets = _targets(inputs, tables)
    problems: list[Problem] = []
    rewritten = dict(inputs.tables)
    for table in tables:
        if table.key not in inputs.tables:
            continue
        rows = [dict(row) for row in inputs.rows(table.key)]
        for at, row in enumerate(rows, 1):
            gone = False
            for column, list_name in _named_columns(table):
                value = row.get(column.key)
                if value is None:
                    continue
                row[column.key] = spellings[list_name].get(folded(value), value)
                if (not column.suggest_only and list_name in targets
                    and folded(value) not in targets[list_name].names):
                    place = where(inputs, table, at, column.key)
                    suggests = len(problems) < MOST_SUGGESTIONS
                    found = _unknown(inputs, targets[list_name], str(value), place, suggests)
                    # What a sheet was left to show may be called otherwise by now: that stops no build.
                    chosen = table.is_form and column.role == SETTING
                    problems.append(replace(found, severity=WARNING) if chosen else found)
                    gone = gone or chosen
            if gone:
                row.update(dict.fromkeys((column.key for column, _ in _named_columns(table)), None))
        rewritten[table.key] = PlacedRows(rows, place_of(inputs, table))
    return replace(inputs, tables=rewritten), problems


def _named_columns(table: Table) -> Iterator[tuple[Column, str]]:
    """Yield the columns that hold names, with the list each belongs to."""
    for column in table.columns:
        refers = isinstance(column.choices, str) and column.choices != ""
        if column.typed and (refers or quantity(column.quantity).form == "name"):
            target = str(column.choices) if refers else f"{table.key}.{column.key}"
            yield column, ALIASES.get(target, target)


def _collect(inputs: Inputs, tables: Sequence[Table]) -> Spellings:
    spellings: Spellings = {RATE_UNITS: _by_fold(rate_units(inputs.system))}
    for list_name, words in FIXED_WORDS.items():
        spellings[list_name] = _by_fold(words)
    columns = [(table, column, name) for table in tables for column, name in _named_columns(table)]
    # The table that defines a name has the say; then the order of the tables.
    columns.sort(key=lambda each: f"{each[0].key}.{each[1].key}" != each[2])
    for table, column, list_name in columns:
        known = spellings.setdefault(list_name, {})
        if list_name == RATE_UNITS:
            continue
        for row in inputs.rows(table.key):
            value = row.get(column.key)
            if value is not None:
                known.setdefault(folded(value), str(value))
    return spellings


def _by_fold(words: Sequence[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for word in words:
        found.setdefault(folded(word), word)
    return found


def _targets(inputs: Inputs, tables: Sequence[Table]) -> dict[str, _Target]:
    """Return the lists that references must be found in."""
    targets = {RATE_UNITS: _Target("", _by_fold(rate_units(inputs.system)))}
    for table in tables:
        rows = [row for _, row in inputs.filled(table.key)]
        missing = place_of(inputs, table).missing
        for column in table.columns:
            names = _by_fold([str(row[column.key]) for row in rows if row.get(column.key) is not None])
            # An empty list has been reported already where it matters; its references need not be.
            reported = missing or (not names and (rows or table.key in REQUIRED_TABLES))
            if not reported:
                targets[f"{table.key}.{column.key}"] = _Target(table.title, names)
    return targets


def _unknown(inputs: Inputs, target: _Target, value: str, place: Where, suggests: bool) -> Problem:
    if not target.title:
        mine = rate_units(inputs.system)
        others = {folded(unit) for system in SYSTEMS if system != inputs.system
                  for unit in rate_units(system)}
        if folded(value) not in others:
            return Problem("unknown-rate-unit", f"{value!r} is not a rate unit", **place,
                           fix=suggestion(value, mine))
        message = f"the rate unit {value!r} does not fit a farm that counts in {inputs.system} units"
        like = nearest(value, mine)
        return Problem("wrong-unit-system", message, **place, fix=f"Convert the rate, for instance to {like}")
    names = list(target.names.values())
    fix = suggestion(value, names) if suggests else f"Choose a name from {target.title}"
    return Problem("unknown-name", f"{value!r} is not in the table {target.title}", **place, fix=fix)


#: Tables without which there is nothing to plan.
REQUIRED_TABLES = ("farm", "fields", "products", "mixes", "sprayers", "passes")


def check_required(inputs: Inputs, tables: Sequence[Table]) -> list[Problem]:
    """Return a problem for each required table without rows and each required column nobody filled.

    A table that reading already reported as missing is passed over.
    """
    problems = []
    for table in tables:
        if place_of(inputs, table).missing:
            continue
        rows, place = [row for _, row in inputs.filled(table.key)], where(inputs, table)
        if rows:
            problems += [
                Problem("missing-column", f"the column {column.header} is missing",
                        **where(inputs, table, key=column.key))
                for column in table.columns if column.typed and column.required
                and not any(column.key in row for row in rows)
            ]
        elif table.key in REQUIRED_TABLES and table.key not in inputs.tables:
            problems.append(Problem("missing-table", f"the table {table.title} is missing", place["file"]))
        elif table.key in REQUIRED_TABLES:
            problems.append(Problem("empty-table", f"the table {table.title} has no rows", place["file"],
                                    place["sheet"], fix="Fill in at least one row"))
    return problems


#: Table -> the columns that together tell its rows apart.
UNIQUE_KEYS: dict[str, tuple[str, ...]] = {
    "fields": ("field",), "products": ("product",), "sprayers": ("sprayer",), "passes": ("pass", "field"),
    "mixes": ("mix", "product"), "ingredients": ("product", "active_ingredient"),
    "label_limits": ("product", "crop"),
    "plant_back": ("product", "next_crop"), "ingredient_limits": ("active_ingredient", "crop"),
    "weather_limits": ("product",), "spray_log": ("pass", "field"),
    "amounts_used": ("pass", "field", "product"),
    "adding_steps": ("kind", "formulation"), "measuring_steps": ("what", "step", "unit"),
    "machine": ("sprayer",),
    "machine_use": ("sprayer", "crop"), "package_sizes": ("product", "package_size"),
    "water_tests": ("source",),
    "weeds": ("field", "weed"), "ratings": ("product", "weed"), "rinse_terms": ("sprayer", "tank"),
    "mitigation_labels": ("product", "field"), "mitigation_fields": ("field",),
    "mitigation": ("field", "measure"),
    "clean_out_labels": ("product", "next_crop"), "pressure_classes": ("pressure_class",),
    "load_log": ("pass", "field", "load"), "spot_terms": ("sprayer", "use", "crop"),
}

#: A crop left blank means the same as this word.
ANY_CROP = "any"


def check_duplicates(inputs: Inputs, tables: Sequence[Table]) -> list[Problem]:
    """Return a problem for each row that another row above already describes."""
    problems = []
    for table in tables:
        keys = UNIQUE_KEYS.get(table.key, ())
        first_at: dict[tuple[str, ...], int] = {}
        for at, row in inputs.filled(table.key) if keys else ():
            if row.get(keys[0]) is None:
                continue
            # A blank crop is any crop.
            names = (folded(ANY_CROP if row.get(key) is None else row[key]) for key in keys)
            first = first_at.setdefault(tuple(names), at)
            if first != at:
                named = " with ".join(repr(str(row.get(key) or ANY_CROP)) for key in keys)
                earlier = where(inputs, table, first)["row"]
                message = f"{named} is in {table.title} already, in row {earlier}"
                place = where(inputs, table, at, keys[-1])
                problems.append(Problem("duplicate-key", message, **place,
                                        fix="Keep one row, or change the name"))
    return problems
