"""Passes and sprayers: the share of field sprayed, whether the mix fits its carrier and the tank.

A pass typed for several fields gets a row for each.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from workbook_builder.check.problems import Line, PlacedRows, Problem, Shelf, folded, place_of, suggestion
from workbook_builder.check.products import rate_parts
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs, Row
from workbook_builder.core.units import DRY, LIQUID, factor, mass_unit, phase, volume_unit
from workbook_builder.features.reference.data import form_of

#: Table, and figures of a label row of which the first is never above the second.
_RISING = (
    ("soil_rates", "rate_low", "rate_high"),
    *(("soil_rates", f"{key}_from", f"{key}_to") for key in ("organic_matter", "soil_ph", "residue")),
    ("rain_plant_back", "ph_from", "ph_below"),
    *(("label_limits", f"min_{key}", f"max_{key}") for key in ("rate", "carrier", "crop_height")),
)


def check_passes(shelf: Shelf) -> Iterator[Problem]:
    """Yield what is wrong with passes and sprayers taken together with the mixes."""
    for line in shelf.rows("passes"):
        row = line.row
        method, share = row.get("method"), row.get("sprayed_share")
        share = row.get("share_low") if share is None and row.get("share_high") is not None else share
        # A pressure class gives an expected share of its own.
        if method == "spot" and share is None and row.get("pressure_class") is None:
            yield line.doubt("no-sprayed-share", "sprayed_share",
                             "the spot pass has no share of field sprayed, so its volume cannot be "
                             "worked out",
                             "Type the share expected, as 30 % or as 10-60 %, or choose a pressure class")
        if method == "broadcast" and share not in (None, 1):
            yield line.doubt("share-ignored", "sprayed_share",
                             "the share of field sprayed of a broadcast pass is not used",
                             "Choose spot as the method, or leave the share blank")
    yield from _ranges(shelf)
    for line in shelf.rows("passes"):
        partner = line.row.get("partner_pass")
        if partner is not None and folded(partner) == folded(line.row.get("pass")):
            yield line.wrong("own-partner", "partner_pass", f"the pass {partner!r} is its own partner",
                             "Name the broadcast pass of the same trip, or leave it blank")
    # Crops typed for a pass that its field does not grow.
    grown = {folded(row.get("field")): [str(row[key]) for key in ("crop", "next_crop") if row.get(key)]
             for _, row in shelf.inputs.filled("fields")}
    for line in shelf.rows("passes"):
        crop, own = line.row.get("crop"), grown.get(folded(line.row.get("field")))
        if crop and own and folded(crop) not in map(folded, own):
            message = f"{crop!r} is neither the crop nor the next crop of {line.row['field']!r}"
            yield line.doubt("crop-not-on-field", "crop", message, suggestion(str(crop), own))
    yield from _carriers(shelf)
    for line in shelf.rows("sprayers"):
        unusable = line.row.get("unusable_volume")
        for key in ("main_tank", "spot_tank"):
            tank = line.row.get(key)
            if unusable is not None and tank is not None and unusable >= tank:
                message = (f"the unusable volume {unusable:g} leaves nothing of the "
                           f"{line.table.by_key[key].header.lower()} of {tank:g}")
                yield line.wrong("unusable-exceeds-tank", "unusable_volume", message, "Check both volumes")


def _ranges(shelf: Shelf) -> Iterator[Problem]:
    """Low figures that are above the likely or the high one."""
    for key, low, high in _RISING:
        for line in shelf.rows(key):
            first, second = line.row.get(low), line.row.get(high)
            if first is not None and second is not None and first > second:
                headers = [line.table.by_key[each].header.lower() for each in (low, high)]
                yield line.doubt("range-turned", low,
                                 f"{headers[0]} {first:g} is above {headers[1]} {second:g}",
                                 "Check both figures")
    for key, likely in (("passes", "sprayed_share"), ("pressure_classes", "expected_share")):
        for line in shelf.rows(key):
            told = [line.row[name] for name in ("share_low", likely, "share_high")
                    if line.row.get(name) is not None]
            if told != sorted(told):
                yield line.wrong("range-turned", "share_low", "the low, likely and high share do not rise",
                                 "Type the low share, the likely one and the high one in this order")


def _carriers(shelf: Shelf) -> Iterator[Problem]:
    mixes: dict[str, list[Row]] = {}
    for _, row in shelf.inputs.filled("mixes"):
        mixes.setdefault(folded(row.get("mix")), []).append(row)
    for line in shelf.rows("passes"):
        carrier, mix = line.row.get("carrier"), line.row.get("mix")
        if carrier is None:
            continue
        taken = sum(_volume_per_area(shelf.inputs.system, part, shelf.product(part.get("product")), carrier)
                    for part in mixes.get(folded(mix), []))
        # A carrier that is all fertilizer fills the volume exactly, give or take a rounding.
        if taken > carrier * (1 + 1e-9):
            message = f"the liquid products of {mix!r} take {taken:.4g} of a carrier rate of {carrier:g}"
            yield line.wrong("mix-exceeds-carrier", "carrier", message,
                             "Raise the carrier rate, or check the rates of the mix and their units")


def _volume_per_area(system: str, row: Row, product: Row, carrier: float) -> float:
    """Return the spray volume per area that one product of a mix takes,
    0 for dry ones and where a density is missing.
    """
    rate, density = row.get("rate"), product.get("density")
    amount, basis = rate_parts(row.get("rate_unit"))
    if not basis or rate is None or form_of(product) == DRY:
        return 0.0
    if basis == "percent":
        return float(rate) * carrier / 100
    if phase(amount) == LIQUID:
        volume = float(rate) * factor(amount, volume_unit(system))
    elif density is None or form_of(product) != LIQUID:
        return 0.0
    else:
        volume = float(rate) * factor(amount, mass_unit(system)) / density
    return volume * carrier / 100 if basis == "per 100" else volume


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
    crops = {str(row["field"]): str(row.get("crop") or "") for _, row in inputs.filled("fields")
             if row.get("field")}
    named = [_fields_of(row.get("field"), crops) for row in inputs.rows("passes")]
    mixes = {folded(row["mix"]): str(row["mix"]) for _, row in inputs.filled("mixes") if row.get("mix")}
    rows: list[Row] = []
    problems: list[Problem] = []
    for at, (row, fields) in enumerate(zip(inputs.rows("passes"), named, strict=True), 1):
        line = Line(inputs, tables["passes"], at, row)
        if len(fields) > 1:
            message = (f"the pass {row.get('pass')!r} is typed for {len(fields)} fields, and has a row for "
                       f"each: {', '.join(fields)}")
            problems.append(line.doubt("several-fields", "field", message,
                                       "Nothing, if all of them are meant"))
        for field in fields:
            new = {**row, "field": field} if row else row
            if row and row.get("mix") is None:
                # The mix called like a pass and a crop, or like the pass alone.
                name, crop = row.get("pass"), crops.get(str(field), "")
                wanted = ([f"{name} {crop}", f"{crop} {name}", f"{name}, {crop}", f"{name}"] if crop
                          else [f"{name}"])
                new["mix"] = next((mixes[folded(text)] for text in wanted if folded(text) in mixes), None)
                if new["mix"] is None:
                    problems.append(line.wrong("required-blank", "mix",
                                               "Mix must be filled in, as no mix is called like the pass",
                                               "Choose one of the mixes, or name a mix like the pass"))
            rows.append(new)
    if rows == list(inputs.rows("passes")):
        return inputs, problems
    times = [len(fields) for fields in named]
    place = place_of(inputs, tables["passes"])
    lines = tuple(line for line, count in zip(place.rows, times, strict=False) for _ in range(count))
    spread = PlacedRows(rows, replace(place, rows=lines))
    # The user's own columns with the cells of a row repeated for each of its fields.
    own = {
        header: [value for value, count in zip(values, times, strict=False) for _ in range(count)]
        for header, values in inputs.extras.get("passes", {}).items()
    }
    return replace(inputs, tables={**inputs.tables, "passes": spread}, extras={**inputs.extras, "passes": own}
                   if own else dict(inputs.extras)), problems


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
    return ([known[folded(part)] for part in parts] if len(parts) > 1
            and all(folded(part) in known for part in parts) else [text])
