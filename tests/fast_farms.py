"""The random farms that every run of the tests checks: some built, most typed into open workbooks.

The mutants are tried on the same farms, so that what the usual run notices is measured on what it looks at.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from farms_strategy import EVERY_TAB, build_small, slots_for
from live_book import LiveBook
from random_farms import MANY_ROWS, random_farm

from workbook_builder.build import with_defaults
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import TYPED_TABLES

#: Farms that are built for themselves: a few in the usual run, many in the long one.
FRESH, FRESH_LONG = range(4), range(1_000, 1_300)
#: Farms that are typed over another, in groups that share their open workbooks.
RETYPED = (range(100, 140),)
#: Most rows of an ordinary table: few in one farm, more in the next.
LARGEST = (3, 2, 1, 3)
SPARE = 1
#: Farms that hold nothing but the lists that come with the program.
BARE = {system: with_defaults(Inputs({"farm": [{"units": system}]})) for system in ("us", "metric")}
#: Rows of each table with which any random farm fits.
MOST = {table.key: max(LARGEST) * MANY_ROWS.get(table.key, 1) + 1 for table in TYPED_TABLES
        if not table.is_form}


@lru_cache(400)
def farm(seed: int) -> Inputs | None:
    """Return the random farm of a seed, or None when checking left nothing to plan."""
    return random_farm(seed, LARGEST[seed % len(LARGEST)])


def roomy(inputs: Inputs, most: Mapping[str, int]) -> Inputs:
    """Return a farm with blank rows below the filled ones,
    up to so many of each table and no fewer than are shipped.
    """
    rows = {key: inputs.rows(key)
            + [{}] * (max(count, *(len(bare.rows(key)) for bare in BARE.values())) - len(inputs.rows(key)))
            for key, count in most.items()}
    return replace(inputs, tables={**inputs.tables, **rows})


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
    slots : dict of str to int
        Slots that hold every farm seen so far.
    """

    spare: int = SPARE
    books: dict[str, LiveBook] = field(default_factory=dict)
    built: int = 0
    slots: dict[str, int] = field(default_factory=dict)

    def holding(self, inputs: Inputs) -> LiveBook:
        """Return a workbook that holds this farm: the open one where it has room, else a new one."""
        book = self.books.get(inputs.system)
        if book is None or not book.refill(inputs):
            self.slots = dict(Counter(self.slots) | Counter(slots_for([inputs])))
            book = self.books[inputs.system] = LiveBook(build_small(roomy(inputs, MOST), self.spare,
                                                                    EVERY_TAB, slots=self.slots))
            self.built += 1
            assert book.refill(inputs)
        return book

    def each(self, seeds: range) -> Iterator[tuple[int, LiveBook]]:
        """Yield each valid farm's seed and the workbook that holds it."""
        found = {seed: inputs for seed in seeds if (inputs := farm(seed)) is not None}
        self.slots = slots_for(found.values())
        for seed, inputs in found.items():
            yield seed, self.holding(inputs)
