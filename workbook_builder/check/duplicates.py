"""Rows that describe the same thing twice."""

from __future__ import annotations

from collections.abc import Sequence

from workbook_builder.check.names import folded
from workbook_builder.check.places import where
from workbook_builder.check.problems import Problem
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs, Row

#: Table -> the columns that together tell its rows apart.
UNIQUE_KEYS: dict[str, tuple[str, ...]] = {
    "fields": ("field",),
    "products": ("product",),
    "sprayers": ("sprayer",),
    "passes": ("pass", "field"),
    "mixes": ("mix", "product"),
    "ingredients": ("product", "active_ingredient"),
    "label_limits": ("product", "crop"),
    "plant_back": ("product", "next_crop"),
    "ingredient_limits": ("active_ingredient", "crop"),
    "weather_limits": ("product",),
    "spray_log": ("pass", "field"),
    "amounts_used": ("pass", "field", "product"),
    "adding_steps": ("kind", "formulation"),
    "measuring_steps": ("what", "step", "unit"),
    "machine": ("sprayer",),
    "machine_use": ("sprayer", "crop"),
    "package_sizes": ("product", "package_size"),
    "water_tests": ("source",),
    "weeds": ("field", "weed"),
    "ratings": ("product", "weed"),
    "rinse_terms": ("sprayer", "tank"),
    "mitigation_labels": ("product", "field"),
    "mitigation_fields": ("field",),
    "mitigation": ("field", "measure"),
    "clean_out_labels": ("product", "next_crop"),
    "pressure_classes": ("pressure_class",),
    "load_log": ("pass", "field", "load"),
    "spot_terms": ("sprayer", "use", "crop"),
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
            first = first_at.setdefault(tuple(_comparable(row.get(key)) for key in keys), at)
            if first != at:
                problems.append(_duplicate(inputs, table, keys, row, first, at))
    return problems


def _comparable(value: object) -> str:
    name = "" if value is None else folded(value)
    return "" if name == ANY_CROP else name


def _duplicate(inputs: Inputs, table: Table, keys: tuple[str, ...], row: Row, first: int, at: int) -> Problem:
    named = " with ".join(repr(str(row.get(key) or ANY_CROP)) for key in keys)
    earlier = where(inputs, table, first)["row"]
    message = f"{named} is in {table.title} already, in row {earlier}"
    place = where(inputs, table, at, keys[-1])
    return Problem("duplicate-key", message, **place, fix="Keep one row, or change the name")
