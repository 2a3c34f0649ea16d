"""What the print command does: read a source, choose passes, write the sheets."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from workbook_builder.build import read_and_check
from workbook_builder.check import Problem, ProblemsFound, errors_in
from workbook_builder.finish import write_atomically
from workbook_builder.planning.plan import make_plan
from workbook_builder.printing import DOCUMENTS, Choice, documents, make_pdf
from workbook_builder.theme import DEFAULT_THEME, Theme


@dataclass(frozen=True)
class Printed:
    """What was written.

    Attributes
    ----------
    files : tuple of Path
    unprinted : tuple of str
        Passes whose loads cannot be worked out, so that they have no mix sheet.
    problems : tuple of Problem
        Warnings about the inputs.
    """

    files: tuple[Path, ...]
    unprinted: tuple[str, ...]
    problems: tuple[Problem, ...]


def print_source(
    source: Path, folder: Path, choice: Choice | None = None, theme: Theme = DEFAULT_THEME, pdf: bool = False, replace: bool = True
) -> Printed:
    """Print the sheets of a source into a folder.

    Parameters
    ----------
    source : Path
        Workbook, input book or folder of CSV files.
    folder : Path
        Made when it is not there.
    choice : Choice, optional
        Which passes; all when left out.
    theme : Theme
    pdf : bool
        Write PDF beside the HTML.
    replace : bool
        Write over sheets printed before; no copy of the old ones is kept.

    Raises
    ------
    ProblemsFound
        When the inputs have errors.
    NothingToPrint
        When the choice fits no pass.
    NoPdfMaker
        When PDF was asked for and no program makes it; the HTML is written all the same.
    """
    inputs, problems = read_and_check(source)
    if errors_in(problems):
        raise ProblemsFound(problems)
    plan = make_plan(inputs)
    choice = choice or Choice()
    made = documents(plan, choice, theme)
    folder.mkdir(parents=True, exist_ok=True)
    files = [_write(folder / f"{name}.html", text.encode("utf-8"), replace) for name, text in made.items()]
    if pdf:
        files += [_write(folder / f"{name}.pdf", make_pdf(text), replace) for name, text in made.items()]
    passes = plan.tables["pass_volumes"]
    unprinted = [f"{passes[row]['pass']} on {passes[row]['field']}" for row in choice.rows(plan) if passes[row]["loads"] == ""]
    return Printed(tuple(files), tuple(unprinted), tuple(problems))


def _write(path: Path, data: bytes, replace: bool) -> Path:
    """Write one sheet whole or not at all; an older print of ours is not worth keeping."""
    if replace and path.is_file() and path.stem in DOCUMENTS:
        path.unlink()
    write_atomically(path, data)
    return path
