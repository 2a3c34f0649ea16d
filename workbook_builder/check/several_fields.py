"""Passes typed for several fields in one row, and mixes named like their pass: each field gets a row of its own."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from workbook_builder.check.names import folded
from workbook_builder.check.places import PlacedRows, place_of, where
from workbook_builder.check.problems import WARNING, Problem
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs, Row

#: What stands between the fields of one row.
_BETWEEN = re.compile(r"\s*[;,+\n]\s*")
#: Stands for every field, or with a crop for those that grow it.
ALL = "all"


def spread_passes(inputs: Inputs, tables: Mapping[str, Table]) -> tuple[Inputs, list[Problem]]:
    """Give each field of a pass a row of its own, and a pass without a mix the mix of its name.

    A row may name fields with a semicolon, comma or plus between them, ``all``, or ``all`` and a
    crop.  A blank mix is the one called like the pass and the field's crop, or like the pass.

    Returns
    -------
    (inputs, problems) : tuple
        A warning for each row that became several, an error for each mix that nobody can tell.
    """
    if "passes" not in tables or not inputs.rows("passes"):
        return inputs, []
    crops = {str(row["field"]): str(row.get("crop") or "") for _, row in inputs.filled("fields") if row.get("field")}
    named = [_fields_of(row.get("field"), crops) for row in inputs.rows("passes")]
    mixes = {folded(row["mix"]): str(row["mix"]) for _, row in inputs.filled("mixes") if row.get("mix")}
    rows: list[Row] = []
    problems: list[Problem] = []
    for at, (row, fields) in enumerate(zip(inputs.rows("passes"), named, strict=True), 1):
        if len(fields) > 1:
            message = f"the pass {row.get('pass')!r} is typed for {len(fields)} fields, and has a row for each: {', '.join(fields)}"
            fix = "Nothing, if all of them are meant"
            problems.append(Problem("several-fields", message, **where(inputs, tables["passes"], at, "field"), severity=WARNING, fix=fix))
        for field in fields:
            new = {**row, "field": field} if row else row
            if row and row.get("mix") is None:
                new["mix"] = _mix_of(row.get("pass"), crops.get(str(field), ""), mixes)
                problems += _without_mix(inputs, tables, at) if new["mix"] is None else []
            rows.append(new)
    if rows == list(inputs.rows("passes")):
        return inputs, problems
    times = [len(fields) for fields in named]
    place = place_of(inputs, tables["passes"])
    lines = tuple(line for line, count in zip(place.rows, times, strict=False) for _ in range(count))
    spread = PlacedRows(rows, replace(place, rows=lines))
    return replace(inputs, tables={**inputs.tables, "passes": spread}, extras=_extras(inputs.extras, times)), problems


def _fields_of(text: Any, crops: Mapping[str, str]) -> list[Any]:
    """Return the fields that a cell names; the cell itself where it names one, or none that is known."""
    known = {folded(name): name for name in crops}
    if not isinstance(text, str) or folded(text) in known:
        return [text]
    word, _, crop = folded(text).partition(" ")
    if word == ALL:
        fields = [name for name, grown in crops.items() if not crop or folded(grown) == crop]
        return fields or [text]
    parts = [part for part in _BETWEEN.split(text.strip()) if part]
    return [known[folded(part)] for part in parts] if len(parts) > 1 and all(folded(part) in known for part in parts) else [text]


def _mix_of(name: Any, crop: str, mixes: Mapping[str, str]) -> str | None:
    """Return the mix called like a pass and a crop, or like the pass alone."""
    wanted = [f"{name} {crop}", f"{crop} {name}", f"{name}, {crop}", f"{name}"] if crop else [f"{name}"]
    return next((mixes[folded(text)] for text in wanted if folded(text) in mixes), None)


def _without_mix(inputs: Inputs, tables: Mapping[str, Table], at: int) -> Iterator[Problem]:
    fix = "Choose one of the mixes, or name a mix like the pass"
    yield Problem("required-blank", "Mix must be filled in, as no mix is called like the pass", **where(inputs, tables["passes"], at, "mix"), fix=fix)


def _extras(extras: Mapping[str, Any], times: list[int]) -> dict[str, Any]:
    """Return the user's own columns with the cells of a row repeated for each of its fields."""
    own = {
        header: [value for value, count in zip(values, times, strict=False) for _ in range(count)]
        for header, values in extras.get("passes", {}).items()
    }
    return {**extras, "passes": own} if own else dict(extras)
