"""The contents of the demo folder, made anew from the shipped farm."""

from __future__ import annotations

from contextlib import AbstractContextManager
from importlib import resources
from pathlib import Path

#: What the demo writes; nothing else in the folder is touched.
WORKBOOK, PLAN, INPUTS, BOOK, SEASON = ("demo_farm.xlsx", "demo_farm.json", "inputs", "input_workbook.xlsx",
                                        "demo_farm.ics")
FOLDERS = {"us": "demo", "metric": "demo_metric"}


def demo_files(units: str) -> dict[str, bytes]:
    """Return file name -> content of the demo in one system of units.

    Parameters
    ----------
    units : str
        ``us`` or ``metric``.
    """
    from workbook_builder.build import MOMENT, build_source
    from workbook_builder.commands.new import guide_text
    from workbook_builder.export.ics import plan_as_ics
    from workbook_builder.export.json_text import plan_as_json
    from workbook_builder.input_book import input_book
    from workbook_builder.maps.demo import FOLDER, demo_map_files
    from workbook_builder.steps import part, tell

    with _shipped(units) as folder:
        files = {f"{INPUTS}/{path.name}": path.read_bytes() for path in csv_files(folder)}
        with part(0, 0.8):
            built = build_source(folder)
    tell("Making the input workbook", 0.8)
    files |= {f"{FOLDER}/{name}": data for name, data in demo_map_files(units).items()}
    files[BOOK] = input_book(units, True, guide_text(BOOK, units, True))
    files[WORKBOOK] = built.data
    files[PLAN] = plan_as_json(built.plan, built.problems).encode()
    files[SEASON] = plan_as_ics(built.plan, MOMENT).encode()
    return files


def demo_names(units: str) -> list[str]:
    """Return the names of the files of the demo, without making them."""
    from workbook_builder.maps.demo import FOLDER, demo_map_names

    with _shipped(units) as folder:
        return [*(f"{INPUTS}/{path.name}" for path in csv_files(folder)), BOOK, WORKBOOK, PLAN, SEASON,
                *(f"{FOLDER}/{name}" for name in demo_map_names(units))]


def _shipped(units: str) -> AbstractContextManager[Path]:
    return resources.as_file(resources.files("workbook_builder") / "data" / FOLDERS[units])


def csv_files(folder: Path) -> list[Path]:
    """Return the CSV files of a folder, by name."""
    return sorted(folder.glob("*.csv"))
