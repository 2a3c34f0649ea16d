"""Mix cards: one card a recipe, with what goes into a full load and a last one, and every load to tick off.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from workbook_builder.core.adding import added
from workbook_builder.core.columns import NOT_ALLOWED, OK, OPEN_STATUSES
from workbook_builder.core.draft import Cells, at
from workbook_builder.core.place import column_letter
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import STEP_DIGITS, rounded
from workbook_builder.features.checks import CHECK_KINDS
from workbook_builder.features.loads.definitions import split_into_loads, too_small_to_agitate
from workbook_builder.planning import Plan
from workbook_builder.printing.choice import Choice, NothingToPrint
from workbook_builder.printing.codes import Code, code_of, picture
from workbook_builder.printing.pages import render
from workbook_builder.printing.pouring import Fill, Line, Pourer, WorkOrder, work_order
from workbook_builder.theme import DEFAULT_THEME, Theme

#: Points to fix that a card names; the rest are counted.
MOST_POINTS = 3
#: Columns of amounts that stand beside one another.
MOST_FILLS = 4


@dataclass(frozen=True)
class Load:
    """One tank fill of a run of passes; volumes in [volume]."""

    number: int  # In the run, from 1
    #: Of this mix in the tank already, and to add
    in_tank: float
    volume: float
    rows: tuple[int, ...]  # Passes it is sprayed on, in the order they are driven
    done: bool  # Whether the logs tell of it
    even: bool  # Whether all loads of its run are alike


@dataclass(frozen=True)
class Place:
    """One pass on one field, with the letter that stands for it on the card."""

    letter: str
    row: int
    typed: Cells
    volumes: Cells
    times: Cells
    intervals: Cells
    done: bool
    location: str


@dataclass(frozen=True)
class Column:
    """One kind of load on a card, and how many of them are to be mixed."""

    name: str
    count: int
    fill: Fill
    #: Which loads it is, in words
    loads: str = ""


@dataclass(frozen=True)
class Total:
    """A product over all loads of a card."""

    line: Line
    amount: str


@dataclass(frozen=True)
class Card:
    """Everything on one mix card."""

    title: str
    name: str
    places: tuple[Place, ...]
    lines: tuple[Line, ...]
    every: tuple[Column, ...]
    loads: tuple[tuple[Load, ...], ...]
    tank: float
    carrier: float
    totals: tuple[Total, ...]
    points: tuple[tuple[Cells, str], ...]
    more_points: int
    alarm: str
    tank_first: str
    shared: str
    order: WorkOrder
    code: Code
    jar: tuple[tuple[str, str], ...] = ()

    @property
    def columns(self) -> tuple[Column, ...]:
        """The kinds of load that are still to be mixed, or all kinds where none is."""
        return tuple(column for column in self.every if column.count) or self.every

    @property
    def count(self) -> int:
        """How many loads it has."""
        return sum(map(len, self.loads))

    @property
    def typed(self) -> Cells:
        """The first of its passes."""
        return self.places[0].typed

    @property
    def passes(self) -> str:
        """Names of its passes."""
        return ", ".join(dict.fromkeys(str(place.typed["pass"]) for place in self.places))

    @property
    def groups(self) -> list[tuple[Column, ...]]:
        """The columns, as many beside one another as can be read."""
        size = math.ceil(len(self.columns) / math.ceil(len(self.columns) / MOST_FILLS))
        return [self.columns[start : start + size] for start in range(0, len(self.columns), size)]

    @property
    def restricted(self) -> str:
        """Names of the restricted-use products."""
        return ", ".join(line.product for line in self.lines if line.restricted)

    @property
    def next_load(self) -> str:
        """Which load is the next to mix, once one is logged; blank when none is, or none is left."""
        every = [load for run in self.loads for load in run]
        left = [load for load in every if not load.done]
        return (f"Next: load {left[0].number}" if left and len(left) < len(every) else "" if left
                else "All loads are logged")

    @cached_property
    def letters(self) -> dict[int, str]:
        """Row of a pass -> its letter."""
        return {place.row: place.letter for place in self.places}

    def way(self, load: Load) -> str:
        """Letters of the fields a load goes to, in the order they are driven."""
        return " \N{RIGHTWARDS ARROW} ".join(self.letters[row] for row in load.rows)

    def run_name(self, run: tuple[Load, ...]) -> str:
        """Fields and pass of a run, where a card has several."""
        places = [place for place in self.places if place.row in {row for load in run for row in load.rows}]
        return ", ".join(f"{place.letter} {place.typed['field']}" for place in places)

    @property
    def picture(self) -> str:
        """The code to scan: it names the rows of the logs that the card is written into."""
        fields = ", ".join(str(place.typed["field"]) for place in self.places)[:60]
        return picture(f"{self.code} {self.title[:40]}: {fields}")


def mix_cards(plan: Plan, choice: Choice, theme: Theme = DEFAULT_THEME) -> str:
    """Return the mix cards of the chosen passes as one HTML document.

    Blank where all of them are spot passes.

    Raises
    ------
    NothingToPrint
        When no chosen pass has a load that can be worked out.
    """
    made = cards(plan, choice)
    return render("mix_cards.html", plan, "Mix cards", theme, choice.printed, cards=made) if made else ""


def cards(plan: Plan, choice: Choice) -> list[Card]:
    """Return one card for every recipe of the chosen broadcast passes, in sheet order."""
    rows = choice.rows(plan)
    broadcast = [row for row in rows if folded(plan.tables["passes"][row]["method"]) != "spot"]
    recipes: dict[tuple[object, ...], list[int]] = {}
    for row in broadcast:
        if choice.loads(plan, row):
            recipes.setdefault(recipe_of(plan, row), []).append(row)
    if (not recipes and (choice.load is not None or len(broadcast) == len(rows))
        and not any(choice.loads(plan, row) for row in rows)):
        raise NothingToPrint(f"the chosen passes have no "
                             f"{f'load {choice.load}' if choice.load else 'load that can be worked out'}")
    pourer = Pourer(plan)
    return [_card(pourer, choice, each) for each in recipes.values()]


def recipe_of(plan: Plan, row: int) -> tuple[object, ...]:
    """Return what makes two passes one recipe: the same mix at the same carrier rate from the same tank."""
    typed, volumes = plan.tables["passes"][row], plan.tables["pass_volumes"][row]
    return volumes["mix_no"], typed["carrier"], volumes["sprayer_row"], volumes["tank"]


def runs_of(plan: Plan, rows: Iterable[int]) -> list[list[int]]:
    """Return passes that share loads together, each run in the order it is driven."""
    runs: dict[object, list[int]] = {}
    for row in rows:
        run = plan.tables["pass_runs"][row]["run"]
        runs.setdefault(("alone", row) if run == "" else run, []).append(row)
    place = plan.tables["tank_steps"]
    ordered = [sorted(run, key=lambda row: (place[row]["place"] == "", place[row]["place"], row))
               for run in runs.values()]
    return sorted(ordered, key=lambda run: (place[run[0]]["seconds"] == "", place[run[0]]["seconds"], run[0]))


def loads_of(plan: Plan, run: list[int], even: bool = False) -> tuple[Load, ...]:
    """Return the loads of a run as they are driven.

    Parameters
    ----------
    plan : Plan
    run : list of int
        Rows of its passes, in the order they are driven.
    even : bool
        All loads alike; so they are, too, where the last one would be too small to agitate.
    """
    volumes = [plan.tables["pass_volumes"][row] for row in run]
    first, total = volumes[0], added(each["volume"] for each in volumes)
    split = split_into_loads(total, first["tank"], first["unusable"], first["opens"] == 1)
    least = plan.tables["assumptions"][0]["least_load"]
    even = (even or (split.count > 1
                     and too_small_to_agitate(split.remainder, first["unusable"], first["tank"], least)))
    opening = first["unusable"] if first["opens"] == 1 else 0.0
    step = split.even if even else split.later
    told: dict[int, set[int]] = {row: {int(line["load"]) for line in logged(plan, row)} for row in run}
    whole = {row: sprayed(plan, row) for row in run}
    made = []
    for number in range(1, split.count + 1):
        before, after = (number - 1) * step, min(number * step, total)
        opens = opening if number == 1 else 0.0
        rows = tuple(_between(volumes, run, before, after))
        made.append(Load(number, first["unusable"] - opens, after - before + opens, rows,
                         all(whole[row] or number in told[row] for row in rows), even))
    return tuple(made)


def _between(volumes: list[Cells], run: list[int], before: float, after: float) -> Iterator[int]:
    """Give the passes that a stretch of the run's spray volume goes to."""
    start = 0.0
    for each, row in zip(volumes, run, strict=True):
        end = start + each["volume"]
        if rounded(min(end, after) - max(start, before), STEP_DIGITS) > 0:
            yield row
        start = end


def logged(plan: Plan, row: int) -> Iterator[Cells]:
    """Give the lines of the load log of a pass."""
    typed = plan.tables["passes"][row]
    for line in plan.tables["load_log"]:
        if (line["load"] not in ("", None) and folded(line["pass"]) == folded(typed["pass"])
            and folded(line["field"]) == folded(typed["field"])):
            yield line


def sprayed(plan: Plan, row: int) -> bool:
    """Return whether the spray log says that a pass is done."""
    return bool(plan.tables["pass_times"][row]["log_day"] != "" and plan.tables["records"][row]["left"] == "")


def _card(pourer: Pourer, choice: Choice, rows: list[int]) -> Card:
    plan = pourer.plan
    runs = runs_of(plan, rows)
    driven = [row for run in runs for row in run]
    loads = tuple(loads_of(plan, run, choice.even) for run in runs)
    if choice.load is not None:
        loads = tuple(tuple(load for load in run if load.number == choice.load) for run in loads)
    lines, carrier, volume = (pourer.lines(driven), plan.tables["passes"][driven[0]]["carrier"],
                              plan.tables["pass_volumes"][driven[0]])
    every = [load for run in loads for load in run]
    letters = {row: column_letter(number) for number, row in enumerate(driven, 1)}
    columns = tuple(_columns(pourer, lines, loads, letters, carrier, volume["tank"]))
    places = tuple(place_of(plan, row, letters[row]) for row in driven)
    points, more, alarm = points_of(plan, driven)
    counts = Counter(map(kind_of, every))
    fills = {kind_of(column.fill): column.fill for column in columns}
    bases = [added(fills[kind].poured[n].base * count for kind, count in counts.items())
             for n in range(len(lines))]
    totals = tuple(Total(line, pourer.told(line, base) if base else "not entered")
                   for line, base in zip(lines, bases, strict=True))
    title = str(plan.tables["passes"][driven[0]]["mix"])
    said = [(line.product, line.rate, [column.fill.poured[n].amount for column in columns])
            for n, line in enumerate(lines)]
    code = code_of([title, *sorted(f"{place.typed['pass']}|{place.typed['field']}" for place in places)],
                   [carrier, *((column.fill.volume, column.fill.in_tank) for column in columns), *said,
                    [[load.rows for load in run] for run in loads]])
    # How many fills it saves that fields share loads.
    saved = sum(int(plan.tables["pass_runs"][run[0]]["loads_saved"] or 0) for run in runs if len(run) > 1)
    shared = (f"Fields share loads: {saved} fill{'s' if saved > 1 else ''} fewer than field by field"
              if saved > 0 else "")
    name = (f"{title}, {plan.tables['passes'][driven[0]]['sprayer']}, "
            f"{pourer.wording.measure('carrier', carrier)}")
    return Card(
        title, name, places, lines, columns, loads, volume["tank"], carrier, totals, points, more, alarm,
        tank_before(plan, driven[0]), shared, work_order(plan, driven), code,
        _jar(pourer, driven[0]) if choice.jar else (),
    )


def kind_of(load: Load | Fill) -> tuple[float, float]:
    """Return what makes two loads alike: what is in the tank, and what is added."""
    return rounded(load.in_tank, 3), rounded(load.volume, 3)


def _columns(pourer: Pourer, lines: tuple[Line, ...], runs: tuple[tuple[Load, ...], ...],
             letters: dict[int, str], carrier: float, tank: float) -> Iterator[Column]:
    """Give every kind of load, in the order they are first mixed, with how many are still to be mixed."""
    loads = [load for run in runs for load in run]
    left = Counter(kind_of(load) for load in loads if not load.done)
    for kind in dict.fromkeys(map(kind_of, loads)):
        load = next(each for each in loads if kind_of(each) == kind)
        full = rounded(load.in_tank + load.volume - tank, 3) == 0
        name = "Full load" if full else "Even load" if load.even else "Last load"
        yield Column(name, left[kind], pourer.fill(lines, load.in_tank, load.volume, carrier),
                     loads_told(runs, letters, kind))


def loads_told(runs: tuple[tuple[Load, ...], ...], letters: dict[int, str], kind: tuple[float, float]) -> str:
    """Return which loads are of a kind, those still to be mixed where there are any: ``load 1``,
    ``loads 2 to 6``; where a card has several runs, with the letters of their fields.
    """
    every = [[load for load in run if kind_of(load) == kind] for run in runs]
    left = [[load for load in run if not load.done] for run in every]
    told = [(run, numbers_told([load.number for load in chosen]), len(chosen))
            for run, chosen in zip(runs, left if any(left) else every, strict=True) if chosen]
    if len([run for run in runs if run]) == 1:
        return "; ".join(f"load{'s' if count > 1 else ''} {numbers}" for _, numbers, count in told)
    return "; ".join(f"{', '.join(dict.fromkeys(letters[row] for load in run for row in load.rows))}: "
                     f"load{'s' if count > 1 else ''} {numbers}" for run, numbers, count in told)


def numbers_told(numbers: list[int]) -> str:
    """Return rising numbers in words, three and more in a row as ``2 to 6``."""
    spans: list[list[int]] = []
    for number in numbers:
        if spans and number == spans[-1][-1] + 1:
            spans[-1].append(number)
        else:
            spans.append([number])
    return ", ".join(f"{span[0]} to {span[-1]}" if len(span) > 2 else ", ".join(map(str, span))
                     for span in spans)


def place_of(plan: Plan, row: int, letter: str = "") -> Place:
    """Return a pass on its field, as sheets tell of it."""
    tables = plan.tables
    volumes = tables["pass_volumes"][row]
    return Place(letter, row, tables["passes"][row], volumes, tables["pass_times"][row],
                 tables["intervals"][row], sprayed(plan, row),
                 str(at(tables["fields"], volumes["field_row"], "location")))


def tank_before(plan: Plan, row: int) -> str:
    """Return what the tank must be cleaned of before a pass, or what is missing to know it."""
    return next((str(line["what"]) for line in plan.tables["clean_sequence"] if line["next_row"] == row + 1),
                "")


def points_of(plan: Plan, rows: Iterable[int]) -> tuple[tuple[tuple[Cells, str], ...], int, str]:
    """Return the points to fix of some passes, each with its fields, how many more there are,
    and what to say where any is not allowed.

    The worst come first, and of one status what the law asks first, whichever pass it stands in:
    a crop on no label before what a label does not say.
    """
    found: dict[tuple[object, ...], tuple[Cells, list[str]]] = {}
    for row in rows:
        for check in plan.tables["all_checks"][row * len(CHECK_KINDS) : (row + 1) * len(CHECK_KINDS)]:
            if check["status"] not in ("", OK):
                found.setdefault((check["status"], check["check"], check["finding"]),
                                 (check, []))[1].append(str(plan.tables["passes"][row]["field"]))
    opened = sorted(found.values(),
                    key=lambda each: (OPEN_STATUSES.index(each[0]["status"]), each[0]["check_no"]))
    told = tuple((check, ", ".join(fields)) for check, fields in opened)
    count = sum(check["status"] == NOT_ALLOWED for check, _ in told)
    alarm = (f"NOT ALLOWED as planned: {count} point{'s' if count > 1 else ''} to fix before anyone mixes "
             f"this." if count else "")
    return told[:MOST_POINTS], max(0, len(told) - MOST_POINTS), alarm


def _jar(pourer: Pourer, row: int) -> tuple[tuple[str, str], ...]:
    """Return the jar test of the mix: its products in order with their amounts."""
    w, mix = pourer.wording, folded(pourer.plan.tables["passes"][row]["mix"])
    return tuple(
        (str(line["product"]), f"{w.number(line['ml'], 1)} mL" if line["ml"] != ""
         else f"{w.number(line['g'], 1)} g" if line["g"] != "" else "not entered")
        for line in pourer.plan.tables["jar"] if folded(line["mix"]) == mix
    )
