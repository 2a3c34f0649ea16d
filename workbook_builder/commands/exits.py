"""Exit codes, and the one place where an exception becomes a sentence."""

from __future__ import annotations

import contextlib
import errno
import functools
import gc
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

import typer

from workbook_builder.interruption import asked, listen

#: Called the same, whether started by its script or by ``python -m``.
PROGRAM = "workbook-builder"
DONE = 0
PROBLEMS = 1
WRONG_USAGE = 2
INTERRUPTED = 130

#: Files named one by one when a run ends early.
SHOWN = 4
#: Set to anything to see where an unforeseen failure came from.
DEBUG_VARIABLE = "WORKBOOK_BUILDER_DEBUG"

Command = TypeVar("Command", bound=Callable[..., None])


class Stopped(KeyboardInterrupt):
    """Somebody pressed Ctrl-C, and what is there and what is not has been said."""

    #: Whether it ever has; the library of the command line may turn the exception into an exit code.
    said = False

    def __init__(self) -> None:
        Stopped.said = True


#: What Python says when the system has no memory for a thread.
NO_THREAD = "can't start new thread"
NO_MEMORY = ("There is not enough memory for this. Close other programs, or split the source into smaller "
             "ones.")


class Misused(Exception):
    """The command was asked for something it cannot do; the message says what would be right."""

    @classmethod
    def of(cls, refused: Exception) -> Misused:
        """Return what somebody below refused, as a sentence."""
        text = str(refused)
        return cls(f"{text[:1].upper()}{text[1:]}{'' if text.endswith(('.', '?')) else '.'}")


def need_folder_of(path: Path) -> None:
    """Refuse a path whose folder is not there."""
    if not path.parent.is_dir():
        raise Misused(f"The folder {path.parent} does not exist. Make it first, or give another name.")


def in_plain_words(command: Command) -> Command:
    """Turn what a command raises into a sentence on stderr and an exit code."""

    @functools.wraps(command)
    def run(*args: object, **options: object) -> None:
        _published().clear()
        try:
            command(*args, **options)
        except (typer.Exit, Stopped):
            raise
        except KeyboardInterrupt:
            raise _stopped() from None
        except BrokenPipeError:
            raise typer.Exit(_without_reader()) from None
        except Exception as failure:
            # A library may have turned Ctrl-C into an error of its own.
            if asked():
                raise _stopped() from None
            if os.environ.get(DEBUG_VARIABLE):
                raise
            raise typer.Exit(_explain(failure)) from None

    return run  # type: ignore[return-value]


def _published() -> list[Path]:
    """Return the files this command has written so far, without loading what writes them."""
    module = sys.modules.get("workbook_builder.finish.write")
    return module.PUBLISHED if module is not None else []


def _stopped() -> Stopped:
    """Say what is there and what is not, and return what ends the run."""
    from workbook_builder.commands.messages import say

    said = (f"Stopped. Written: {_names(_published())}; nothing else." if _published()
            else "Stopped. Nothing was written.")
    with contextlib.suppress(OSError):
        say(said)
    return Stopped()


def _names(paths: Sequence[Path]) -> str:
    return (", ".join(map(str, paths[:SHOWN])) + (f" and {len(paths) - SHOWN} more"
                                                  if len(paths) > SHOWN else ""))


def _without_reader() -> int:
    """Go silent when the reader of the output has gone (a pager was left); that is no failure."""
    sys.stdout = open(os.devnull, "w")  # noqa: SIM115 - stands in until the end of the process
    return DONE


def _explain(failure: Exception) -> int:
    """Print what happened and return the exit code."""
    if isinstance(failure, MemoryError) or str(failure) == NO_THREAD:
        # Without memory nothing more can be loaded, not even what says things nicely.
        sys.stderr.write(f"{NO_MEMORY} Written before that: {_names(_published())}.\n" if _published()
                         else f"{NO_MEMORY}\n")
        return PROBLEMS
    from workbook_builder.check.problems import ProblemsFound
    from workbook_builder.commands.messages import print_problems, say

    if isinstance(failure, ProblemsFound):
        print_problems(failure.problems)
        return PROBLEMS
    sentence, code = _sentence(failure)
    say(f"{sentence} Written before that: {_names(_published())}." if _published() else sentence)
    return code


def _sentence(failure: Exception) -> tuple[str, int]:
    from workbook_builder.engines import EngineFailed, EngineMissing
    from workbook_builder.finish import AlreadyThere, CannotWrite, SameFile

    if isinstance(failure, Misused):
        return str(failure), WRONG_USAGE
    if isinstance(failure, AlreadyThere):
        return (f"{failure.path} already exists. Choose another name, or add --replace (the old file is kept "
                f"beside it)."), WRONG_USAGE
    if isinstance(failure, SameFile):
        return (f"Two outputs would both be written to {failure.path}. Give each a name of its own.",
                WRONG_USAGE)
    if isinstance(failure, (CannotWrite, EngineMissing)):
        return f"{failure}.", WRONG_USAGE
    if isinstance(failure, EngineFailed):
        return f"{failure}.", PROBLEMS
    if isinstance(failure, OSError) and failure.errno in (errno.ENOSPC, errno.EDQUOT):
        return (f"There is no room left on the disk{f' for {failure.filename}' if failure.filename else ''}. "
                f"Make some and run again."), WRONG_USAGE
    if isinstance(failure, OSError) and failure.filename:
        return f"{failure.filename} cannot be used: {failure.strerror}.", WRONG_USAGE
    reason = " ".join(str(failure).split())[:300]
    return (f"This should not have happened ({type(failure).__name__}: {reason}). Set {DEBUG_VARIABLE}=1 and "
            f"run again to see where."), PROBLEMS


def run_app(app: typer.Typer) -> None:
    """Run the program; an interrupted run ends without a traceback."""
    listen()
    # What a command makes it keeps: searching for unused objects every 700 made took a tenth of its time.
    gc.set_threshold(100_000)
    # A program started without a place to write to says nothing, instead of failing.
    sys.stdout = sys.stdout or open(os.devnull, "w")  # noqa: SIM115
    sys.stderr = sys.stderr or open(os.devnull, "w")  # noqa: SIM115
    try:
        app(prog_name=PROGRAM)
    except (KeyboardInterrupt, SystemExit) as stop:
        if isinstance(stop, SystemExit) and stop.code != INTERRUPTED:
            raise
        if not Stopped.said:
            _stopped()
        sys.exit(INTERRUPTED)
    except BrokenPipeError:
        sys.exit(_without_reader())
