"""Products and mixes: units that need a density, rates and contents that cannot be,
groups that do not exist, of products and of resistant weeds.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from workbook_builder.check.problems import WARNING, Line, Problem, Shelf, folded, nearest
from workbook_builder.core.units import (
    AMOUNT_UNITS,
    DRY,
    LIQUID,
    active_rate_units,
    factor,
    phase,
    split_rate_unit,
    volume_unit,
)
from workbook_builder.features.effective_modes.definitions import MOST_RESISTANT
from workbook_builder.features.labels.names import ACTIVE_NAMES
from workbook_builder.features.products.definitions import registration_key
from workbook_builder.features.products.inputs import HERBICIDE, OTHER_PESTICIDES
from workbook_builder.features.reference.data import (
    active_list,
    form_of,
    groups_of_actives,
    letter_groups,
    other_actives,
    other_group,
    spelled,
)

#: Site-of-action groups in use, and old numbers that labels still carry.
GROUPS_IN_USE = frozenset({0, 1, 2, 3, 4, 5, 6, 9, 10, 12, 13, 14, 15, 18, 19, 22, 23, 24, *range(27, 35)})
OLD_GROUPS = frozenset({7, 8, 11, 16, 17, 20, 21, 25, 26})
#: How alike a name must be to one of the list to be taken for a slip of it.
NEAR_ACTIVE = 0.85
#: Letters and digits up to which a listed name is too short for another to begin with it by intent.
SHORTEST_BEGIN = 2
#: Kinds of products without whose group no plan is made; "other" may hide a herbicide.
NEED_A_GROUP = (HERBICIDE, "other")
#: Content unit -> content of the pure ingredient.
PURE = {"% w/w": 100, "% ae w/w": 100, "% ai w/w": 100, "g/kg": 1000, "g ae/kg": 1000, "g ai/kg": 1000}
#: Longest list of numbers that the sheet takes apart, spaces left out.
LONGEST = 20
_LIST = re.compile(r"[0-9;, ]*")
_SYNTAX = f"Type up to {MOST_RESISTANT} group numbers, such as 2;9"


def check_products(shelf: Shelf) -> Iterator[Problem]:
    """Yield what is wrong with products, ingredients, label limits and mixes taken together."""
    yield from _mix_rates(shelf)
    for line in shelf.rows("ingredients"):
        unit, content = line.row.get("content_unit"), line.row.get("content")
        if unit is None:
            continue
        # A content unit counts per a phase: g/L is per liquid, % w/w per dry weight.
        below = str(unit).rpartition("/")[2]
        yield from _needs_density(shelf, line, "content_unit", phase(below) if below in AMOUNT_UNITS else DRY)
        if content is not None and content > PURE.get(str(unit), float("inf")):
            message, fix = (f"{content:g} {unit} is more than the product weighs",
                            f"Type at most {PURE[str(unit)]}, or choose another content unit")
            yield line.wrong("content-too-high", "content", message, fix)
    yield from _label_units(shelf)
    # Rates by soil that no rate of the product on an area can be held against.
    for line in shelf.rows("soil_rates"):
        unit = line.row.get("rate_unit")
        yield from _of_active(line, "Type the rate in a unit of the product per area")
        if rate_parts(unit)[1] in ("percent", "per 100"):
            yield line.wrong("limit-per-area", "rate_unit", f"a rate by soil cannot be counted in {unit}",
                             "Type the rate per area")
        else:
            yield from _needs_density(shelf, line, "rate_unit", rate_phase(unit))
    # A product that bears the registration number of another: both are one product for every limit.
    first: dict[str, object] = {}
    for line in shelf.rows("products"):
        name, registration = line.row.get("product"), registration_key(line.row.get("registration_no") or "")
        named = first.setdefault(registration, name) if registration else name
        if named != name:
            message = f"{name!r} has the registration number of {named!r}, so both count as one product"
            yield line.doubt("shared-registration", "registration_no", message,
                             "Check the number; nothing is to do when it is one product")
    yield from _unlisted_actives(shelf)
    for line in shelf.rows("ingredients"):
        if (line.row.get("mode_group") is None and folded(shelf.product(line.row.get("product")).get("kind"))
            in NEED_A_GROUP):
            message = f"{line.table.by_key['mode_group'].header} must be filled in"
            listed = groups_of_actives().get(spelled(line.row.get("active_ingredient"), ACTIVE_NAMES))
            hint = "" if listed is None else f". The list has {listed} for it; the label counts"
            yield line.wrong("required-blank", "mode_group", message,
                             f"Type the HRAC number from the label; 0 where the mode of action is "
                             f"unknown{hint}")
    yield from _groups(shelf)


def rate_parts(unit: object) -> tuple[str, str]:
    """Return the amount unit and the basis of a rate unit, both blank for text that is none."""
    try:
        return split_rate_unit(str(unit))
    except ValueError:
        return "", ""


def rate_phase(unit: object) -> str:
    """Return the phase a rate unit counts in, or blank for text that is no rate unit."""
    amount, basis = rate_parts(unit)
    return phase(amount) if amount else LIQUID if basis else ""


def _needs_density(shelf: Shelf, line: Line, key: str, wanted: str) -> list[Problem]:
    name, unit = line.row.get("product"), line.row.get(key)
    product = shelf.product(name)
    sold_in = product.get("package_unit")
    if (sold_in not in AMOUNT_UNITS or not wanted or product.get("density") is not None
        or phase(sold_in) == wanted):
        return []
    message = (f"{unit!r} counts a {wanted} product, but {name!r} is sold in {sold_in} and has no density "
               f"entered")
    return [line.wrong("needs-density", key, message,
                       f"Enter the density of {name!r} in Products, or use a unit for a {phase(sold_in)} "
                       f"product")]


def _mix_rates(shelf: Shelf) -> Iterator[Problem]:
    for line in shelf.rows("mixes"):
        name, rate, unit = (line.row.get(key) for key in ("product", "rate", "rate_unit"))
        product, wanted = shelf.product(name), rate_phase(unit)
        # The workbook is built without the density that a rate needs, and says that the mix is Not entered.
        found = [replace(problem, severity=WARNING)
                 for problem in _needs_density(shelf, line, "rate_unit", wanted)]
        if not found and wanted == DRY and form_of(product) == LIQUID and product.get("density") is None:
            message = (f"{name!r} is a liquid rated by weight and has no density entered, so the room it "
                       f"takes in the tank is not known")
            found = [line.doubt("needs-density", "rate_unit", message,
                                f"Enter the density of {name!r} in Products")]
        yield from found
        yield from _ounces(shelf, line)
        if rate == 0:
            yield line.doubt("zero-rate", "rate", f"{name!r} stands in the mix with a rate of 0",
                             "Type its rate, or take the row out")
        # The share of the spray volume that a rate by volume takes.
        amount, basis = rate_parts(unit)
        share = (1 if basis == "percent" else factor(amount, volume_unit(shelf.inputs.system))
                 if basis == "per 100" and phase(amount) == LIQUID else 0)
        if rate is not None and rate * share / 100 > 1:
            message = f"{rate:g} {unit} is more than the whole spray volume"
            yield line.wrong("rate-too-high", "rate", message,
                             "Check the rate and its unit; 0.25 stands for 0.25 %")


def _ounces(shelf: Shelf, line: Line) -> Iterator[Problem]:
    """Ask whether ounces of a liquid are meant as weight, which is how they are counted."""
    name, unit = line.row.get("product"), line.row.get("rate_unit")
    if str(unit).partition("/")[0] == "oz" and form_of(shelf.product(name)) == LIQUID:
        yield line.doubt("ounces-of-liquid", "rate_unit", f"{unit!r} counts weight, and {name!r} is a liquid",
                         "Choose fl oz where fluid ounces are meant")


def _of_active(line: Line, instead: str) -> list[Problem]:
    """Refuse a limit of a product in a unit that counts its active ingredient."""
    unit = line.row.get("rate_unit")
    message = f"{unit!r} counts the active ingredient, not the product"
    return ([line.wrong("limit-of-active", "rate_unit", message, instead)]
            if unit in active_rate_units(line.inputs.system) else [])


def _label_units(shelf: Shelf) -> Iterator[Problem]:
    for line in shelf.rows("label_limits"):
        unit = line.row.get("rate_unit")
        if all(line.row.get(key) is None for key in ("max_rate", "max_rate_season", "min_rate")):
            continue
        if unit is None:
            message = f"the limits of {line.row.get('product')!r} have no unit"
            yield line.wrong("missing-rate-unit", "rate_unit", message, "Choose the rate unit the label uses")
        elif active := _of_active(line,
                                  "Type the limit in Ingredient limits, or in a unit of the product here"):
            yield from active
        else:
            yield from _needs_density(shelf, line, "rate_unit", rate_phase(unit))
            yield from _ounces(shelf, line)
            if line.row.get("max_rate_season") is not None and rate_parts(unit)[1] in ("percent", "per 100"):
                message = f"a limit for the season cannot be counted in {unit}"
                yield line.wrong("limit-per-area", "rate_unit", message, "Give the season's limit per area")


def _bare(name: str) -> str:
    return re.sub(r"[^0-9a-z]", "", name.casefold())


def _unlisted_actives(shelf: Shelf) -> Iterator[Problem]:
    """Warn of an active ingredient the list does not know, where its name is near one that it knows."""
    known, said = groups_of_actives(), set[str]()
    listed = [str(row["active_ingredient"]) for row in active_list()]
    for line in shelf.rows("ingredients", "ingredient_limits"):
        name = line.row.get("active_ingredient")
        spelling, kind = spelled(name, ACTIVE_NAMES), shelf.product(line.row.get("product")).get("kind")
        if name is None or spelling in known or spelling in said or folded(kind) in OTHER_PESTICIDES:
            continue
        said.add(spelling)
        # The listed one that the name begins with, whatever its signs and spaces, or is most like.
        begun = [each for each in listed if _bare(str(name)).startswith(_bare(each))
                 and len(_bare(each)) > SHORTEST_BEGIN]
        like = max(begun, key=len, default="") or nearest(str(name), listed, NEAR_ACTIVE)
        if like:
            message = f"{name!r} is not in the list of active ingredients, though {like!r} is"
            yield line.doubt("active-not-listed", "active_ingredient", message, f"Did you mean {like!r}?")


def _groups(shelf: Shelf) -> Iterator[Problem]:
    """Say which group no list knows, or the list of insecticides and fungicides knows otherwise."""
    for line in shelf.rows("ingredients", "past_use"):
        group, name = line.row.get("mode_group"), line.row.get("active_ingredient")
        kind = folded(shelf.product(line.row.get("product")).get("kind"))
        scheme = str(line.row.get("scheme") or (kind if kind in OTHER_PESTICIDES else HERBICIDE))
        if scheme == HERBICIDE:
            if group is not None and group not in GROUPS_IN_USE | OLD_GROUPS:
                fix = "Type the HRAC number from the label: 0 to 34, some numbers are not in use"
                yield line.wrong("unknown-group", "mode_group", f"{group} is not a herbicide group", fix)
            continue
        listed = other_actives().get((scheme, spelled(name, ACTIVE_NAMES)))
        as_labelled = "Type it as the label has it: 4A or 28 of an insecticide, 11 or M05 of a fungicide"
        fix = f"The list has {listed} for it; the label counts" if listed else as_labelled
        if scheme == "growth regulator" or (group is None and not listed):
            continue
        if group is None:
            yield line.doubt("group-blank", "mode_group", f"the {scheme} group of {name!r} is not entered",
                             fix)
        elif (number := other_group(scheme, group)) is None:
            yield line.wrong("unknown-group", "mode_group", f"{group} is not in the list of {scheme} groups",
                             fix)
        elif listed and number != other_group(scheme, listed):
            yield line.doubt("group-otherwise", "mode_group", f"{name!r} stands under {scheme} group {group}",
                             fix)


def check_weeds(shelf: Shelf) -> Iterator[Problem]:
    """Yield what is doubtful about the groups that weeds are resistant to."""
    for line in shelf.rows("weeds"):
        text = line.row.get("resistant_groups")
        groups = numbers_in(str(text)) if text is not None else []
        if groups is None:
            message = f"{text!r} is not a list of herbicide groups, so no resistance is counted"
            yield line.doubt("unreadable-groups", "resistant_groups", message, hint(str(text)))
        for group in groups or ():
            if group not in GROUPS_IN_USE:
                fix = "Type the HRAC number as it is today: 0 to 34, some numbers are not in use"
                yield line.doubt("unknown-group", "resistant_groups",
                                 f"{group} is not a herbicide group of today", fix)


def numbers_in(text: str) -> list[int] | None:
    """Return the numbers of a list such as ``2;9``, each once; None when it is no such list."""
    parts = text.replace(" ", "").replace(",", ";")
    listed = parts.split(";") if parts else []
    if not _LIST.fullmatch(text) or len(listed) > MOST_RESISTANT or len(parts) > LONGEST:
        return None
    return list(dict.fromkeys(int(part) for part in listed if part))


def hint(text: str) -> str:
    """Return what was probably meant: the numbers in the text,
    or the groups of the letters or ingredients it names.
    """
    found = [int(digits) for digits in re.findall(r"[0-9]+", text)]
    named = ""
    letters = [part.strip().upper() for part in re.split(r"[;,/+&]", text)]
    by_letter = letter_groups()
    if not found and all(letter in by_letter for letter in letters):
        found, named = [by_letter[letter] for letter in letters], "older HRAC letters"
    if not found:
        known = {str(row["active_ingredient"]): row["mode_group"] for row in active_list()}
        names = [nearest(part.strip(), known) for part in re.split(r"[;,/+&]| and ", text)]
        found = [int(known[name]) for name in names if name and known[name] is not None]
        named = ", ".join(name for name in names if name)
    groups = [str(group) for group in dict.fromkeys(found) if group in GROUPS_IN_USE]
    if not 0 < len(groups) <= MOST_RESISTANT:
        return _SYNTAX
    return f"Did you mean {';'.join(groups)!r}{f' ({named})' if named else ''}?"
