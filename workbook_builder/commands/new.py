"""``new``: an input workbook to fill in, blank or with the invented farm."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from workbook_builder.commands.exits import Misused, in_plain_words
from workbook_builder.commands.messages import result, say, typed
from workbook_builder.commands.taught import unit_systems

TEMPLATE = "start_here.txt"
FILLED = "It is filled with an invented farm: look around, then write your own over it."
BLANK = "It is blank; make one with --example to see it filled with an invented farm."
UNIT_WORDS = {"us": "US units (acres, gallons, pounds)",
              "metric": "metric units (hectares, litres, kilograms)"}


@in_plain_words
def new(
    book: Annotated[Path, typer.Argument(metavar="WORKBOOK",
                                         help="Where the input workbook goes, for instance my-farm.xlsx.",
                                         show_default=False)],
    example: Annotated[bool, typer.Option(
        "--example",
        help="Fill it with the invented farm, to look at or to write over.")] = False,
    fields: Annotated[int, typer.Option(
        "--fields", metavar="N", min=0, max=2000,
        help="Name so many fields, to be written over with their own names.")] = 0,
    units: Annotated[str, typer.Option("--units", metavar="us|metric",
                                       help="Acres and gallons, or hectares and litres.",
                                       autocompletion=unit_systems)] = "us",
    replace: Annotated[bool, typer.Option(
        "--replace",
        help="Replace an existing workbook; the old one is kept beside it.")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")] = False,
) -> None:
    """Write an input workbook that teaches itself.

    It has one sheet per table, with drop-downs, messages that say what belongs into each
    cell, and a first sheet with instructions. A blank one shows the sheets of a first plan;
    the others are hidden, and the first sheet says how to get them.

    \b
    Examples:
      workbook-builder new my-farm.xlsx --fields 4
      workbook-builder new example.xlsx --example --units metric
    """
    from workbook_builder.commands.build import refuse_taken, target_file
    from workbook_builder.finish import write_atomically
    from workbook_builder.input_book import input_book

    if units not in UNIT_WORDS:
        raise Misused(f"There are no units called {units}. Use us or metric.")
    if example and fields:
        raise Misused("--fields goes with a blank workbook. The invented farm has fields of its own.")
    target = target_file(book, book)
    refuse_taken(target, replace)
    kept = write_atomically(target, input_book(units, example, guide_text(target.name, units, example),
                                               fields), replace)
    if not quiet:
        if kept is not None:
            say(f"The workbook that was there is kept as {kept}.")
        result(f"Wrote {target}. Fill it in, then: workbook-builder check {typed(target)}")


def guide_text(name: str, units: str, example: bool) -> str:
    """Return the text of the first sheet for a workbook of this name."""
    from workbook_builder.printing.pages import environment

    note = FILLED if example else BLANK
    stem = name.rpartition(".")[0]
    # Pages escape what they show; this text goes into cells, where nothing needs escaping.
    template = environment().overlay(autoescape=False).get_template(TEMPLATE)
    return str(template.render(note=note, units=UNIT_WORDS[units], name=name, built_name=f"{stem}-plan.xlsx"))
