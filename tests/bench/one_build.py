"""One measurement in a process of its own: ``python -m tests.bench.one_build WHAT FOLDER [FIELDS]``.

Prints JSON: processor seconds and peak memory.  ``build`` builds a farm and leaves the
workbook and its cells in the folder, for ``openpyxl`` and ``read`` to use.
``only`` builds and leaves nothing.
"""

from __future__ import annotations

import io
import json
import pickle
import resource
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

Figures = dict[str, float]


def peak() -> float:
    """Return the peak memory of this process [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def timed(work: Callable[[], Any]) -> tuple[Any, float]:
    """Return what some work gives and its processor seconds."""
    start = time.process_time()
    result = work()
    return result, time.process_time() - start


def build(fields: int, folder: Path, keep: bool = True) -> Figures:
    """Build a farm, as `build` does after reading, and measure it."""
    from tests.bench.farms import big_farm
    from workbook_builder.build import build_inputs

    inputs = big_farm(fields)
    built, seconds = timed(lambda: build_inputs(inputs))
    found = {"seconds": seconds, "memory": peak(), "rows": fields * 5, "size": len(built.data) / 1e6}
    if keep:
        (folder / "built.xlsx").write_bytes(built.data)
        found["cells"] = dump_cells(built.data, folder)
    return found


def dump_cells(data: bytes, folder: Path) -> int:
    """Leave the content of every cell, sheet by sheet, for the other writer; return how many there are."""
    from workbook_builder.engines import read_formulas, read_raw_values

    formulas, values = read_formulas(data), read_raw_values(data)
    count = 0
    with (folder / "cells.pickle").open("wb") as file:
        for title, cells in values.items():
            content = [(place, value) for place, value in cells.items()] + [
                (place, "") for place in formulas.get(title, {}) if place not in cells]
            texts = {place: f"={text}" for place, text in formulas.get(title, {}).items()}
            pickle.dump((title, [(place, texts.get(place, value)) for place, value in content]), file)
            count += len(content)
    return count


def dumped(folder: Path) -> Iterator[tuple[str, list[tuple[int, int, Any]]]]:
    """Yield every sheet's title and its cells: row, column, content."""
    from openpyxl.utils.cell import coordinate_to_tuple

    with (folder / "cells.pickle").open("rb") as file:
        while True:
            try:
                title, cells = pickle.load(file)
            except EOFError:
                return
            yield title, [(*coordinate_to_tuple(place), value) for place, value in cells]


def with_openpyxl(folder: Path) -> Figures:
    """Write the same cells with bare openpyxl: formulas as text, no styles, nothing else."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.active)
    seconds = 0.0
    for title, cells in dumped(folder):
        start = time.process_time()
        sheet = book.create_sheet(title)
        for row, column, value in cells:
            sheet.cell(row, column, value)
        seconds += time.process_time() - start
    _, saving = timed(lambda: book.save(io.BytesIO()))
    return {"seconds": seconds + saving, "memory": peak()}


def reading(folder: Path) -> Figures:
    """Read a built workbook back and check it, and open it with bare openpyxl."""
    from openpyxl import load_workbook

    from workbook_builder.build import checked, read_inputs

    path = folder / "built.xlsx"
    (inputs, problems), read = timed(lambda: read_inputs(path))
    _, check = timed(lambda: checked(inputs, problems))
    _, bare = timed(lambda: load_workbook(path))
    return {"read": read, "check": check, "load": bare}


WORK: dict[str, Callable[..., Figures]] = {
    "build": lambda folder, fields: build(int(fields), folder),
    "only": lambda folder, fields: build(int(fields), folder, keep=False),
    "openpyxl": with_openpyxl, "read": reading,
}

if __name__ == "__main__":
    print(json.dumps(WORK[sys.argv[1]](Path(sys.argv[2]), *sys.argv[3:])))
