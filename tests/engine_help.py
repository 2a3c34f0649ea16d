"""What several test files share: which engines there are, and small workbooks to ask them about."""

from __future__ import annotations

import io
import os
from collections.abc import Mapping
from datetime import datetime
from typing import Any

import pytest

from workbook_builder.engines import ENGINE_NAMES, Engine, engine_named
from workbook_builder.finish import finish

#: For tests that every engine must pass.
every_engine = pytest.mark.parametrize("engine_name", ENGINE_NAMES)
#: For farms made to try one feature. The other programs read both demo farms and sampled farms in every run,
#: these farms in the long one.
engines_at_length = pytest.mark.parametrize(
    "engine_name", [name if name == "IronCalc" else pytest.param(name, marks=pytest.mark.nightly)
                    for name in ENGINE_NAMES],
)

MOMENT = datetime(2026, 3, 1, 12, 0, 0)


def need_engine(name: str) -> Engine:
    """Return an engine; skip the test when it is missing, but fail it on the build server."""
    engine = engine_named(name)
    reason = engine.available()
    if reason is None:
        return engine
    if os.environ.get("CI") == "true":
        pytest.fail(f"{name} must be there: {reason}")
    pytest.skip(f"{name}: {reason}")


def small_book(sheets: Mapping[str, Mapping[str, Any]]) -> Any:
    """Return a workbook of sheet title -> cell reference -> content, not yet saved."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    for title, cells in sheets.items():
        sheet = book.create_sheet(title)
        for reference, content in cells.items():
            sheet[reference] = content
    return book


def saved_workbook(sheets: Mapping[str, Mapping[str, Any]]) -> bytes:
    """Return an unfinished workbook of the same description, as its library saves it."""
    target = io.BytesIO()
    small_book(sheets).save(target)
    return target.getvalue()


def finished_workbook(sheets: Mapping[str, Mapping[str, Any]],
                      values: Mapping[str, Mapping[str, object]]) -> bytes:
    """Return a finished workbook of the same description."""
    return finish(small_book(sheets), values, MOMENT)
