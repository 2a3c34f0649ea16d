"""Where a long job stands: the work tells its steps, and whoever shows them listens.

Nobody listens by default, so that telling costs next to nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

Listener = Callable[[str, float], None]
Item = TypeVar("Item")

_listener: ContextVar[Listener | None] = ContextVar("listener", default=None)
#: The part of the whole job that what is told now belongs to: its start and its end [share].
_part: ContextVar[tuple[float, float]] = ContextVar("part", default=(0.0, 1.0))


@contextmanager
def listening(listener: Listener) -> Iterator[None]:
    """Hand every step told inside to a listener: what is done, and the share done before it."""
    token = _listener.set(listener)
    try:
        yield
    finally:
        _listener.reset(token)


@contextmanager
def part(start: float, end: float) -> Iterator[None]:
    """Count what is told inside as a part of the whole [shares of the part around it]."""
    low, high = _part.get()
    token = _part.set((low + start * (high - low), low + end * (high - low)))
    try:
        yield
    finally:
        _part.reset(token)


def tell(what: str, share: float) -> None:
    """Tell what is done next, and which share of the part at hand is done."""
    listener = _listener.get()
    if listener is not None:
        low, high = _part.get()
        listener(what, low + share * (high - low))


def each(what: str, items: Collection[Item]) -> Iterator[Item]:
    """Yield the items, telling before each how many of them are done."""
    for number, item in enumerate(items):
        tell(what, number / len(items))
        yield item
