"""The cab page: the cards of the chosen passes in one file for a phone,
which works without a network and asks nobody for anything.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from workbook_builder.core.draft import number
from workbook_builder.planning import Plan
from workbook_builder.printing.cards import Card, Place, cards, kind_of, place_of
from workbook_builder.printing.choice import Choice, NothingToPrint
from workbook_builder.printing.codes import code_of
from workbook_builder.printing.pages import part_text, render
from workbook_builder.printing.pouring import Line, Pourer
from workbook_builder.printing.spot_sheets import SpotSheet, sheets
from workbook_builder.theme import DEFAULT_THEME, Theme

#: Rows of the table that tells what to make when a tank runs dry, at most.
MOST_ROWS = 120


@dataclass(frozen=True)
class Job:
    """A sheet in the list of what may run dry."""

    name: str
    told: dict[str, Any]


def cab_page(plan: Plan, choice: Choice, theme: Theme = DEFAULT_THEME) -> str:
    """Return the cab page as HTML.

    Its policy allows the one script and the one style sheet it holds, and no request.

    References
    ----------
    W3C Content Security Policy Level 3: a hash source is the base64 of the SHA-256 of the element's text.
    """
    try:
        made = cards(plan, choice)
    except NothingToPrint:
        made = []
    spots = sheets(plan, choice)
    if not made and not spots:
        return ""
    pourer = Pourer(plan)
    jobs = [*(Job(card.name, _job(pourer, card.lines, card.places[0], spot=False)) for card in made),
            *(Job(f"Spot: {sheet.title}", _job(pourer, sheet.lines, sheet.place, spot=True))
              for sheet in spots)]
    told = [*(_card_data(card) for card in made), *(_spot_data(sheet) for sheet in spots)]
    key = str(code_of([plan.tables["farm"][0]["farm"]], [plan.tables["farm"][0]["season"]]))
    data = {"key": key, "volume": pourer.wording.unit("volume"), "sheets": told,
            "jobs": [job.told for job in jobs]}
    style, script = part_text("cab.css").replace("MAIN", f"#{theme.colours.main}"), part_text("cab.js")
    order = made[0].order if made else spots[0].order
    return render(
        "cab_page.html", plan, "Cab page", theme, choice.printed, cards=made, spots=spots, jobs=jobs,
        style=style, script=script, policy=policy(style, script),
        data=json.dumps(data, ensure_ascii=True, separators=(",", ":")).replace("<", "\\u003c"),
        calls=order.calls,
        places=[place_of(plan, row) for row in choice.rows(plan)],
    )


def policy(style: str, script: str) -> str:
    """Return the content security policy of a page with one style sheet and one script."""
    marks = [base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
             for text in (script, style)]
    return (f"default-src 'none'; script-src 'sha256-{marks[0]}'; style-src 'sha256-{marks[1]}'; img-src "
            f"data:; base-uri 'none'; form-action 'none'; "
            "require-trusted-types-for 'script'")


def _card_data(card: Card) -> dict[str, Any]:
    kinds = [kind_of(column.fill) for column in card.every]
    loads = []
    for run_no, run in enumerate(card.loads):
        for load in run:
            fields = ", then ".join(str(place.typed["field"]) for row in load.rows for place in card.places
                                    if place.row == row)
            loads.append({"number": load.number, "run": run_no, "of": len(run),
                          "kind": kinds.index(kind_of(load)), "way": fields, "done": load.done,
                          "before": load.in_tank, "full": load.in_tank + load.volume})
    following = next((n for n, load in enumerate(loads) if not load["done"]), len(loads) - 1)
    return {"code": str(card.code), "loads": loads, "next": following}


def _spot_data(sheet: SpotSheet) -> dict[str, Any]:
    fill = sheet.fill
    if fill is None:
        return {"code": str(sheet.code), "loads": [], "next": 0}
    load = {"number": sheet.next_no, "run": 0, "of": sheet.next_no, "kind": 0,
            "way": str(sheet.typed["field"]), "done": False,
            "before": fill.in_tank, "full": fill.in_tank + fill.volume}
    return {"code": str(sheet.code), "loads": [load], "next": 0}


def _job(pourer: Pourer, lines: Sequence[Line], place: Place, spot: bool) -> dict[str, Any]:
    carrier, tank, unusable, step = (number(place.typed["carrier"]), number(place.volumes["tank"]),
                                     number(place.volumes["unusable"]), pourer.water_step)
    while tank / step > MOST_ROWS:
        step *= 2
    volumes = [n * step for n in range(1, int(tank / step) + 1)]
    return {"carrier": carrier, "tank": tank, "unusable": unusable, "spot": spot,
            "products": [line.title for line in lines],
            "amounts": [[volume, pourer.amounts(lines, volume)] for volume in volumes]}
