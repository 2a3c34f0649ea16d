"""Products and mixes: units that need a density, rates and contents that cannot be, groups that do not exist, of products and of resistant weeds."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from workbook_builder.check.names import folded
from workbook_builder.check.problems import WARNING, Problem, Where, nearest, where
from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs, Row
from workbook_builder.core.units import AMOUNT_UNITS, DRY, LIQUID, active_rate_units, factor, phase, split_rate_unit, volume_unit
from workbook_builder.features.effective_modes.definitions import MOST_RESISTANT
from workbook_builder.features.labels.names import ACTIVE_NAMES
from workbook_builder.features.products.definitions import registration_key
from workbook_builder.features.products.inputs import HERBICIDE, OTHER_PESTICIDES
from workbook_builder.features.reference.data import active_list, form_of, letter_groups, other_actives, other_group, spelled, spellings_of_actives

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


@dataclass(frozen=True)
class Shelf:
    """The products of a farm by name, and the tables that speak of them."""

    inputs: Inputs
    tables: dict[str, Table]

    def rows(self, key: str) -> Iterator[tuple[Table, int, Row]]:
        """Yield (table, place, row) of a table's filled rows, when it is among those checked."""
        if key in self.tables:
            for at, row in self.inputs.filled(key):
                yield self.tables[key], at, row

    def product(self, name: object) -> Row:
        """Return the row of a product, blank when there is none."""
        return self._by_name.get(folded(name), {})

    @cached_property
    def _by_name(self) -> dict[str, Row]:
        return {folded(row.get("product")): row for _, row in self.inputs.filled("products")}


def check_products(inputs: Inputs, tables: dict[str, Table]) -> list[Problem]:
    """Return what is wrong with products, ingredients, label limits and mixes taken together."""
    shelf = Shelf(inputs, tables)
    return [
        *_mix_rates(shelf),
        *_contents(shelf),
        *_label_units(shelf),
        *_soil_rate_units(shelf),
        *_registrations(shelf),
        *_unlisted_actives(shelf),
        *_blank_groups(shelf),
        *_groups(shelf, "ingredients"),
        *_groups(shelf, "past_use"),
    ]


def rate_phase(unit: object) -> str:
    """Return the phase a rate unit counts in, or blank for text that is no rate unit."""
    try:
        amount, _ = split_rate_unit(str(unit))
    except ValueError:
        return ""
    return phase(amount) if amount else LIQUID


def _needs_density(shelf: Shelf, table: Table, at: int, row: Row, key: str, wanted: str) -> list[Problem]:
    product = shelf.product(row.get("product"))
    sold_in = product.get("package_unit")
    if sold_in not in AMOUNT_UNITS or not wanted or product.get("density") is not None or phase(sold_in) == wanted:
        return []
    name = row["product"]
    message = f"{row[key]!r} counts a {wanted} product, but {name!r} is sold in {sold_in} and has no density entered"
    fix = f"Enter the density of {name!r} in Products, or use a unit for a {phase(sold_in)} product"
    return [Problem("needs-density", message, **where(shelf.inputs, table, at, key), fix=fix)]


def _rate_needs_density(shelf: Shelf, table: Table, at: int, row: Row) -> list[Problem]:
    """Ask for the density that a rate needs; the workbook is built without it, and says that the mix is Not entered."""
    product, wanted = shelf.product(row.get("product")), rate_phase(row.get("rate_unit"))
    found = [replace(problem, severity=WARNING) for problem in _needs_density(shelf, table, at, row, "rate_unit", wanted)]
    if found or wanted != DRY or form_of(product) != LIQUID or product.get("density") is not None:
        return found
    message = f"{row['product']!r} is a liquid rated by weight and has no density entered, so the room it takes in the tank is not known"
    fix = f"Enter the density of {row['product']!r} in Products"
    return [Problem("needs-density", message, **where(shelf.inputs, table, at, "rate_unit"), severity=WARNING, fix=fix)]


def _mix_rates(shelf: Shelf) -> Iterator[Problem]:
    for table, at, row in shelf.rows("mixes"):
        rate, unit = row.get("rate"), row.get("rate_unit")
        yield from _rate_needs_density(shelf, table, at, row)
        yield from _ounces(shelf, table, at, row)
        place = where(shelf.inputs, table, at, "rate")
        if rate == 0:
            message = f"{row.get('product')!r} stands in the mix with a rate of 0"
            yield Problem("zero-rate", message, **place, severity=WARNING, fix="Type its rate, or take the row out")
        if rate is not None and _share_of_volume(shelf.inputs.system, rate, unit) > 1:
            fix = "Check the rate and its unit; 0.25 stands for 0.25 %"
            yield Problem("rate-too-high", f"{rate:g} {unit} is more than the whole spray volume", **place, fix=fix)


def _ounces(shelf: Shelf, table: Table, at: int, row: Row) -> Iterator[Problem]:
    """Ask whether ounces of a liquid are meant as weight, which is how they are counted."""
    if str(row.get("rate_unit")).partition("/")[0] == "oz" and form_of(shelf.product(row.get("product"))) == LIQUID:
        message = f"{row['rate_unit']!r} counts weight, and {row['product']!r} is a liquid"
        place = where(shelf.inputs, table, at, "rate_unit")
        yield Problem("ounces-of-liquid", message, **place, severity=WARNING, fix="Choose fl oz where fluid ounces are meant")


def _share_of_volume(system: str, rate: float, unit: object) -> float:
    """Return the share of the spray volume that a rate by volume takes; 0 for other rates."""
    try:
        amount, basis = split_rate_unit(str(unit))
    except ValueError:
        return 0.0
    if basis == "percent":
        return rate / 100
    if basis == "per 100" and phase(amount) == LIQUID:
        return rate * factor(amount, volume_unit(system)) / 100
    return 0.0


def _contents(shelf: Shelf) -> Iterator[Problem]:
    for table, at, row in shelf.rows("ingredients"):
        unit, content = row.get("content_unit"), row.get("content")
        if unit is None:
            continue
        # The phase that a content unit counts per: g/L is per liquid, % w/w per dry weight.
        below = str(unit).rpartition("/")[2]
        yield from _needs_density(shelf, table, at, row, "content_unit", phase(below) if below in AMOUNT_UNITS else DRY)
        if content is not None and content > PURE.get(str(unit), float("inf")):
            place = where(shelf.inputs, table, at, "content")
            fix = f"Type at most {PURE[str(unit)]}, or choose another content unit"
            yield Problem("content-too-high", f"{content:g} {unit} is more than the product weighs", **place, fix=fix)


def _of_active(unit: object, shelf: Shelf, instead: str, place: Where) -> Iterator[Problem]:
    """Refuse a limit of a product in a unit that counts its active ingredient."""
    if unit in active_rate_units(shelf.inputs.system):
        yield Problem("limit-of-active", f"{unit!r} counts the active ingredient, not the product", **place, fix=instead)


def _soil_rate_units(shelf: Shelf) -> Iterator[Problem]:
    """Refuse rates by soil that no rate of the product on an area can be held against."""
    for table, at, row in shelf.rows("soil_rates"):
        unit, place = row.get("rate_unit"), where(shelf.inputs, table, at, "rate_unit")
        yield from _of_active(unit, shelf, "Type the rate in a unit of the product per area", place)
        if _basis(unit) in ("percent", "per 100"):
            yield Problem("limit-per-area", f"a rate by soil cannot be counted in {unit}", **place, fix="Type the rate per area")
        else:
            yield from _needs_density(shelf, table, at, row, "rate_unit", rate_phase(unit))


def _label_units(shelf: Shelf) -> Iterator[Problem]:
    for table, at, row in shelf.rows("label_limits"):
        unit = row.get("rate_unit")
        if all(row.get(key) is None for key in ("max_rate", "max_rate_season", "min_rate")):
            continue
        place = where(shelf.inputs, table, at, "rate_unit")
        if unit is None:
            message = f"the limits of {row.get('product')!r} have no unit"
            yield Problem("missing-rate-unit", message, **place, fix="Choose the rate unit the label uses")
            continue
        if active := list(_of_active(unit, shelf, "Type the limit in Ingredient limits, or in a unit of the product here", place)):
            yield from active
            continue
        yield from _needs_density(shelf, table, at, row, "rate_unit", rate_phase(unit))
        yield from _ounces(shelf, table, at, row)
        if row.get("max_rate_season") is not None and _basis(unit) in ("percent", "per 100"):
            message = f"a limit for the season cannot be counted in {unit}"
            yield Problem("limit-per-area", message, **place, fix="Give the season's limit per area")


def _basis(unit: object) -> str:
    try:
        return split_rate_unit(str(unit))[1]
    except ValueError:
        return ""


def _registrations(shelf: Shelf) -> Iterator[Problem]:
    """Warn of a product that bears the registration number of another: both are one product for every limit."""
    first: dict[str, object] = {}
    for table, at, row in shelf.rows("products"):
        number = registration_key(row.get("registration_no") or "")
        named = first.setdefault(number, row.get("product")) if number else row.get("product")
        if named != row.get("product"):
            message = f"{row.get('product')!r} has the registration number of {named!r}, so both count as one product"
            place = where(shelf.inputs, table, at, "registration_no")
            yield Problem("shared-registration", message, **place, severity=WARNING, fix="Check the number; nothing is to do when it is one product")


def _listed_like(name: str) -> str:
    """Return the listed active ingredient that a name begins with, whatever its signs and spaces, or is most like; else blank."""
    listed = [str(row["active_ingredient"]) for row in active_list()]
    begun = [each for each in listed if _bare(name).startswith(_bare(each)) and len(_bare(each)) > SHORTEST_BEGIN]
    return max(begun, key=len, default="") or nearest(name, listed, NEAR_ACTIVE)


def _bare(name: str) -> str:
    return re.sub(r"[^0-9a-z]", "", name.casefold())


def _unlisted_actives(shelf: Shelf) -> Iterator[Problem]:
    """Warn of an active ingredient the list does not know, where its name is near one that it knows."""
    known, said = spellings_of_actives(), set[str]()
    for key in ("ingredients", "ingredient_limits"):
        for table, at, row in shelf.rows(key):
            name, spelling = row.get("active_ingredient"), spelled(row.get("active_ingredient"), ACTIVE_NAMES)
            if name is None or spelling in known | said or folded(shelf.product(row.get("product")).get("kind")) in OTHER_PESTICIDES:
                continue
            said.add(spelling)
            like = _listed_like(str(name))
            if like:
                message = f"{name!r} is not in the list of active ingredients, though {like!r} is"
                place = where(shelf.inputs, table, at, "active_ingredient")
                yield Problem("active-not-listed", message, **place, severity=WARNING, fix=f"Did you mean {like!r}?")


def _blank_groups(shelf: Shelf) -> Iterator[Problem]:
    for table, at, row in shelf.rows("ingredients"):
        kind = shelf.product(row.get("product")).get("kind")
        if row.get("mode_group") is None and folded(kind) in NEED_A_GROUP:
            place, header = where(shelf.inputs, table, at, "mode_group"), table.by_key["mode_group"].header
            fix = "Type the HRAC number from the label; 0 where the mode of action is unknown"
            yield Problem("required-blank", f"{header} must be filled in", **place, fix=fix)


def _groups(shelf: Shelf, key: str) -> Iterator[Problem]:
    for table, at, row in shelf.rows(key):
        group, kind = row.get("mode_group"), folded(shelf.product(row.get("product")).get("kind"))
        scheme = row.get("scheme") or (kind if kind in OTHER_PESTICIDES else HERBICIDE)
        if scheme != HERBICIDE:
            yield from _other_group(shelf, table, at, row, str(scheme))
        elif group is not None and group not in GROUPS_IN_USE | OLD_GROUPS:
            fix = "Type the HRAC number from the label: 0 to 34, some numbers are not in use"
            place = where(shelf.inputs, table, at, "mode_group")
            yield Problem("unknown-group", f"{group} is not a herbicide group", **place, fix=fix)


def _other_group(shelf: Shelf, table: Table, at: int, row: Row, scheme: str) -> Iterator[Problem]:
    """Say which group of an insecticide or a fungicide no list knows, or the list knows otherwise."""
    group, listed = row.get("mode_group"), other_actives().get((scheme, spelled(row.get("active_ingredient"), ACTIVE_NAMES)))
    place = where(shelf.inputs, table, at, "mode_group")
    fix = f"The list has {listed} for it; the label counts" if listed else "Type it as the label has it: 4A or 28 of an insecticide, 11 or M05 of a fungicide"
    if scheme == "growth regulator" or (group is None and not listed):
        return
    if group is None:
        yield Problem("group-blank", f"the {scheme} group of {row['active_ingredient']!r} is not entered", **place, severity=WARNING, fix=fix)
    elif (number := other_group(scheme, group)) is None:
        yield Problem("unknown-group", f"{group} is not in the list of {scheme} groups", **place, fix=fix)
    elif listed and number != other_group(scheme, listed):
        yield Problem("group-otherwise", f"{row['active_ingredient']!r} stands under {scheme} group {group}", **place, severity=WARNING, fix=fix)


#: Longest list of numbers that the sheet takes apart, spaces left out.
LONGEST = 20
_LIST = re.compile(r"[0-9;, ]*")
_SYNTAX = f"Type up to {MOST_RESISTANT} group numbers, such as 2;9"


def check_weeds(inputs: Inputs, tables: dict[str, Table]) -> list[Problem]:
    """Return what is doubtful about the groups that weeds are resistant to."""
    return [*_resistant_groups(inputs, tables)]


def _resistant_groups(inputs: Inputs, tables: dict[str, Table]) -> Iterator[Problem]:
    for at, row in inputs.filled("weeds") if "weeds" in tables else ():
        text = row.get("resistant_groups")
        if text is None:
            continue
        place = where(inputs, tables["weeds"], at, "resistant_groups")
        groups = numbers_in(str(text))
        if groups is None:
            message = f"{text!r} is not a list of herbicide groups, so no resistance is counted"
            yield Problem("unreadable-groups", message, **place, severity=WARNING, fix=hint(str(text)))
            continue
        for group in groups:
            if group not in GROUPS_IN_USE:
                fix = "Type the HRAC number as it is today: 0 to 34, some numbers are not in use"
                yield Problem("unknown-group", f"{group} is not a herbicide group of today", **place, severity=WARNING, fix=fix)


def numbers_in(text: str) -> list[int] | None:
    """Return the numbers of a list such as ``2;9``, each once; None when it is no such list."""
    parts = text.replace(" ", "").replace(",", ";")
    listed = parts.split(";") if parts else []
    if not _LIST.fullmatch(text) or len(listed) > MOST_RESISTANT or len(parts) > LONGEST:
        return None
    return list(dict.fromkeys(int(part) for part in listed if part))


def hint(text: str) -> str:
    """Return what was probably meant: the numbers in the text, or the groups of the letters or ingredients it names."""
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
