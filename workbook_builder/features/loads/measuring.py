"""Amounts that can be measured: whole packages, or steps of a jug and a scale,
never over the label's maximum.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from workbook_builder.core.columns import SETTING, Column, Table
from workbook_builder.core.inputs import Row
from workbook_builder.core.quantities import US
from workbook_builder.core.rounding import STEP_DIGITS, number_text, rounded, shown
from workbook_builder.core.units import AMOUNT_UNITS, BASE_UNITS, DRY, LIQUID, factor

WATER, LEVEL = "first water", "tank level"
FINE_UNITS = ("mL", "g")
TIMES, MINUS = "\N{MULTIPLICATION SIGN}", "\N{MINUS SIGN}"
#: Steps that are counted of liquids, and of dry products.
MOST_STEPS = 12
#: What is less is nothing, to six digits.
LEAST = 0.0000005
QUARTERS = {0: "", 1: "\N{VULGAR FRACTION ONE QUARTER}", 2: "\N{VULGAR FRACTION ONE HALF}",
            3: "\N{VULGAR FRACTION THREE QUARTERS}"}

MEASURING_STEPS = Table(
    "measuring_steps",
    "Measuring steps",
    "Steps that amounts are rounded to where they are measured out: the coarsest one that is near enough is "
    "taken, of the twelve coarsest for liquids and for dry products.",
    (
        Column("what", "What", role=SETTING, required=True, choices=(LIQUID, DRY, WATER, LEVEL),
               note="A liquid product, a dry one, the water before the first product, or the mark on the "
                    "tank."),
        Column("step", "Step", "amount", SETTING, required=True, minimum=0.001, maximum=1000,
               note="What your jug, scale or gauge shows."),
        Column("unit", "Unit", "unit_label", SETTING, required=True, choices=tuple(AMOUNT_UNITS),
               note="Unit of the step."),
        Column("up_to", "Only for amounts up to", "amount", SETTING, minimum=0, maximum=100000,
               note="In the unit of the step; blank for all amounts."),
    ),
    kind="setting",
    caution="Common practice, no source. An amount is never rounded above the label's maximum; the paper "
            "tells how far it is off.",
)

#: What is measured, step, unit, and the largest amount it is meant for.
_STEPS: dict[bool, tuple[tuple[str, float, str, float | None], ...]] = {
    True: (
        *((LIQUID, step, unit, None) for step, unit in ((1, "gal"), (0.5, "gal"), (1, "qt"), (1, "pt"),
                                                        (8, "fl oz"), (4, "fl oz"), (2, "fl oz"),
                                                        (1, "fl oz"))),
        (LIQUID, 5, "mL", 240), (LIQUID, 1, "mL", 240),
        *((DRY, step, unit, None) for step, unit in ((5, "lb"), (1, "lb"), (0.5, "lb"), (0.25, "lb"),
                                                     (1, "oz"), (0.5, "oz"))), (DRY, 1, "g", 710),
        (WATER, 10, "gal", None), (LEVEL, 1, "gal", None),
    ),
    False: (
        *((LIQUID, step, "L", None) for step in (5, 1, 0.5, 0.25, 0.1)),
        *((LIQUID, step, "mL", None) for step in (50, 10, 5, 1)),
        *((DRY, step, "kg", None) for step in (5, 1, 0.5, 0.25, 0.1)),
        *((DRY, step, "g", None) for step in (50, 10, 5, 1)),
        (WATER, 50, "L", None), (LEVEL, 5, "L", None),
    ),
}


def measuring_steps(system: str) -> list[Row]:
    """Return the steps a new input workbook of a unit system starts with."""
    return [{"what": what, "step": step, "unit": unit, "up_to": up_to}
            for what, step, unit, up_to in _STEPS[system == US]]


@dataclass(frozen=True)
class Step:
    """A step in base units, the unit it is told in, and the largest amount it is meant for."""

    size: float
    unit: str
    up_to: float = math.inf


@dataclass(frozen=True)
class Measured:
    """An amount as it is measured out; amounts in base units.

    Attributes
    ----------
    amount, exact : float
        As measured, and as worked out.
    unit : str
        Unit of the step.
    packages : int
        Whole packages in it.
    under : bool
        Whether it was rounded down because the nearest step is over the label's maximum.
    """

    amount: float
    exact: float
    unit: str
    packages: int = 0
    under: bool = False

    @property
    def error(self) -> float:
        """How far it is off, as a share of the exact amount."""
        return self.amount / self.exact - 1 if self.exact else 0.0

    @property
    def error_text(self) -> str:
        """How far it is off in words: ``exact``, ``+0.7 %``, ``-1.0 %, under max``."""
        percent = shown(self.error * 100, 1)
        text = "exact" if percent == 0 else f"{'+' if percent > 0 else MINUS}{abs(percent):.1f} %"
        return f"{text}, under max" if self.under else text


def steps_of(rows: Iterable[Any], what: str, system: str) -> tuple[Step, ...]:
    """Return the typed steps for something that is measured, coarse to fine."""
    unit_of = {WATER: LIQUID, LEVEL: LIQUID}.get(what, what)
    found = []
    for row in rows:
        if (row["what"] == what and row["step"] not in ("", None)
            and AMOUNT_UNITS.get(str(row["unit"]), ("", ""))[1] == unit_of):
            base = factor(str(row["unit"]), BASE_UNITS[(system, unit_of)])
            limit = row["up_to"]
            found.append(Step(row["step"] * base, str(row["unit"]), math.inf if limit in ("", None)
                              else limit * base))
    by_size = {step.size: step for step in reversed(found)}
    return (tuple(by_size[size] for size in sorted(by_size, reverse=True)[:MOST_STEPS])
            or (Step(1.0, BASE_UNITS[(system, unit_of)]),))


def measured(exact: float, steps: Sequence[Step], most: float = math.inf, package: float = 0.0,
             package_off: float = 0.02, step_off: float = 0.01) -> Measured:
    """Round an amount to what can be measured.

    Parameters
    ----------
    exact : float
        Amount as worked out [base units].
    steps : sequence of Step
        Coarse to fine.
    most : float
        The label's maximum for this load [base units].
    package : float
        Content of a package [base units]; 0 where it is not known.
    package_off, step_off : float
        How far whole packages, and a step, may be off [share].

    Notes
    -----
    Whole packages if they are near enough, else the coarsest step that is, else the finest step; each one
    step lower where the nearest is over the maximum.  Common practice, no source.
    """
    if package > 0:
        whole = rounded(rounded(exact / package, STEP_DIGITS))
        if whole >= 1 and _near(whole * package, exact, package_off) and whole * package - most < LEAST:
            return Measured(whole * package, exact, steps[0].unit, int(whole))
    fitting = [step for step in steps if exact <= step.up_to] or [steps[-1]]
    for step in fitting:
        found = _to_step(exact, step, most, package)
        if found.amount > 0 and (_near(found.amount, exact, step_off) or step is fitting[-1]):
            return found
    return Measured(exact, exact, steps[-1].unit)


def _to_step(exact: float, step: Step, most: float, package: float) -> Measured:
    nearest = rounded(rounded(exact / step.size, STEP_DIGITS)) * step.size
    amount = (nearest if most == math.inf
              else min(nearest, math.floor(rounded((most + LEAST) / step.size, STEP_DIGITS)) * step.size))
    return Measured(amount, exact, step.unit, int(rounded(amount / package, STEP_DIGITS)) if package > 0
                    else 0, amount < nearest)


def to_measure(amount: float) -> float:
    """Return an amount as measuring starts from it: to six digits [base units].

    First to nine, so that a tie at the seventh falls the same way in every engine.
    """
    return rounded(rounded(amount, 9), STEP_DIGITS)


def _near(amount: float, exact: float, off: float) -> bool:
    return abs(amount - exact) - off * exact < LEAST


def poured_text(amount: float, phase: str, system: str, unit: str = "") -> str:
    """Tell an amount in base units in at most two units, for instance ``10 gal + 1 qt`` or ``7 lb 14 oz``.

    Parameters
    ----------
    amount : float
        [base units]
    phase : str
        ``liquid`` or ``dry``.
    system : str
    unit : str
        Unit of the step it was rounded to; a finer one of the other system is told in that unit alone.
    """
    if system != US:
        small, large = ("mL", "L") if phase == LIQUID else ("g", "kg")
        return (f"{number_text(shown(amount, 1))} {small}" if amount < 1000
                else f"{number_text(shown(amount / 1000, 3))} {large}")
    if unit in FINE_UNITS:
        return f"{number_text(shown(amount * factor(BASE_UNITS[(US, phase)], unit), 0))} {unit}"
    return _us_liquid(amount) if phase == LIQUID else _us_dry(amount)


def _us_liquid(amount: float) -> str:
    gallons, rest = divmod(shown(amount, 1), 128)
    large = [f"{number_text(gallons)} gal"] if gallons else []
    for size, unit in ((32, "qt"), (16, "pt"), (1, "fl oz")):
        if rest and (rest % size == 0 or size == 1):
            return " + ".join((*large, f"{number_text(shown(rest / size, 1))} {unit}"))
    return large[0] if large else "0 fl oz"


def _us_dry(amount: float) -> str:
    pounds, ounces = divmod(shown(amount, 1), 16)
    if pounds and ounces % 4 == 0:
        return f"{number_text(pounds)} {QUARTERS[int(ounces // 4)]}".strip() + " lb"
    return (f"{number_text(pounds)} lb {number_text(shown(ounces, 1))} oz" if pounds
            else f"{number_text(shown(ounces, 1))} oz")


def packages_text(found: Measured, phase: str, system: str, package: float, label: str) -> str:
    """Tell which packages an amount is, for instance ``4 x 2.5 gal + 1 qt``.

    Blank where the package is not known.

    Parameters
    ----------
    found : Measured
    phase, system : str
    package : float
        Content of a package [base units].
    label : str
        What stands on it, ``2.5 gal`` say.
    """
    if package <= 0:
        return ""
    rest = found.amount - found.packages * package
    if not found.packages:
        return f"from one {label}"
    left = f" + {poured_text(rest, phase, system, found.unit)}" if rounded(rest, 3) > 0 else ""
    return f"{found.packages} {TIMES} {label}{left}"
