"""Rows of the reference lists: shipped lists read from ``data``, unit lists derived by pint.

Every function returns rows of one declared table: dicts with exactly the keys that the
table declares, in the order they are printed.  Unit factors are never typed; they come
from :func:`workbook_builder.core.units.factor` and are rounded to 12 significant digits, far
finer than any figure people type and coarse enough to read.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Callable
from functools import cache
from importlib import resources

from workbook_builder.core import units
from workbook_builder.core.columns import Table, same_amount
from workbook_builder.core.inputs import Row
from workbook_builder.core.quantities import US
from workbook_builder.features.farm.settings import ADDING_STEPS, ASSUMPTIONS
from workbook_builder.features.labels.names import ACTIVE_NAMES, CROP_NAMES, NameList
from workbook_builder.features.products.inputs import CONTENT_UNITS, LIMIT_UNITS
from workbook_builder.features.reference import agronomy_data
from workbook_builder.features.reference import columns as reference
from workbook_builder.features.shares.inputs import CONTACT_GROUPS

#: Columns of the shipped lists that hold whole numbers.
WHOLE_COLUMNS = frozenset({"mode_group", "old_group", "new_group", "step", "in_a_row", "season_uses"})


@cache
def _shipped_lines(name: str) -> tuple[dict[str, str], ...]:
    """Return the lines of a shipped CSV file, all as text."""
    text = resources.files("workbook_builder").joinpath("data", name).read_text("utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def _shipped(name: str, table: Table) -> list[Row]:
    """Return fresh rows of `table` from a shipped file; a blank cell becomes ``None``."""
    keys = tuple(table.by_key)
    return [{key: _value(key, line[key]) for key in keys} for line in _shipped_lines(name)]


def _value(key: str, text: str) -> str | int | None:
    """Return a cell of a shipped list as the kind its column holds."""
    if not text:
        return None
    return int(text) if key in WHOLE_COLUMNS or (key == "code" and text.isdigit()) else text


def formulation_codes() -> list[Row]:
    """Return the international formulation codes, the most used first."""
    return _shipped("formulation_codes.csv", reference.FORMULATION_CODES)


@cache
def _forms() -> dict[str, str]:
    return {line["code"].casefold(): line["phase"] for line in _shipped_lines("formulation_codes.csv")}


def form_of(product: Row) -> str:
    """Return whether a product is liquid or dry: by its formulation,
    or as it is sold where that does not say.
    """
    listed = _forms().get(str(product.get("formulation") or "").casefold(), "")
    sold_in = product.get("package_unit")
    return listed or (units.phase(str(sold_in)) if sold_in in units.AMOUNT_UNITS else "")


def group_names() -> list[Row]:
    """Return the groups of herbicides, insecticides and fungicides and what each acts on, by number."""
    herbicides: list[Row] = [
        {"mode_group": int(line["mode_group"]), "said": line["mode_group"], "scheme": "herbicide",
         "code": int(line["mode_group"]),
         "site_of_action": line["site_of_action"], "in_a_row": None, "season_uses": None}
        for line in _shipped_lines("herbicide_groups.csv")
    ]
    return herbicides + [
        {key: _value(key, {**line, "said": f"{line['scheme']} {line['code']}"}[key])
         for key in reference.GROUP_NAMES.by_key}
        for line in _shipped_lines("other_groups.csv")
    ]


@cache
def _codes() -> dict[tuple[str, str], int]:
    lines = _shipped_lines("other_groups.csv")
    return {(line["scheme"], code): int(line["mode_group"]) for line in lines
            for code in (line["code"], *filter(None, line["also"].split(";")))}


def group_codes() -> list[Row]:
    """Return every spelling of the group of an insecticide or a fungicide with its number."""
    return [{"key": "|".join(key), "mode_group": number} for key, number in _codes().items()]


def other_group(scheme: str, code: object) -> int | None:
    """Return the number of a group of insecticides or fungicides; None when the list has no such code."""
    return _codes().get((scheme, str(code)))


@cache
def other_actives() -> dict[tuple[str, str], str]:
    """Return the code of every insecticide and fungicide that the list knows, by group list and spelled name.
    """
    return {(line["scheme"], spelled(line["active_ingredient"], ACTIVE_NAMES)): line["code"]
            for line in _shipped_lines("other_actives.csv")}


def old_groups() -> list[Row]:
    """Return the retired group numbers; ``new_group`` is ``None`` where the ingredient decides."""
    return _shipped("old_groups.csv", reference.OLD_GROUPS)


def active_list() -> list[Row]:
    """Return the active ingredients with their group and how sure that is."""
    return _shipped("active_ingredients.csv", reference.ACTIVE_LIST)


def letter_groups() -> dict[str, int]:
    """Return the number that most ingredients of an older HRAC letter carry today, by letter.

    Australian letters differ.
    """
    found: dict[str, Counter[int]] = {}
    for line in _shipped_lines("active_ingredients.csv"):
        if line["legacy_letter"] and line["mode_group"]:
            found.setdefault(line["legacy_letter"], Counter())[int(line["mode_group"])] += 1
    return {letter: numbers.most_common(1)[0][0] for letter, numbers in found.items()}


def crop_names() -> list[Row]:
    """Return every spelling of every crop without spaces, plural forms and turned words too.

    The first crop of a spelling has it.
    """
    found: dict[str, Row] = {}
    for line in _shipped_lines("crop_names.csv"):
        shared = {"crop": line["crop"], "kind_of": line["kind_of"] or None, "family": line["family"],
                  "group": line["group"] or None}
        for name in line["names"].split(";"):
            # Unless it stands as it is its plural too, and both with two words turned (``wheat, winter``).
            words, plain = name.split(), "".join(name.split())
            spellings = [plain]
            if line["crop"] not in ("any", "fallow"):
                spellings.append(plain + ("es" if name.endswith("o") else "s"))
                if len(words) == 2:
                    spellings += [words[1] + words[0], words[1] + "s" + words[0]]
            for spelling in spellings:
                found.setdefault(spelling, {"plain": spelling, **shared,
                                            "start": spelling[: CROP_NAMES.start]})
    return list(found.values())


#: Endings by which a listed name says which ester or salt is sold; the name without them means the same
#: ingredient.
SOLD_AS = ("-methyl", "-ethyl", "-butyl", "-sodium", "-pentyl", "-benzyl", "-dimethyl", "-mexyl", "-ammonium")


def active_names() -> list[Row]:
    """Return every name of an active ingredient without spaces: salts,
    esters and resolved forms with their parent, then the list.
    """
    groups = {str(row["active_ingredient"]): row["mode_group"] for row in active_list()}
    found: dict[str, Row] = {}
    for line in _shipped_lines("active_forms.csv"):
        names = line["parents"].split(";")
        if line["forms"]:
            names = [f"{parent} {form}" for parent in names for form in line["forms"].split(";")]
        for name in names:
            found.setdefault(_letters(name, ACTIVE_NAMES), _active_name(name, line))
    listed = {name: {"counts_as": name, "kind": "ingredient", "standing": "from memory",
                     "source": "the list of active ingredients"} for name in groups}
    for name, line in listed.items():
        for also in (name, *name.rstrip(")").split(" (")):
            found.setdefault(_letters(also, ACTIVE_NAMES), _active_name(also, line))
    for name, line in listed.items():
        for ending in SOLD_AS:
            if name.endswith(ending):
                found.setdefault(_letters(name.removesuffix(ending), ACTIVE_NAMES),
                                 _active_name(name.removesuffix(ending), line))
    by_parent: dict[object, object] = {}
    for name, group in groups.items():
        by_parent.setdefault(found[_letters(name, ACTIVE_NAMES)]["counts_as"], group)
    return [{**row, "mode_group": by_parent.get(row["counts_as"])} for row in found.values()]


def _active_name(name: str, line: dict[str, str]) -> Row:
    """Return one spelling of an ingredient.

    The acid equivalent of what is no salt, ester or acid is the whole of it.
    """
    spelling = _letters(name, ACTIVE_NAMES)
    weights = {key: float(line[key]) if line.get(key) else None for key in ("acid_weight", "form_weight")}
    acid, form = weights.values()
    ratio = None if line["kind"] in ("acid", "salt", "ester") else 1.0
    return {
        "plain": spelling, "counts_as": line["counts_as"], "kind": line["kind"],
        "ratio": units.tidy(acid / form) if acid and form else ratio, "mode_group": None,
        **weights, "standing": line["standing"], "source": line["source"],
        "start": spelling[: ACTIVE_NAMES.start],
    }


def spelled(name: object, names: NameList) -> str:
    """Return a name as lookups in a list compare it: without signs, spaces and case."""
    return _letters(str(name), names).casefold()


def _letters(name: str, names: NameList) -> str:
    for sign in names.signs:
        name = name.replace(sign, names.instead)
    return name.replace(" ", "")


@cache
def crop_of_names() -> dict[str, str]:
    """Return the one name of every crop the list knows, by its spelling."""
    return {str(row["plain"]).casefold(): str(row["crop"]) for row in crop_names()}


@cache
def groups_of_actives() -> dict[str, object]:
    """Return the herbicide group of every active ingredient the list knows, by its spelling,
    salts and esters included.
    """
    return {str(row["plain"]).casefold(): row["mode_group"] for row in active_names()}


def adding_steps() -> list[Row]:
    """Return the mixing order rules a new input workbook starts with."""
    return _shipped("adding_steps.csv", ADDING_STEPS)


def contact_groups() -> list[Row]:
    """Return the contact groups a new input workbook starts with."""
    return _shipped("contact_groups.csv", CONTACT_GROUPS)


def time_zones() -> list[Row]:
    """Return the time zones whose summer time follows the Sundays of a month."""
    return [{key: text or None if key == "time_zone" or not text
             else int(text) if key.endswith(("month", "week")) else float(text) for key, text in line.items()}
            for line in _shipped_lines("time_zones.csv")]


def _factor(from_unit: str, to_unit: str) -> float:
    """Return the rounded factor between two printed unit labels."""
    return units.tidy(units.factor(from_unit, to_unit))


def _to_base(system: str, amount_unit: str) -> float:
    """Return how many base units one amount unit holds."""
    return _factor(amount_unit, units.base_unit(system, amount_unit))


def unit_list(system: str) -> list[Row]:
    """Return the amount units with their phase and their size in base units."""
    return [
        {"unit": unit, "phase": units.phase(unit), "to_base": _to_base(system, unit)}
        for unit in units.AMOUNT_UNITS
    ]


def rate_units(system: str) -> list[Row]:
    """Return the rate units, in the order of :func:`workbook_builder.core.units.rate_units`.

    ``per_area`` and ``per_volume`` are base units per unit of area, or per unit of spray
    volume, for a rate of 1; the one that does not apply is 0.
    """
    active = units.active_rate_units(system)
    return [_active_rate_unit(system, unit) if unit in active else _rate_unit(system, unit)
            for unit in units.rate_units(system)]


def _active_rate_unit(system: str, unit: str) -> Row:
    """Return the row of a rate unit that counts an active ingredient.

    What is poured follows from the product.
    """
    plain, counts = _without_counts(unit)
    plan_unit = f"{units.mass_unit(system)}/{units.area_unit(system)}"
    return {"rate_unit": unit, "amount_unit": None, "phase": None, "per_area": 0.0, "per_volume": 0.0,
            "to_base": 0.0, "counts": counts, "per_mass": _factor(plain, plan_unit)}


def _rate_unit(system: str, unit: str) -> Row:
    """Return the row of one rate unit."""
    amount_unit, basis = units.split_rate_unit(unit)
    liquid_base = units.BASE_UNITS[(system, units.LIQUID)]
    amount_unit = amount_unit or liquid_base
    to_base = _to_base(system, amount_unit)
    if basis == "percent":
        per_volume = units.tidy(units.factor(units.volume_unit(system), liquid_base) / 100)
    else:
        per_volume = units.tidy(to_base / 100) if basis == "per 100" else 0.0
    return {
        "rate_unit": unit,
        "amount_unit": amount_unit,
        "phase": units.phase(amount_unit),
        "per_area": to_base if basis == "area" else 0.0,
        "per_volume": per_volume,
        "to_base": to_base,
        "counts": None,
        "per_mass": 0.0,
    }


def content_units(system: str) -> list[Row]:
    """Return the content units with mass of ingredient per base unit of product.

    ``factor`` is pounds (metric: kilograms) of ingredient in one base unit of product of
    content 1.  A percent by weight and a g/kg are counted per dry base unit.
    """
    mass, dry_base, liquid_base = (units.mass_unit(system), units.BASE_UNITS[(system, units.DRY)],
                                   units.BASE_UNITS[(system, units.LIQUID)])
    found: list[Row] = []
    for unit in CONTENT_UNITS:
        plain, counts = _without_counts(unit)
        phase = units.phase(plain.partition("/")[2]) if plain != "% w/w" else ""
        base = liquid_base if phase == units.LIQUID else dry_base
        found.append({"content_unit": unit, "counts": counts, "phase": phase,
                      "factor": _factor(plain, f"{mass}/{base}") if phase
                      else units.tidy(units.factor(dry_base, mass) / 100)})
    return found


def limit_units(system: str) -> list[Row]:
    """Return the units of ingredient limits and how each becomes lb/ac or kg/ha."""
    plan_unit = f"{units.mass_unit(system)}/{units.area_unit(system)}"
    rows: list[Row] = []
    for unit in LIMIT_UNITS:
        plain, counts = _without_counts(unit)
        rows.append({"unit": unit, "counts": counts, "factor": _factor(plain, plan_unit)})
    return rows


def _without_counts(unit: str) -> tuple[str, str]:
    """Split ``lb ae/gal`` into ``lb/gal`` and ``ae``; the second is blank where not stated."""
    for counts in ("ae", "ai"):
        if f" {counts}/" in unit or f" {counts} " in unit:
            return unit.replace(f" {counts}", "", 1), counts
    return unit, ""


def factors(system: str) -> list[Row]:
    """Return the single row of unit factors that formulas use."""
    liquid_base = units.BASE_UNITS[(system, units.LIQUID)]
    dry_base = units.BASE_UNITS[(system, units.DRY)]
    volume, mass = units.volume_unit(system), units.mass_unit(system)
    middle = "qt" if system == US else ""
    return [{
        "work_rate_divisor": _work_rate_divisor(system),
        "liquid_step_1": _factor(volume, liquid_base),
        # No middle unit in metric: a step as large as the first one never fills.
        "liquid_step_2": _factor(middle or volume, liquid_base),
        "dry_step_1": _factor(mass, dry_base),
        "liquid_name_1": volume,
        "liquid_name_2": middle,
        "liquid_name_3": liquid_base,
        "dry_name_1": mass,
        "dry_name_2": dry_base,
        "mass_unit": f"{mass}/{units.area_unit(system)}",
        "area_name": units.area_unit(system),
        "base_per_volume": _factor(volume, liquid_base),
        "dry_base_per_density": _factor(f"{mass}/{volume}", f"{dry_base}/{liquid_base}"),
        "acres_per_area": _factor(units.area_unit(system), "ac"),
        # Temperature scales have an offset, so they are no plain factors.
        "temperature_zero": 32 if system == US else 0,
        "temperature_step": 5 / 9 if system == US else 1,
        "usual_water_cost": ASSUMPTIONS.by_key["water_cost"].default_in(system),
    }]


#: Stand-ins for figures the farm leaves blank (see docs/calibration-study.md): a patch in acres, in both unit
#: systems the same ground.
USUAL_PATCH = 20.0
USUAL_EFFECT = 1.35
LEAST_CARRIED_K = 0.1
USUAL_SCATTER = 0.025
USUAL_CONFIDENCE = 0.8


def spot_factors(system: str) -> list[Row]:
    """Return the single row of factors and stand-ins that the spot pass counts with."""
    small, length, spacing = ("sq ft", "ft", "in") if system == US else ("m2", "m", "cm")
    return [{
        "small_per_area": _factor(units.area_unit(system), small),
        "spacing_per_length": _factor(length, spacing),
        "usual_patch": same_amount(USUAL_PATCH, "area", system),
        "usual_effect": USUAL_EFFECT,
        "least_carried_k": LEAST_CARRIED_K,
        "usual_scatter": USUAL_SCATTER,
        "usual_confidence": USUAL_CONFIDENCE,
    }]


def _work_rate_divisor(system: str) -> float:
    """Return what speed times width is divided by to give area per hour."""
    speed, width = ("mph", "ft") if system == US else ("km/h", "m")
    product = units.declared().Quantity(1.0, f"({units.FIELD_UNITS[speed]}) * ({units.FIELD_UNITS[width]})")
    per_hour = product.to(units.pint_name(f"{units.area_unit(system)}/h"))
    return units.tidy(1 / float(per_hour.magnitude))


#: Table key -> function of the unit system that returns the table's rows.
SOURCES: dict[str, Callable[[str], list[Row]]] = {
    "formulation_codes": lambda system: formulation_codes(),
    "group_names": lambda system: group_names(),
    "group_codes": lambda system: group_codes(),
    "old_groups": lambda system: old_groups(),
    "active_list": lambda system: active_list(),
    "crop_names": lambda system: crop_names(),
    "active_names": lambda system: active_names(),
    "adding_steps": lambda system: adding_steps(),
    "contact_groups": lambda system: contact_groups(),
    "time_zones": lambda system: time_zones(),
    "unit_list": unit_list,
    "rate_units": rate_units,
    "content_units": content_units,
    "limit_units": limit_units,
    "factors": factors,
    "agronomy_factors": agronomy_data.agronomy_factors,
    "spot_factors": spot_factors,
}


def reference_rows(system: str) -> dict[str, list[Row]]:
    """Return the rows of every shipped or derived table, by table key."""
    return {key: [dict(row) for row in rows] for key, rows in _made_once(system).items()}


@cache
def _made_once(system: str) -> dict[str, list[Row]]:
    return {key: rows(system) for key, rows in SOURCES.items()}
