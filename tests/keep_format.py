"""Keep a workbook as today's release writes it, with what was typed into it: ``python -m tests.keep_format``.

Run before a release whose format number was raised; later releases must read what it keeps.
"""

from __future__ import annotations

import json
import lzma
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from small_farm import small_farm

from workbook_builder.build import build_inputs, checked
from workbook_builder.commands.new import guide_text
from workbook_builder.core.inputs import Inputs
from workbook_builder.features import INPUT_TABLES, TYPED_TABLES
from workbook_builder.file_format import FORMAT
from workbook_builder.finish.package import pack
from workbook_builder.finish.parts import read_parts
from workbook_builder.input_book import input_book, shipped_farm

FOLDER = Path(__file__).parent / "earlier_formats"


def keep(name: str, data: bytes, typed: Inputs, tables: list[str]) -> None:
    """Keep one workbook, its parts unpacked and packed again as one, and the values that were typed."""
    rows = {
        key: [{name: value.isoformat() if hasattr(value, "isoformat") else value
               for name, value in row.items() if value is not None} for row in typed.rows(key)]
        for key in tables if typed.rows(key)
    }
    (FOLDER / f"{FORMAT}_{name}.xlsx.xz").write_bytes(lzma.compress(pack(read_parts(data), level=0),
                                                                    preset=9))
    (FOLDER / f"{FORMAT}_{name}.json.xz").write_bytes(lzma.compress(json.dumps(
        rows, ensure_ascii=False).encode(),
                                                                    preset=9))


def main() -> None:
    """Keep a small built workbook in US units, and the metric demo to type into."""
    farm = shipped_farm("metric")
    small = small_farm()
    small.rows("farm")[0]["currency"] = "$"
    built = build_inputs(*checked(small, []))
    keep("built_us", built.data, built.plan.inputs, [table.key for table in TYPED_TABLES])
    keep("input_metric", input_book("metric", True, guide_text("farm.xlsx", "metric", True)), farm,
         [table.key for table in INPUT_TABLES])


if __name__ == "__main__":
    main()
