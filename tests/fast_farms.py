"""The random farms that every run of the tests checks: some built, most typed into open workbooks.

The mutants are tried on the same farms, so that what the usual run notices is measured on what it looks at.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache

from farms_strategy import EVERY_TAB, build_small
from live_book import LiveBook
from random_farms import random_farm

from workbook_builder.core.inputs import Inputs

#: Farms that are built for themselves: a few in the usual run, many in the long one.
FRESH, FRESH_LONG = range(8), range(1_000, 1_300)
#: Farms that are typed over another, in groups that share their open workbooks.
RETYPED = (range(100, 171), range(300, 371))
#: Most rows of an ordinary table: few in one farm, more in the next.
LARGEST = (3, 2, 1, 3)
SPARE = 4


@lru_cache(400)
def farm(seed: int) -> Inputs | None:
    """Return the random farm of a seed, or None when checking left nothing to plan."""
    return random_farm(seed, LARGEST[seed % len(LARGEST)])


@dataclass
class OpenBooks:
    """One open workbook of each unit system, into which farms are typed one after the other.

    Attributes
    ----------
    spare : int
        Spare rows of a workbook built because a farm did not fit.
    books : dict of str to LiveBook
    built : int
        How many workbooks had to be built.
    """

    spare: int = SPARE
    books: dict[str, LiveBook] = field(default_factory=dict)
    built: int = 0

    def holding(self, inputs: Inputs) -> LiveBook:
        """Return a workbook that holds this farm: the open one where it has room, else a new one."""
        book = self.books.get(inputs.system)
        if book is None or not book.refill(inputs):
            book = self.books[inputs.system] = LiveBook(build_small(inputs, self.spare, EVERY_TAB))
            self.built += 1
        return book

    def each(self, seeds: range) -> Iterator[tuple[int, LiveBook]]:
        """Yield each valid farm's seed and the workbook that holds it."""
        for seed in seeds:
            inputs = farm(seed)
            if inputs is not None:
                yield seed, self.holding(inputs)
