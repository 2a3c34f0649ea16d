"""Many clients in one run: all built, one failure stops nothing, a restart passes over what is up to date."""

from __future__ import annotations

import json
import os
import signal
from concurrent.futures import Future
from pathlib import Path
from typing import Any

import pytest
from cli_help import SMALL, as_book, copied, run, set_cell
from openpyxl import load_workbook

from workbook_builder.many import BUILT, FAILED, Outcome, Task, clients_in, runners
from workbook_builder.many.runners import ENDED, run_here
from workbook_builder.many.summary import summary_workbook


@pytest.fixture
def clients(tmp_path: Path) -> Path:
    """A folder with two good clients, one as a book, and one bad file."""
    return clients_below(tmp_path)


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path, Any]:
    """Such a folder, what was built from it, workbooks and JSON beside each other, and what the program said.
    """
    clients = clients_below(tmp_path_factory.mktemp("built"))
    out = clients.with_name("out")
    return clients, out, run("build", clients, "-o", out, "--json", clients.with_name("plans"), "--jobs", "1")


def clients_below(place: Path) -> Path:
    """Make the folder of clients."""
    folder = place / "clients"
    folder.mkdir()
    copied(folder, SMALL).rename(folder / "birch")
    as_book(SMALL, folder / "alder.xlsx")
    (folder / "cedar.xlsx").write_bytes(b"no workbook")
    (folder / "~$alder.xlsx").write_bytes(b"lock")
    (folder / "notes.txt").write_text("not a source")
    return folder


def test_one_failure_stops_nothing(built: tuple[Path, Path, Any]) -> None:
    """Good clients are built, the bad one is named with its reason, and the run ends with 1."""
    _, out, outcome = built
    plans = out.with_name("plans")

    assert outcome.exit_code == 1
    assert "cedar failed" in outcome.stderr
    assert "cedar.xlsx" in outcome.stderr
    assert (sorted(path.name for path in out.glob("*.xlsx"))
            == ["alder.xlsx", "birch.xlsx", "summary-of-clients.xlsx"])
    assert json.loads((plans / "birch.json").read_text())["cost_farm"]
    summary = json.loads((plans / "summary-of-clients.json").read_text())["clients"]
    assert ([(client["client"], client["state"]) for client in summary]
            == [("alder", "built"), ("birch", "built"), ("cedar", "failed")])
    assert "3 clients: 2 built, 0 up to date, 1 failed" in outcome.stdout


def test_restart_builds_only_what_changed(clients: Path, tmp_path: Path) -> None:
    """A second run passes over unchanged clients.

    A changed one needs --replace and keeps its old workbook.
    """
    out = tmp_path / "out"
    (clients / "cedar.xlsx").unlink()
    run("build", clients, "-o", out, "--jobs", "1")
    before = {path.name: path.stat().st_mtime_ns for path in out.glob("*.xlsx")}

    assert "0 built, 2 up to date" in run("build", clients, "-o", out, "--jobs", "1").stdout
    assert out.joinpath("alder.xlsx").stat().st_mtime_ns == before["alder.xlsx"]

    set_cell(clients / "birch", "fields", 0, "area", "77")
    refused = run("build", clients, "-o", out, "--jobs", "1")
    assert refused.exit_code == 1
    assert "--replace" in refused.stderr
    assert "1 built, 1 up to date" in run("build", clients, "-o", out, "--jobs", "1", "--replace").stdout
    assert (out / "birch.before.xlsx").is_file()

    (out / "alder.xlsx").unlink()
    assert "1 built, 1 up to date" in run("build", clients, "-o", out, "--jobs", "1").stdout


def test_summary_shows_every_client(built: tuple[Path, Path, Any]) -> None:
    """The summary has a row a client, failed ones too, all points to fix and orders,
    and totals that are stored.
    """
    book = load_workbook(built[1] / "summary-of-clients.xlsx", data_only=True)

    rows = [row for row in book["Clients"].iter_rows(min_row=5, values_only=True) if row[0]]
    assert [(row[0], row[3]) for row in rows] == [("alder", "built"), ("birch", "built"), ("cedar", "failed")]
    totals = {row[0]: row[1] for row in book["Totals"].iter_rows(values_only=True) if row[0]}
    assert totals["Fields"] == rows[0][4] + rows[1][4]
    assert totals["Review"] == sum(row[8] or 0 for row in rows)
    assert {row[1] for row in book["To fix"].iter_rows(min_row=5, values_only=True)} <= {
        "alder", "birch", None}


def test_summary_recalculates_and_is_sound(tmp_path: Path) -> None:
    """An engine agrees with the stored totals, the format checker finds no error, and no clients is no crash.
    """
    from openxml_audit import OpenXmlValidator

    from workbook_builder.engines import compare_cells, engine_named, read_formulas, read_raw_values

    facts = {"farm": "=A", "fields": 2, "passes": 3, "not_allowed": 1, "look": 4, "total_cost": 12.5,
             "units": "us",
             "open_points": [{"status": "Review", "pass": "P", "field": "F", "check": "C",
                              "finding": "=cmd"}],
             "orders": [{"product": "X", "wanted": 2.5, "packages": 1, "cost": 9.0, "on_hand": None}]}
    task = Task("one", Path("a"), Path("b"))
    path = tmp_path / "summary.xlsx"
    path.write_bytes(summary_workbook([Outcome(task, BUILT, (), facts), Outcome(task, FAILED, ("why",))]))

    cells, formulas = read_raw_values(path), read_formulas(path)
    expected = {sheet: {place: cells[sheet].get(place, "") for place in found}
                for sheet, found in formulas.items()}
    assert compare_cells(expected, engine_named("IronCalc").recalculate(path)) == []
    assert [error.description for error in OpenXmlValidator().validate(path).errors] == []
    assert summary_workbook([])


def test_a_changed_summary_is_kept(built: tuple[Path, Path, Any]) -> None:
    """A summary somebody wrote into is kept beside the new one; an untouched one is simply made anew."""
    clients, out, _ = built
    run("build", clients, "-o", out, "--jobs", "1")
    assert not list(out.glob("summary*before*"))

    book = load_workbook(out / "summary-of-clients.xlsx")
    book["Clients"]["A1"].value = "Mine"
    book.save(out / "summary-of-clients.xlsx")
    run("build", clients, "-o", out, "--jobs", "1")

    assert len(list(out.glob("summary*before*"))) == 1


def test_names_stay_apart(tmp_path: Path) -> None:
    """A folder and a book of one name become two workbooks."""
    (tmp_path / "smith").mkdir()
    (tmp_path / "smith" / "fields.csv").write_text("field\n")
    (tmp_path / "smith.xlsx").write_bytes(b"")

    assert [client.name for client in clients_in([tmp_path])] == ["smith", "smith-2"]


def test_a_folder_of_built_workbooks_holds_only_its_clients(tmp_path: Path) -> None:
    """The summary and workbooks kept from before are no clients when a folder of results is built again.

    Named one by one they are.
    """
    for name in ("alder", "alder.before", "alder.before-2", "summary-of-clients"):
        (tmp_path / f"{name}.xlsx").write_bytes(b"")

    assert [client.name for client in clients_in([tmp_path])] == ["alder"]
    assert [client.name for client in clients_in([tmp_path / "alder.before.xlsx"])] == ["alder.before"]


@pytest.mark.parametrize("out", ["file.txt", "one.xlsx", "no/such/folder"])
def test_wrong_targets(clients: Path, tmp_path: Path, out: str) -> None:
    """Several sources need a folder to write to."""
    (tmp_path / "file.txt").write_text("mine")

    assert run("build", clients, "-o", tmp_path / out).exit_code == 2


def die(task: Task) -> Outcome:
    """Stand in for work that takes its whole process down."""
    if task.name == "bad":
        os.kill(os.getpid(), signal.SIGKILL)
    return Outcome(task, BUILT)


@pytest.mark.nightly
def test_a_dying_process_takes_nobody_along(monkeypatch: pytest.MonkeyPatch) -> None:
    """When a worker process is killed, only its own client fails."""
    monkeypatch.setattr("workbook_builder.many.runners.build_client", die)
    tasks = [Task(name, Path(name), Path(name)) for name in ("one", "bad", "two", "three")]

    states = {outcome.task.name: (outcome.state, outcome.messages) for outcome in run_here(tasks, 2)}

    assert states.pop("bad") == (FAILED, (ENDED,))
    assert {state for state, _ in states.values()} == {BUILT}
    assert len(states) == 3


def test_nobody_is_waited_for_who_cannot_come(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no process is left to finish a client and nobody to hear of it, memory has run out:
    the run ends instead of waiting for ever.
    """
    monkeypatch.setattr(runners, "PATIENCE", 0.05)
    done: Future[Outcome] = Future()
    done.set_result(Outcome(Task("one", Path("a"), Path("b")), BUILT, ()))

    found = runners._as_they_come([done, Future()])

    assert next(found) is done
    with pytest.raises(MemoryError):
        next(found)


@pytest.mark.nightly
def test_a_cluster_of_two_workers_builds_the_same(clients: Path, tmp_path: Path) -> None:
    """The same work function on a local Dask cluster gives the same files and the same failure."""
    distributed = pytest.importorskip("distributed")
    here, there = tmp_path / "here", tmp_path / "there"
    run("build", clients, "-o", here, "--jobs", "1")

    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None,
                                  local_directory=tmp_path / "dask") as cluster:
        outcome = run("build", clients, "-o", there, "--scheduler", cluster.scheduler_address)

    assert outcome.exit_code == 1
    assert "2 built, 0 up to date, 1 failed" in outcome.stdout
    for path in here.glob("*.xlsx"):
        assert (there / path.name).read_bytes() == path.read_bytes()


def test_no_scheduler_is_wrong_usage(clients: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """An address where nobody answers is told as such."""
    pytest.importorskip("distributed")
    monkeypatch.setattr(runners, "ANSWER", 1.0)

    outcome = run("build", clients, "-o", tmp_path / "out", "--scheduler", "tcp://127.0.0.1:9")

    assert outcome.exit_code == 2
    assert "no scheduler" in outcome.stderr.lower()


def test_roll_gives_next_season(tmp_path: Path) -> None:
    """roll writes a workbook of the next season, a valid source, with this season among the past uses."""
    from workbook_builder.build import read_and_check

    target = tmp_path / "next.xlsx"

    rolled = run("next-season", SMALL, "-o", target, "--json", "-")
    assert rolled.exit_code == 0
    assert json.loads(rolled.stdout)["cost_farm"]

    inputs, problems = read_and_check(target)
    before, _ = read_and_check(SMALL)
    assert not [problem for problem in problems if problem.is_error]
    assert inputs.form("farm")["season"] == before.form("farm")["season"] + 1
    assert (len(inputs.rows("past_use")) > len(before.rows("past_use")) or inputs.rows("past_use")
            != before.rows("past_use"))
    assert run("next-season", SMALL, "-o", target).exit_code == 2


def test_the_earlier_name_of_next_season_is_understood_and_not_shown() -> None:
    """The command was called roll; it still answers to that, and help names only the new word."""
    assert "--logged-only" in run("roll", "--help").stdout
    assert "next-season" in run("--help").stdout
    assert "roll" not in run("--help").stdout.split()
