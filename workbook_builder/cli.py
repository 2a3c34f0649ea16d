"""The command line: it names the commands; each one is a module of `workbook_builder.commands`."""

from __future__ import annotations

from typing import Annotated

import typer

from workbook_builder import __version__
from workbook_builder.commands.build import build
from workbook_builder.commands.check import check
from workbook_builder.commands.demo import demo
from workbook_builder.commands.exits import run_app
from workbook_builder.commands.map_logs import map_logs
from workbook_builder.commands.new import new
from workbook_builder.commands.next_season import next_season
from workbook_builder.commands.print_sheets import print_sheets
from workbook_builder.commands.taught import TaughtCommand
from workbook_builder.commands.verify import verify

PROGRAM = "workbook-builder"

# Plain help: the richer kind takes three times as long to appear.
app = typer.Typer(name=PROGRAM, no_args_is_help=True, rich_markup_mode=None, pretty_exceptions_enable=False)


def _print_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"{PROGRAM} {__version__}")
        raise typer.Exit()


@app.callback()
def about(
    version: Annotated[bool, typer.Option("--version", callback=_print_version, is_eager=True,
                                          help="Print the version and stop.")] = False,
) -> None:
    """Turn a weed problem into a lawful, mixable, affordable spray pass.

    Reads a farm's fields, products, mixes and planned passes, and builds one workbook
    that keeps calculating: loads and mixing order, label limits and intervals,
    rotation of herbicide groups, spot passes, cost.  The label is the law; the figures are planning aids.

    \b
    Start here:
      workbook-builder demo                                an invented farm, finished
      workbook-builder new my-farm.xlsx                    a workbook to type your farm into
      workbook-builder build my-farm.xlsx -o farm-2026.xlsx

    \b
    Exit codes:
      0    done
      1    problems in the data, or a workbook that does not agree
      2    wrong usage, or a file that cannot be written
      130  stopped with Ctrl-C; nothing half written is left
    """


for command in (new, build, check, verify, next_season, demo):
    app.command(cls=TaughtCommand)(command)
#: An earlier name of the command, still understood.
app.command("roll", cls=TaughtCommand, hidden=True)(next_season)
app.command("print", cls=TaughtCommand)(print_sheets)
app.command("map", cls=TaughtCommand)(map_logs)


def main() -> None:
    """Run the program."""
    run_app(app)
