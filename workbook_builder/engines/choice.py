"""The engines there are, in the order they are tried."""

from __future__ import annotations

from workbook_builder.engines.base import Engine, EngineMissing
from workbook_builder.engines.gnumeric_engine import GnumericEngine
from workbook_builder.engines.ironcalc_engine import IronCalcEngine
from workbook_builder.engines.libreoffice_engine import LibreOfficeEngine

ENGINE_NAMES = ("IronCalc", "LibreOffice", "Gnumeric")


def all_engines() -> tuple[Engine, ...]:
    """Return every engine, installed or not, in the order of `ENGINE_NAMES`."""
    return IronCalcEngine(), LibreOfficeEngine(), GnumericEngine()


def engine_named(name: str) -> Engine:
    """Return one engine by its name in any case.

    Raises
    ------
    KeyError
        There is no such engine.
    """
    for engine in all_engines():
        if engine.name.lower() == name.lower():
            return engine
    raise KeyError(f"no engine is called {name!r}; there are {', '.join(ENGINE_NAMES)}")


def first_available() -> Engine:
    """Return the first engine that can be used.

    Raises
    ------
    EngineMissing
        None can; the message says what each one lacks.
    """
    reasons = []
    for engine in all_engines():
        reason = engine.available()
        if reason is None:
            return engine
        reasons.append(f"{engine.name}: {reason}")
    raise EngineMissing("no engine", "; ".join(reasons))
