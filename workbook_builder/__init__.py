"""Build a live spray decision workbook from a farm's fields, products, mixes and passes.

``workbook_builder.plan(source)`` plans a source in Python; its ``frames()`` are the results as pandas frames.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from workbook_builder.build import plan_source as plan

__version__ = "0.1.0"
__all__ = ["__version__", "plan"]


def __getattr__(name: str) -> Any:
    # Loaded when it is asked for: the commands start without the planner.
    if name == "plan":
        return import_module("workbook_builder.build").plan_source
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
