"""How much room each table gets: typed rows plus spare ones, and slots under them.

Room is decided once, when a workbook is built.  Planning fills it; a list that outgrows
it is flagged in the sheet.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from workbook_builder.core.columns import Table
from workbook_builder.core.inputs import Inputs

#: Spare blank rows given to a typed table that asks for none.
FEWEST_SPARE = 3
MOST_SPARE = 20
#: Points of a curve over the share of the field sprayed, and figures of a machine that are swung.
SHARE_STEPS = 21
SWUNG = 8
#: Causes of open checks on the first tab, and lines of the days ahead: a screen of them.
SHOWN_CAUSES = 10
SHOWN_AHEAD = 12
#: Years shown of a machine, the year it is bought included, and those kept spare.
FEWEST_YEARS = 16
SPARE_YEARS = 5
#: Candidates for the next fill of a spot pass, and points of its curve.
VOLUME_CHOICES = 5
CURVE_POINTS = 21
#: Steps of an estimate before the first load: experience and scouting.
FIRST_STEPS = 2
#: First, later and last load; and measuring steps by size, half of them for liquids and half for dry
#: products.
KINDS_OF_FILL = 3
MEASURING_RANKS = 24
#: Events that a pass and a field have in the calendar.
PASS_EVENTS = 9
FIELD_EVENTS = 7
#: Years in which clock changes are known: the season, two before it and three after.
CLOCK_YEARS = 6
#: Statuses that leave a check open.
WAYS_TO_BE_OPEN = 3


#: Products of earlier mixes that a tank may have to be minded for.
MOST_CARRIED = 8

#: Tables that a command fills and nobody lengthens.
WRITTEN = ("map_passes", "map_rows", "hot_spots", "map_overlays", "map_recurrence")
#: Squares of a map along each side, and hot spots listed of it.
MAP_SIDE, MAP_SPOTS = 24, 10


@dataclass(frozen=True)
class Room:
    """Row counts of typed and given tables, and slot counts.

    Parameters
    ----------
    rows : mapping of str to int
        Rows of every typed or given table, spare rows included.
    slots : mapping of str to int
        Slots of each slot kind.
    resting : frozenset of str
        Keys of typed tables that the workbook leaves out, because nobody uses them.
    """

    rows: Mapping[str, int]
    slots: Mapping[str, int]
    resting: frozenset[str] = frozenset()


def spare_rows(filled: int) -> int:
    """Return how many blank rows follow `filled` typed rows (a tenth, within bounds)."""
    return max(FEWEST_SPARE, min(MOST_SPARE, filled // 10))


def folded(value: object) -> str:
    """Return text as lookups compare it: without regard to case."""
    return "" if value is None else str(value).casefold()


def distinct(values: Iterable[object]) -> int:
    """Return how many different non-blank values there are, without regard to case."""
    return len({folded(value) for value in values} - {""})


def room_for(inputs: Inputs, tables: Iterable[Table], given: Mapping[str, int], checks: int, farm_rules: int,
             resting: frozenset[str] = frozenset()) -> Room:
    """Return the room a workbook for these inputs needs.

    Parameters
    ----------
    inputs : Inputs
    tables : iterable of Table
        All declared tables.
    given : mapping of str to int
        Row counts of the reference tables.
    checks : int
        Number of checks made of each pass.
    farm_rules : int
        Number of checks made of the farm as a whole.
    resting : frozenset of str
        Keys of typed tables that the workbook leaves out.
    """
    rows: dict[str, int] = dict(given)
    for table in tables:
        if table.rows == "typed":
            # The user's own columns may reach further down.
            filled = max(len(inputs.rows(table.key)), *map(len, inputs.extras.get(table.key, {}).values()), 0)
            rows[table.key] = max(2, filled) if table.key in WRITTEN else filled + spare_rows(filled)
    # A season is logged in the workbook it was built for: each pass has a line there.
    rows["spray_log"] = max(rows["spray_log"], rows["passes"])
    products = _products_by_mix(inputs)
    held = Counter(folded(row.get("product")) for _, row in inputs.filled("ingredients"))
    actives = {mix: sum(held[name] for name in names) for mix, names in products.items()}
    # Where no label says what hurts a crop, a tank is minded for its own mix alone.
    carried = (0 if "clean_out_labels" in resting
               else min(MOST_CARRIED, distinct(name for names in products.values() for name in names)))
    # A list of one row is no list to every program: each has two at least.
    slots = {
        "products": _most(map(len, products.values())) + 2,
        "ingredients": _most(actives.values()) + 2,
        "lines": _lines(inputs, "mix", {mix: len(names) for mix, names in products.items()}, rows["passes"]),
        "ingredient_lines": _lines(inputs, "mix", actives, rows["passes"]),
        "nutrient_lines": _lines(inputs, "mix", _analyzed(inputs, products), rows["passes"]),
        "nozzle_lines": _lines(inputs, "sprayer", _named(inputs, "nozzles", "sprayer"), rows["passes"]),
        "weed_lines": _lines(inputs, "field", _named(inputs, "weeds", "field"), rows["passes"]),
        "groups": max(1, _groups(inputs)) + 1,
        "mixes": len(products) + 2,
        # Every crop that a pass may belong to.
        "crops": max(1, distinct(row.get(key) for table, key in (("fields", "crop"), ("fields", "next_crop"),
                                                                 ("passes", "crop"))
                                 for row in inputs.rows(table))) + 1,
        "pass_names": distinct(row.get("pass") for row in inputs.rows("passes")) + 2,
        "weed_names": max(1, distinct(row.get("weed") for row in inputs.rows("weeds"))) + 1,
        "gaps": _most(Counter(folded(row.get("field")) for _, row in inputs.filled("passes")).values()) + 1,
        "one": 1,
        "both_crops": 2,
        "options": 3,
        "seasons": 4,
        "sizes": 5,
        "tanks": 2,
        "carried": _most(map(len, products.values())) + max(2, 1 + carried),
        "checks": checks,
        "clock_years": CLOCK_YEARS,
        "farm_rules": farm_rules,
        "causes": WAYS_TO_BE_OPEN * (checks + farm_rules),
        "years": _years(inputs),
        "share_steps": SHARE_STEPS,
        "swings": SWUNG,
        "open": max(40, min(400, 2 * rows["passes"])),
        "fixes": SHOWN_CAUSES,
        "ahead": SHOWN_AHEAD,
        "spot": _spot_passes(inputs),
        "choices": VOLUME_CHOICES,
        "steps": _most(Counter((folded(row.get("pass")), folded(row.get("field"))) for _, row
                               in inputs.filled("load_log")).values()) + FIRST_STEPS + 3,
        "curve": CURVE_POINTS,
        "fills": KINDS_OF_FILL,
        "pour_steps": MEASURING_RANKS,
        "pass_events": PASS_EVENTS,
        "field_events": FIELD_EVENTS,
        "map_side": MAP_SIDE if any(inputs.filled("map_rows")) else 2,
        "map_spots": MAP_SPOTS if any(inputs.filled("hot_spots")) else 2,
    }
    return Room(rows, slots, resting)


def _spot_passes(inputs: Inputs) -> int:
    """Room for the spot passes there are and some more."""
    spots = sum(folded(row.get("method")) == "spot" for row in inputs.rows("passes"))
    return spots + max(3, spots // 10)


def _most(counts: Iterable[int]) -> int:
    return max(counts, default=1)


def _products_by_mix(inputs: Inputs) -> dict[str, list[str]]:
    products: dict[str, list[str]] = defaultdict(list)
    for _, row in inputs.filled("mixes"):
        if row.get("mix"):
            products[folded(row["mix"])].append(folded(row.get("product")))
    return products


def _lines(inputs: Inputs, key: str, lines: Mapping[str, int], pass_rows: int) -> int:
    """Room for the lines that a mix, field or sprayer brings to each pass, for those of the spare passes,
    and for one more of what is used most.
    """
    uses = Counter(folded(row.get(key)) for _, row in inputs.filled("passes"))
    there = sum(lines.get(name, 0) * count for name, count in uses.items())
    spare = pass_rows - sum(uses.values())
    return (there + -(-there * spare // max(1, sum(uses.values())))
            + max(_most(lines.values()), _most(uses.values())) + 2)


def _analyzed(inputs: Inputs, products: Mapping[str, list[str]]) -> dict[str, int]:
    """Return how many lines a mix has among the nutrients:
    all rows of the analysis where it holds a product of it.
    """
    of = [folded(row.get("product")) for _, row in inputs.filled("analysis")]
    return {mix: len(of) if set(of) & set(names) else 0 for mix, names in products.items()}


def _named(inputs: Inputs, table: str, key: str) -> Counter[str]:
    """Return how many rows of a table each name has."""
    return Counter(folded(row.get(key)) for _, row in inputs.filled(table))


def _groups(inputs: Inputs) -> int:
    """Return how many groups are typed; those of one number in two lists are two."""
    kinds = {folded(row.get("product")): row.get("kind") for row in inputs.rows("products")}
    rows = [row for table in ("ingredients", "past_use") for row in inputs.rows(table)
            if row.get("mode_group") is not None]
    return distinct(f"{row.get('scheme') or kinds.get(folded(row.get('product')), 'herbicide')}|"
                    f"{row['mode_group']}" for row in rows)


def _years(inputs: Inputs) -> int:
    kept = [row["life_years"] for _, row in inputs.filled("machine")
            if isinstance(row.get("life_years"), int)]
    return max(FEWEST_YEARS, _most(kept) + SPARE_YEARS + 1)
