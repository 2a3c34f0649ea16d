"""One measured build in a process of its own: ``python -m tests.bench.one_build FIELDS FOLDER``.

Prints JSON: processor seconds and peak memory of building a farm, and leaves the workbook
and its cells in the folder for the bare run.
"""

from __future__ import annotations

import json
import pickle
import resource
import sys
import time
from pathlib import Path


def peak() -> float:
    """Return the peak memory of this process [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def build(fields: int, folder: Path) -> dict[str, float]:
    """Build a farm, as `build` does after reading, and measure it."""
    from tests.bench.farms import big_farm
    from workbook_builder.build import build_inputs

    inputs = big_farm(fields)
    start = time.process_time()
    built = build_inputs(inputs)
    seconds, memory = time.process_time() - start, peak()
    (folder / "built.xlsx").write_bytes(built.data)
    cells = dump_cells(built.data, folder)
    return {"seconds": seconds, "memory": memory, "cells": cells, "rows": fields * 5, "size": len(built.data) / 1e6}


def dump_cells(data: bytes, folder: Path) -> int:
    """Leave the content of every cell, sheet by sheet, for the bare run; return how many there are."""
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


def bare(folder: Path) -> dict[str, float]:
    """Write the same cells with bare openpyxl: formulas as text, no styles, nothing else."""
    from openpyxl import Workbook
    from openpyxl.utils.cell import coordinate_to_tuple

    book = Workbook()
    book.remove(book.active)
    seconds = 0.0
    with (folder / "cells.pickle").open("rb") as file:
        while True:
            try:
                title, cells = pickle.load(file)
            except EOFError:
                break
            placed = [(*coordinate_to_tuple(place), value) for place, value in cells]
            del cells
            start = time.process_time()
            sheet = book.create_sheet(title)
            for row, column, value in placed:
                sheet.cell(row, column, value)
            seconds += time.process_time() - start
            del placed
    start = time.process_time()
    book.save(folder / "bare.xlsx")
    return {"seconds": seconds + time.process_time() - start, "memory": peak()}


if __name__ == "__main__":
    target = Path(sys.argv[2])
    print(json.dumps(bare(target) if sys.argv[1] == "bare" else build(int(sys.argv[1]), target)))
