"""What is really measured out: amounts rounded to packages and to steps of jug and scale,
and what that makes of a whole pass.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import fsum
from operator import truediv
from typing import Any

from workbook_builder.core.columns import WORKING, Column, Table
from workbook_builder.core.rounding import STEP_DIGITS, rounded, shown, whole_below
from workbook_builder.core.short import place, slot_number, working
from workbook_builder.core.units import DRY, LIQUID
from workbook_builder.features.loads.definitions import amount_in, loads_needed, too_small_to_agitate
from workbook_builder.features.loads.measuring import (
    LEAST,
    MOST_STEPS,
    QUARTERS,
    Step,
    measured,
    poured_text,
    steps_of,
    to_measure,
)

SHEET = "Workings pouring"
#: Beyond any amount; and more than rounding ever makes of one [times].
NO_END, NO_LIMIT = "1000000000000", 10
#: Steps that are tried in one cell.
TRIED = 4
_SETTINGS = "assumptions.package_off assumptions.step_off farm.units"
_TYPED = " ".join(f"measuring_steps.{key}:all" for key in ("what", "step", "unit", "up_to"))

STEP_SIZES = Table(
    "step_sizes",
    "Sizes of measuring steps",
    "Each step of jug and scale in base units.",
    (
        place("unit_row", "Unit row", "measuring_steps.unit", "unit_list.unit"),
        working("size", "Base units",
                'IF({unit_list.phase@unit_row}={measuring_steps.what},'
                '{measuring_steps.step}*{unit_list.to_base@unit_row},"")', "factor",
                needs="unit_row measuring_steps.step",
                takes="unit_list.phase@unit_row measuring_steps.what measuring_steps.step "
                      "unit_list.to_base@unit_row",
                twin=lambda phase, what, step, base: step * base if phase == what else ""),
        *(working(phase, f"Base units of a {phase} step",
                  f'IF({{measuring_steps.what}}="{phase}",{{size}},"")', "factor", needs="size")
          for phase in (LIQUID, DRY)),
        working("up_to", "Up to",
                f'IF({{measuring_steps.up_to}}="",{NO_END},'
                f'{{measuring_steps.up_to}}*{{unit_list.to_base@unit_row}})', "factor", needs="size",
                takes="measuring_steps.up_to unit_list.to_base@unit_row",
                twin=lambda limit, base: float(NO_END) if limit == "" else limit * base),
    ),
    rows="as:measuring_steps",
    kind="working",
    sheet=SHEET,
)

#: A blank rank is larger than any amount and fits none.
def _ranked(how: str) -> str:
    return (f"IF({{slot}}<={MOST_STEPS},{how % f'{{step_sizes.{LIQUID}:all}}'},"
            f"{how % f'{{step_sizes.{DRY}:all}}'})")


POUR_STEPS = Table(
    "pour_steps",
    "Measuring steps by size",
    "The steps that liquids and dry products are measured with, coarse to fine.",
    (
        slot_number("Rank"),
        working("phase", "What", f'IF({{slot}}<={MOST_STEPS},"{LIQUID}","{DRY}")', "text"),
        working("place", "Place", f"IF({{slot}}<={MOST_STEPS},{{slot}},{{slot}}-{MOST_STEPS})", "count"),
        working("count", "Steps", _ranked("COUNT(%s)"), "count"),
        working("size", "Base units",
                f"IF({{place}}<={{count}},{_ranked('LARGE(%s,{place})')},IF({{place}}=1,1,{NO_END}))",
                "factor",
                note="One base unit where no step is entered."),
        working("row", "Row of the step", f'IF({{place}}<={{count}},{_ranked("MATCH({size},%s,0)")},"")'),
        working("up_to", "Up to", f"IF({{row}}<>\"\",{{step_sizes.up_to@row}},IF({{place}}=1,{NO_END},-1))",
                "factor"),
        working("unit", "Unit", '{measuring_steps.unit@row}', "unit_label", needs="row"),
        working("unit_base", "Base units of the unit", '{unit_list.to_base@unit_row}', "factor",
                needs="unit_row"),
        working("unit_row", "Unit row", '{step_sizes.unit_row@row}', needs="row"),
    ),
    rows="list:pour_steps",
    kind="working",
    sheet=SHEET,
)


@lru_cache(64)
def _steps(what: str, system: str, typed: tuple[tuple[Any, ...], ...]) -> tuple[Step, ...]:
    return steps_of([dict(zip(("what", "step", "unit", "up_to"), row, strict=True)) for row in typed], what,
                    system)


def poured_amount(
    exact: float, headroom: float, package: Any, phase: str, whats: Sequence[Any], sizes: Sequence[Any],
    units: Sequence[Any], limits: Sequence[Any],
    package_off: float, step_off: float, system: str,
) -> float:
    """Return an amount as it is measured out [base units].

    Parameters
    ----------
    exact : float
        As worked out [base units].
    headroom : float
        How often it may go into the label's maximum, 1 or more.
    package : float or ""
        Content of a package [base units].
    phase : str
        ``liquid`` or ``dry``.
    whats, sizes, units, limits : sequence
        The measuring steps, as typed.
    package_off, step_off : float
        How far whole packages, and a step, may be off [share].
    system : str
    """
    typed = tuple(zip(whats, sizes, units, limits, strict=True))
    return (measured(exact, _steps(phase, system, typed), exact * headroom, package or 0.0, package_off,
                     step_off).amount if exact else 0.0)


def _tried(first: int) -> Column:
    """Declare the place of the first of some steps that comes near enough, where none before them does."""
    found = '""'
    for at in reversed(range(first, first + TRIED)):
        size = f"INDEX({{pour_steps.size:all}},{{skip}}+{at})"
        amount = f"MIN(ROUND(ROUND({{exact}}/{size},6),0),INT(ROUND({{most}}/{size},6)))*{size}"
        # The step comes near enough, and is meant for such an amount.
        near = (f"AND({{exact}}<=INDEX({{pour_steps.up_to:all}},{{skip}}+{at}),ABS({amount}-{{exact}})"
                f"-step_off*{{exact}}<0.0000005)")
        found = f"IF({near},{at},{found})"
    before = f"near_{first - TRIED}" if first > 1 else ""
    terms = "exact most skip pour_steps.size:all pour_steps.up_to:all assumptions.step_off"
    return working(f"near_{first}", f"Step near enough, from the {first}. on",
                   f'IF({{{before}}}<>"",{{{before}}},{found})' if before else found, "count", needs="exact",
                   twin=lambda *cells: cells[-1] if before and cells[-1] != ""
                   else first_near(first, *cells[:6]), takes=f"{terms} {before}".strip())


def first_near(first: int, exact: float, most: float, skip: int, sizes: Sequence[float],
               limits: Sequence[float], off: float) -> int | str:
    """Return the first of `TRIED` steps, from place `first` on, that an amount is near enough to.

    Blank where none is.

    Parameters
    ----------
    first, skip : int
        Place among the steps of its kind, from 1, and how many steps stand before those.
    exact, most : float
        Amount as worked out, and the most the label allows [base units].
    sizes, limits : sequence of float
        Steps, and the largest amounts they are meant for [base units].
    off : float
        How far it may be off [share].
    """
    for at in range(first, first + TRIED):
        size, limit = sizes[skip + at - 1], limits[skip + at - 1]
        if exact <= limit and abs(by_step(exact, most, size) - exact) - off * exact < LEAST:
            return at
    return ""


def whole_packages(exact: float, package: Any, most: float, off: float) -> int:
    """Return how many whole packages an amount is, 0 where they are too far off or over the label's maximum.

    Amounts in base units.
    """
    count = int(rounded(rounded(exact / package, STEP_DIGITS))) if package else 0
    return (count if count and abs(count * package - exact) - off * exact < LEAST
            and count * package <= most else 0)


def worked_out(key: str, header: str, poured: str, volume: str, carrier: str, needs: str) -> Column:
    """Declare the amount of a product in a volume of mixture, from which measuring starts.

    Parameters
    ----------
    key, header : str
    poured, volume, carrier : str
        Tokens of what is poured per sprayed area [base units/area], the volume [volume] and
        the spray volume per sprayed area [volume/area].
    needs : str
        Tokens without which it stays blank.
    """
    return working(key, header, f"ROUND(ROUND({{{poured}}}*{{{volume}}}/{{{carrier}}},9),6)", "amount",
                   needs=needs, twin=lambda *load: to_measure(amount_in(*load)),
                   takes=f"{poured} {volume} {carrier}")


def measuring(exact: Column, headroom: str, package: str, phase: str) -> tuple[Column, ...]:
    """Declare an amount as it is measured out, and how it comes to be.

    Parameters
    ----------
    exact : Column
        The amount as worked out, to six digits [base units]; its key is ``exact``.
    headroom, package, phase : str
        Tokens of how often it may go into the label's maximum, what a package holds [base units],
        and what is poured.
    """
    fits = f'{{pour_steps.phase:all}},{{{phase}}},{{pour_steps.up_to:all}},">="&{{exact}}'
    count, last = f"ROUND(ROUND({{exact}}/{{{package}}},6),0)", f"near_{MOST_STEPS - TRIED + 1}"
    return (
        exact,
        working("most", "Most the label allows", f"{{exact}}*{{{headroom}}}+0.0000005", "amount",
                needs=f"exact {headroom}", takes=f"exact {headroom}",
                twin=lambda exact, times: exact * times + LEAST),
        working("skip", "Ranks before those of its kind", f'IF({{{phase}}}="{LIQUID}",0,{MOST_STEPS})',
                "count", needs="exact"),
        working("whole", "Whole packages",
                f'IF(OR({{{package}}}="",{{{package}}}=0),0,'
                f'IF(AND(ABS({count}*{{{package}}}-{{exact}})-package_off*{{exact}}<0.0000005,'
                f'{count}*{{{package}}}<={{most}}),{count},0))',
                "count", needs="exact", twin=whole_packages,
                takes=f"exact {package} most assumptions.package_off", note="Where they come near enough."),
        *map(_tried, range(1, MOST_STEPS, TRIED)),
        working("rank", "Rank of its step",
                f'{{skip}}+IF({{{last}}}<>"",{{{last}}},IF(COUNTIFS({fits})=0,'
                f'MAX(1,INDEX({{pour_steps.count:all}},{{skip}}+1)),_xlfn.MAXIFS({{pour_steps.place:all}},'
                f'{fits})))', "count",
                needs="exact", note="The coarsest step that comes near enough, or else the finest."),
        working("fine", "Measured by that step",
                "MIN(ROUND(ROUND({exact}/{pour_steps.size@rank},6),0),"
                "INT(ROUND({most}/{pour_steps.size@rank},6)))*{pour_steps.size@rank}", "amount",
                needs="exact", takes="exact most pour_steps.size@rank", twin=by_step),
        working("measured", "Measured",
                f"IF({{whole}}>0,{{whole}}*{{{package}}},IF({{fine}}=0,{{exact}},{{fine}}))", "amount",
                needs="exact",
                twin=poured_amount, takes=f"exact {headroom} {package} {phase} {_TYPED} {_SETTINGS}",
                note="In base units; never above the label's maximum."),
    )


#: What is measured out of the mix line that `line_row` names: a list of amounts takes it into its own rows.
FACTS_OF_LINE = (
    working("poured", "Base units poured per area", "{mix_lines.poured@line_row}", "factor",
            needs="line_row"),
    working("phase", "Phase poured", "{mix_lines.phase@line_row}", "text", needs="line_row"),
    working("headroom", "May be rounded up to", "{poured_lines.headroom@line_row}", "factor",
            needs="line_row"),
    working("package", "Base units poured that a package holds", "{poured_lines.package@line_row}",
            "factor", needs="line_row"),
)


def told(phase: str, role: str = WORKING, **more: Any) -> tuple[Column, ...]:
    """Declare what is measured in words, and how far it is off, beside the columns of :func:`measuring`."""
    return (
        working("base", "Measured, to a tenth", "ROUND(ROUND({measured},6),1)", "amount", needs="measured",
                twin=lambda measured: shown(measured, 1)),
        Column("pour", "As poured", "text", role, _words(phase), needs="base", twin=pour_text,
               takes=f"measured {phase} whole fine pour_steps.unit@rank farm.units", **more),
        Column("off", "Off by", "share", role, "IF({exact}=0,0,{measured}/{exact}-1)",
               needs="exact measured", digits=1,
               twin=lambda exact, measured: measured / exact - 1 if exact else 0,
               note="What measuring adds to the amount as worked out, or takes away."),
    )


def pour_text(amount: float, phase: str, whole: int, fine: float, unit: str, system: str) -> str:
    """Return an amount [base units] in words, as it stands on paper.

    `unit` is that of its step, where it is measured by one.
    """
    return poured_text(amount, phase, system, unit if not whole and fine else "")


def _words(phase: str) -> str:
    """Return the formula of an amount in the words of :func:`measuring.poured_text`."""
    def many(large: str, small: str, factor: int) -> str:
        return f'IF({{base}}<{factor},{{base}}&" {small}",ROUND(ROUND({{measured}}/{factor},6),3)&" {large}")'

    def rest(of: int) -> str:
        return f"ROUND(MOD({{base}},{of}),1)"

    gallons, pounds = "INT({base}/128)", "INT({base}/16)"
    liquid = (f'IF({{base}}<128,"",{gallons}&" gal"&IF({rest(128)}=0,""," + "))&IF({rest(128)}=0,'
              f'IF({{base}}<128,"0 fl oz",""),IF(MOD({rest(128)},32)=0,{rest(128)}/32&" qt",'
              f'IF(MOD({rest(128)},16)=0,{rest(128)}/16&" pt",{rest(128)}&" fl oz")))')
    quarters = ",".join(f'" {QUARTERS[n]}"'.replace('" "', '""') for n in range(4))
    dry = (f'IF({{base}}<16,{{base}}&" oz",IF(MOD({rest(16)},4)=0,{pounds}&CHOOSE({rest(16)}/4+1,{quarters})'
           f'&" lb",{pounds}&" lb "&{rest(16)}&" oz"))')
    unit = "{pour_steps.unit@rank}"
    return (f'IF({{farm.units}}="metric",IF({{{phase}}}="{LIQUID}",{many("L", "mL", 1000)},'
            f'{many("kg", "g", 1000)}),'
            f'IF(AND({{whole}}=0,{{fine}}>0,OR({unit}="mL",{unit}="g")),'
            f'ROUND(ROUND({{measured}}/{{pour_steps.unit_base@rank}},6),0)&" "&{unit},'
            f'IF({{{phase}}}="{LIQUID}",{liquid},{dry})))')


def by_step(exact: float, most: float, size: float) -> float:
    """Return the multiple of a step that is nearest to an amount and not above its maximum.

    All in base units.
    """
    return min(rounded(rounded(exact / size, STEP_DIGITS)), whole_below(most / size)) * size


def _first_load(even: int, spray: float, count: int, usable: float, opens: int, unusable: float) -> float:
    """Return what is added in the first load of a run [volume]: the unusable volume goes in once,
    into an empty tank.
    """
    return (spray / count if even else min(spray, usable)) + opens * unusable if spray else 0.0


RUN_FILLS = Table(
    "run_fills",
    "Loads as they are mixed",
    "What is added in the first, a later and the last load of the passes that share loads; a spot pass is "
    "measured fill by fill.",
    (
        working("spray", "Spray volume",
                'IF({pass_runs.run}="",{pass_volumes.volume},{pass_runs.run_volume})', "volume",
                needs="pass_volumes.loads"),
        working("opens", "Fills an empty tank",
                'IF({pass_runs.run}="",{pass_volumes.opens},{pass_volumes.opens@pass_runs.run})', "count",
                needs="spray"),
        working("count", "Loads",
                'IF({passes.method}="spot",0,ROUNDUP(ROUND({spray}/{pass_volumes.usable},6),0))', "count",
                needs="spray pass_volumes.usable",
                twin=lambda method, *volumes: 0 if method == "spot" else loads_needed(*volumes),
                takes="passes.method spray pass_volumes.usable"),
        working("rest", "Spray volume of the last load", "{spray}-MAX(0,{count}-1)*{pass_volumes.usable}",
                "volume", needs="count", takes="spray count pass_volumes.usable",
                twin=lambda spray, count, usable: spray - max(0, count - 1) * usable),
        working("even", "Loads are alike",
                "IF(AND({count}>1,ROUND({rest}+{pass_volumes.unusable}-least_load*{pass_volumes.tank},"
                "6)<0),1,0)", "count", needs="count",
                takes="count rest pass_volumes.unusable pass_volumes.tank assumptions.least_load",
                twin=lambda count, *tank: int(count > 1 and too_small_to_agitate(*tank))),
        working("first", "Added in the first load",
                "IF({spray}=0,0,IF({even}=1,{spray}/{count},MIN({spray},{pass_volumes.usable}))"
                "+{opens}*{pass_volumes.unusable})", "volume",
                needs="count", twin=_first_load,
                takes="even spray count pass_volumes.usable opens pass_volumes.unusable"),
        working("later", "Added in a later load", "IF({even}=1,{spray}/{count},{pass_volumes.usable})",
                "volume", needs="count", takes="even spray count pass_volumes.usable",
                twin=lambda even, spray, count, usable: spray / count if even else usable),
        working("later_count", "Later loads", 'IF({count}="",0,MAX(0,{count}-2+{even}))', "count"),
        working("last_count", "Last loads", 'IF({count}="",0,IF({count}>1,1-{even},0))', "count"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

#: The first load, a later full one, and the last one.
FILLS = ("first", "later", "rest")


def _over_all(first: str, later: str, last: str) -> str:
    """Return the formula of the sum over all loads of a run, of which one is like another."""
    return f"{first}+{later}*{{run_fills.later_count}}+{last}*{{run_fills.last_count}}"


def rounding(first: Any, later: Any, last: Any, measured: Sequence[Any], later_count: int,
             last_count: int) -> float:
    """Return what measuring makes of the amount of a product over all loads of a run [share of the amount as
    worked out].

    Parameters
    ----------
    first, later, last : float or ""
        The amount as worked out of the first load, a later one and the last one [base units];
        blank where the loads are not known.
    measured : sequence of float or ""
        The three as measured [base units].
    later_count, last_count : int
        How many later and last ones there are.
    """
    if first == "":
        return 1.0
    # An exact sum: the usual one differs in its last digit from one version of Python to another.
    poured, planned = (fsum(each * count
                            for each, count in zip(amounts, (1, later_count, last_count), strict=True))
                       for amounts in (measured, (first, later, last)))
    return truediv(poured, planned) if planned else 1.0


#: The loads of a run together, as worked out and as measured.
_PLANNED = _over_all(*(f"{{exact_{fill}}}" for fill in FILLS))
_MEASURED = _over_all(*(f"INDEX({{pours.measured:block}},{n})" for n in (1, 2, 3)))

POURED_LINES = Table(
    "poured_lines",
    "Product amounts as measured",
    "What measuring makes of the amount of each product of each pass over all its loads, as the mix cards "
    "have it poured.",
    (
        working("package_base", "Base units in a package",
                "{product_facts.package_base@mix_lines.product_row}", "factor",
                needs="mix_lines.product_row"),
        working("package", "Base units poured that a package holds",
                "{package_base}/{mix_lines.own_scale}*{mix_items.pour_scale@mix_lines.item_row}", "factor",
                needs="package_base mix_lines.own_scale",
                takes="package_base mix_lines.own_scale mix_items.pour_scale@mix_lines.item_row",
                twin=lambda package, own, pour: package / own * pour),
        working("recipe", "Recipe and place",
                '{pass_volumes.mix_no}&"|"&{passes.carrier}&"|"&{pass_volumes.sprayer_row}&"|"'
                '&{pass_volumes.tank}&"|"&'
                '({mix_lines.row_no}-{pass_volumes.lines_before})', "text",
                needs="mix_lines.poured pass_volumes.tank"),
        working("own_room", "May be rounded up to",
                f'MIN({{product_limits.room}},IF(COUNTIF({{pass_ingredients.line_no:all}},'
                f'{{mix_lines.row_no}})=0,{NO_LIMIT},'
                '_xlfn.MINIFS({pass_ingredients.room:all},{pass_ingredients.line_no:all},'
                '{mix_lines.row_no})))', "factor", needs="mix_lines.poured",
                note="Times the amount as worked out, until a limit of the label is reached."),
        working("headroom", "The same, in all passes of the recipe",
                'MAX(1,_xlfn.MINIFS({own_room:all},{recipe:all},{recipe}))', "factor",
                needs="recipe own_room",
                note="All are mixed by one card."),
        *(worked_out(f"exact_{fill}", f"Added, {fill} load", "mix_lines.poured", f"run_fills.{fill}",
                     "passes.carrier", f"mix_lines.poured run_fills.{fill}") for fill in FILLS),
        working("rounding", "Measured of it",
                f'IF({{exact_first}}="",1,IF({_PLANNED}=0,1,({_MEASURED})/({_PLANNED})))', "factor",
                needs="mix_lines.poured",
                twin=rounding, takes="exact_first exact_later exact_rest pours.measured:block "
                                     "run_fills.later_count run_fills.last_count",
                note="Over all loads; of a spot pass 1."),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet=SHEET,
)

POURS = Table(
    "pours",
    "Amounts as measured",
    "Each product in the first, a later and the last load of each pass, as it is measured out.",
    measuring(working("exact", "As worked out",
                      tuple(f'IF({{poured_lines.exact_{fill}}}="","",{{poured_lines.exact_{fill}}})'
                            for fill in FILLS), "amount"),
              "poured_lines.headroom", "poured_lines.package", "mix_lines.phase"),
    rows="under:mix_lines:fills",
    kind="working",
    sheet=SHEET,
)

TABLES = (STEP_SIZES, POUR_STEPS, RUN_FILLS, POURED_LINES, POURS)
