"""A command whose errors teach: wrong usage shows an example of its help beside the usage line."""

from __future__ import annotations

import inspect
from typing import Any

from typer.core import TyperCommand

EXAMPLES = "Examples:"


class TaughtCommand(TyperCommand):
    """A command that answers wrong usage with its first example,
    and lists arguments without the types of the language it is written in.
    """

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        for each in self.params:
            if each.param_type_name == "argument":
                # A newer library writes "SOURCE <list[Path]>" there, which helps nobody who mixes sprays.
                each.display_type_rich = lambda ctx: None  # type: ignore[attr-defined]

    def get_usage(self, ctx: Any) -> str:
        """Return the usage line, as an error shows it, with an example below."""
        usage = super().get_usage(ctx)
        # The first example of a help text, blank when it has none.
        lines = [line.strip() for line in inspect.cleandoc(self.help or "").splitlines()]
        example = lines[lines.index(EXAMPLES) + 1] if EXAMPLES in lines[:-1] else ""
        return f"{usage}\nFor example: {example}" if example else usage


def unit_systems() -> list[str]:
    """Return what a shell may offer behind ``--units``."""
    return ["us", "metric"]
