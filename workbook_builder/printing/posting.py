"""Posting notices and sketches of ground to keep off: what a central place must show of an application,
filled in as far as planned.

The elements are those of 40 CFR 170.311(b): product, registration number and active
ingredient; crop or site and its location; dates and times of start and end; re-entry
interval.  Anything that only happens in the field is a blank to write in.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup, escape

from workbook_builder.core.draft import Cells, at
from workbook_builder.core.room import folded
from workbook_builder.features.buffers.definitions import downwind
from workbook_builder.planning import Plan
from workbook_builder.printing.cards import Place, place_of
from workbook_builder.printing.choice import Choice
from workbook_builder.printing.pages import Wording, render
from workbook_builder.printing.pouring import lines_of
from workbook_builder.theme import DEFAULT_THEME, Theme


@dataclass(frozen=True)
class PostedProduct:
    """One registered product on a notice."""

    product: str
    registration: str
    ingredients: str
    rei_hours: object


@dataclass(frozen=True)
class Notice:
    """One pass with one mix, and the fields it goes to."""

    typed: Cells
    places: tuple[Place, ...]
    products: tuple[PostedProduct, ...]
    keep_off: tuple[tuple[tuple[str, ...], Cells], ...]


def posting_notices(plan: Plan, choice: Choice, theme: Theme = DEFAULT_THEME) -> str:
    """Return one notice a pass and mix as HTML."""
    return render("posting_notice.html", plan, "Posting notices", theme, choice.printed,
                  pages=notices(plan, choice), sketch=sketch)


def notices(plan: Plan, choice: Choice) -> list[Notice]:
    """Return the notices of the chosen passes, in sheet order:
    fields that get one mix in one pass stand on one.
    """
    groups: dict[tuple[str, str], list[int]] = {}
    for row in choice.rows(plan):
        typed = plan.tables["passes"][row]
        groups.setdefault((folded(typed["pass"]), folded(typed["mix"])), []).append(row)
    made = []
    for rows in groups.values():
        products = [_product(plan, line) for line in lines_of(plan, "mix_lines", rows[0])]
        posted = tuple(product for product in products if product is not None)
        made.append(Notice(plan.tables["passes"][rows[0]], tuple(place_of(plan, row) for row in rows), posted,
                           _keep_off([plan.tables["buffers"][row] for row in rows])))
    return made


def _keep_off(buffers: list[Cells]) -> tuple[tuple[tuple[str, ...], Cells], ...]:
    """Return how far people keep away, told once for the fields where it is the same, with their names."""
    alike: dict[tuple[object, ...], list[Cells]] = {}
    for row in buffers:
        if row["exclusion_zone"] != "" and (row["exclusion_zone"] or row["downwind_buffer"]):
            alike.setdefault((row["exclusion_zone"], row["downwind_buffer"], row["downwind_side"]),
                             []).append(row)
    return tuple((tuple(dict.fromkeys(str(row["field"]) for row in rows)), rows[0])
                 for rows in alike.values())


def _product(plan: Plan, line: Cells) -> PostedProduct | None:
    """Return a product as posted, or None for one that is no pesticide (an adjuvant, say)."""
    number = str(at(plan.tables["products"], line["product_row"], "registration_no"))
    names = [str(row["active_ingredient"]) for row in plan.tables["ingredients"] if folded(row["product"])
             == folded(line["product"])]
    if (line["product_row"] == ""
        or (not names and not at(plan.tables["product_facts"], line["product_row"], "pesticide"))):
        return None
    return PostedProduct(str(line["product"]), number, ", ".join(names),
                         at(plan.tables["product_facts"], line["product_row"], "rei"))


#: Size of the sketch, the field on it, how wide a strip is drawn, where the compass and the legend stand
#: [units of the drawing].
WIDE, HIGH = 276, 76
LEFT, TOP, RIGHT, BOTTOM = 58, 4, 154, 72
STRIP, COMPASS, LEGEND = 10, 27, 162
#: Longest name that stands in the rectangle.
LONGEST = 15
_STEPS = {"N": (0, -1), "S": (0, 1), "E": (1, 0), "W": (-1, 0)}
_GREY = 'fill="#bbb" stroke="#000" stroke-width=".8"'
_DASHED = 'fill="none" stroke="#000" stroke-width="1.2" stroke-dasharray="4 2.5"'


def sketch(fields: tuple[str, ...], row: Cells, w: Wording) -> Markup:
    """Return the sketch for fields that keep the same distances: not to scale,
    since no outline is known here.

    Parameters
    ----------
    fields : tuple of str
    row : Cells
        Exclusion zone, downwind buffer and the side it lies on, of the table ``buffers``.
    w : Wording
    """
    zone, buffer = (w.measure("length", row[key], 0) if row[key] else ""
                    for key in ("exclusion_zone", "downwind_buffer"))
    side = str(row["downwind_side"])
    taken = (side or "NW") if buffer else ""
    name = "each field" if len(fields) > 1 else fields[0] if len(fields[0]) <= LONGEST else "field"
    parts = [_box(LEFT, TOP, RIGHT - LEFT, BOTTOM - TOP, 'fill="#fff" stroke="#000" stroke-width="1.6"')]
    legend = []
    if zone:
        middle = (TOP + BOTTOM) / 2
        parts += [_box(80, middle - 15, 52, 30, f'rx="15" {_DASHED}'),
                  _line(f"M92 {middle} H120 M106 {middle} v7", 3)]
        legend.append((f'rx="4" {_DASHED}', f"nobody within {zone}"))
    if buffer:
        parts += [*_strips(side), *_wind(side)]
        legend.append((_GREY if side else _DASHED, f"{buffer} {'unsprayed' if side else 'downwind'}"))
    parts.append(_text(LEFT + 5 + STRIP * ("W" in taken), TOP + 10 + (STRIP + 2) * ("N" in taken), name))
    for line, (look, said) in enumerate(legend):
        parts += [_box(LEGEND, 14 + 18 * line, 14, 8, look), _text(LEGEND + 19, 21 + 18 * line, said)]
    parts.append(_text(LEGEND, 68, "sketch, not to scale"))
    # The sketch in words.
    lies = f"its downwind side, {side}" if side else "the downwind side, which is not known: wind not entered"
    kept = zone and f"nobody within {zone} of the sprayer while it works, a dashed line"
    told = escape("; ".join(filter(None, ("Sketch of a field, north up, not to scale", kept,
                                          buffer and f"{buffer} unsprayed along {lies}"))))
    return Markup(f'<svg class="keep-off" viewBox="0 0 {WIDE} {HIGH}" role="img" aria-label="{told}" '
                  f'font-size="9.5">{"".join(parts)}</svg>')


def _box(x: float, y: float, wide: float, high: float, look: str) -> str:
    return f'<rect x="{x}" y="{y}" width="{wide}" height="{high}" {look}/>'


def _line(path: str, thick: float) -> str:
    return f'<path d="{path}" fill="none" stroke="#000" stroke-width="{thick}"/>'


def _text(x: float, y: float, said: str, middle: bool = False) -> str:
    anchor = ' text-anchor="middle"' if middle else ""
    return f'<text x="{x}" y="{y}"{anchor}>{escape(said)}</text>'


def _strips(side: str) -> Iterator[str]:
    """Yield the strips along the edges of the field that lie downwind.

    A line all round where nobody entered the wind.
    """
    if not side:
        yield _box(LEFT + STRIP, TOP + STRIP, RIGHT - LEFT - 2 * STRIP, BOTTOM - TOP - 2 * STRIP, _DASHED)
    for way in side:
        x, y = (RIGHT - STRIP if way == "E" else LEFT), (BOTTOM - STRIP if way == "S" else TOP)
        yield _box(x, y, RIGHT - LEFT if way in "NS" else STRIP, BOTTOM - TOP if way in "EW" else STRIP,
                   _GREY)


def _wind(side: str) -> Iterator[str]:
    """Yield north, and an arrow that goes with the wind."""
    x, y = COMPASS, 42
    yield from (_text(x, 10, "N", True), _line(f"M{x} 13 v8", 1),
                _text(x, 69, f"wind {downwind(side) or '?'}", True))
    if side:
        east, south = (sum(_STEPS[way][axis] for way in side) * (11 if len(side) == 1 else 8)
                       for axis in (0, 1))
        corners = ((1.5 * east, 1.5 * south), (east - 0.4 * south, south + 0.4 * east),
                   (east + 0.4 * south, south - 0.4 * east))
        yield _line(f"M{x - east} {y - south} L{x + east} {y + south}", 2)
        yield f'<circle cx="{x - east}" cy="{y - south}" r="2"/>'
        yield f'<polygon points="{" ".join(f"{x + a:.1f},{y + b:.1f}" for a, b in corners)}"/>'
