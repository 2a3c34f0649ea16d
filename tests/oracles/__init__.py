"""Published check values and the functions that answer them; the modules beside this one find themselves."""

from __future__ import annotations

import importlib
import pkgutil

from oracles.registry import usable_rows
from oracles.rows import all_rows

#: Modules of this folder that register no functions.
OTHERS = ("page", "registry", "rows")


def _load() -> dict[str, str]:
    """Import every module that registers functions.

    Return those whose part of the package is not there, and which part.
    """
    left_out = {}
    for name in sorted(info.name for info in pkgutil.iter_modules(__path__) if info.name not in OTHERS):
        try:
            importlib.import_module(f"oracles.{name}")
        except ModuleNotFoundError as missing:
            if not str(missing.name).startswith("workbook_builder."):
                raise
            left_out[name] = str(missing.name)
    return left_out


LEFT_OUT = _load()

__all__ = ["LEFT_OUT", "all_rows", "usable_rows"]
