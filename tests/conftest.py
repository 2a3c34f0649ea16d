"""Farms built once and shared by the tests, by all processes of one run.

The package is imported where it is used: the process that only hands out the tests needs none of it.
"""

from __future__ import annotations

import gc
import os
import pickle
import sys
from collections.abc import Callable
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from filelock import FileLock
from xdist.scheduler import LoadScopeScheduling

if TYPE_CHECKING:
    from workbook_builder.build import Built
    from workbook_builder.check import Problem
    from workbook_builder.core.inputs import Inputs

sys.path.insert(0, str(Path(__file__).parent))
# Shipped farms stay in memory for the whole run: looking through them again and again for rubbish takes a
# tenth of the time.
gc.set_threshold(100_000, 20, 100)
DATA = Path(__file__).parents[1] / "workbook_builder" / "data"


#: How often the marks of lines that ran before are hit until slipcover takes them away, which makes it look
#: through the whole package.
HITS = 2000
if measuring := getattr(sys.modules.get("slipcover.pytest_plugin"), "_slipcover_instance", None):
    measuring.d_miss_threshold = HITS
    from measured_code import KEPT_IN, share

    if KEPT_IN in os.environ:
        share(Path(os.environ[KEPT_IN]))


def pytest_collection_modifyitems() -> None:
    """Keep the commands for all tests that run the program:
    making them anew takes longer than most of what they are asked to do.
    """
    import typer.testing

    typer.testing._get_command = cache(typer.testing._get_command)  # type: ignore[attr-defined]


def pytest_unconfigure() -> None:
    """Leave what is held alone: pytest looks for what nobody holds once more, among millions of objects,
    just before the process ends.
    """
    gc.freeze()


@cache
def shipped_inputs(folder: str) -> tuple[Inputs, list[Problem]]:
    """Return what one of the shipped farms holds, read once; nobody changes it."""
    from workbook_builder.build import read_and_check
    from workbook_builder.check import errors_in

    inputs, problems = read_and_check(DATA / folder)
    assert not errors_in(problems)
    return inputs, problems


def built_from(folder: str) -> Built:
    """Build one of the shipped farms."""
    from workbook_builder.build import build_inputs

    inputs, problems = shipped_inputs(folder)
    return build_inputs(inputs, problems)


def built_once(name: str, factory: pytest.TempPathFactory, worker: str,
               build: Callable[[str], Built] = built_from) -> Built:
    """Return a shipped farm, built by the first process of the run that asks for it and kept on disk for the
    others.
    """
    if worker == "master":
        return build(name)
    kept = factory.getbasetemp().parent / f"{name}.pickle"
    with FileLock(f"{kept}.lock"):
        if not kept.exists():
            kept.write_bytes(pickle.dumps(build(name)))
    built: Built = pickle.loads(kept.read_bytes())
    return built


def opened(built: Built, **options: bool) -> Any:
    """Return a built workbook as a program reads it."""
    from openpyxl import load_workbook

    return load_workbook(BytesIO(built.data), **options)


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Built:
    """The invented demo farm in US units."""
    return built_once("demo", tmp_path_factory, worker_id)


@pytest.fixture(scope="session")
def metric(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Built:
    """The invented demo farm in metric units."""
    return built_once("demo_metric", tmp_path_factory, worker_id)


@pytest.fixture(scope="session")
def metric_whole(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> Built:
    """The metric demo farm with every tab and every calculated column, and little room."""
    from farms_strategy import EVERY_TAB, build_small

    return built_once("metric_whole", tmp_path_factory, worker_id,
                      lambda name: build_small(shipped_inputs("demo_metric")[0], 2, EVERY_TAB))


@pytest.fixture(scope="session")
def demo_book(demo: Built) -> Any:
    """The demo workbook as a program reads it; nobody changes it."""
    return opened(demo)


@pytest.fixture(scope="session")
def demo_values(demo: Built) -> Any:
    """The demo workbook with the values people see; nobody changes it."""
    return opened(demo, data_only=True)


@pytest.fixture(scope="session")
def metric_book(metric: Built) -> Any:
    """The metric demo workbook as a program reads it; nobody changes it."""
    return opened(metric)


@pytest.fixture(scope="session", params=[pytest.param("demo", marks=pytest.mark.nightly), "metric"])
def farm(request: pytest.FixtureRequest) -> Built:
    """The metric demo farm; in the long run the large one too."""
    return request.getfixturevalue(request.param)


#: What a file of tests names where it has a workbook open that other files have open as well: each process
#: opens it for itself.
OPENED = {"typed": ("from agreement import",), "read": ("demo_book", "demo_values", "metric_book")}


@cache
def group_of(path: str) -> str:
    """Return which tests a file of tests shares its process with: others that have the same workbook open,
    or its own alone.
    """
    text = (Path(__file__).parents[1] / path).read_text("utf-8")
    return next((group for group, words in OPENED.items() if any(word in text for word in words)), path)


class ByWorkbook(LoadScopeScheduling):
    """Keeps the tests of a file, and those of files with the same workbook open, in one process."""

    def _split_scope(self, nodeid: str) -> str:
        return group_of(nodeid.partition("::")[0])


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> LoadScopeScheduling:
    """Give each process the tests that belong together."""
    return ByWorkbook(config, log)
