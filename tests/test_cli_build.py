"""The commands build, check, verify and demo as people run them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from cli_help import DEMO, SMALL, copied, run, set_cell

from workbook_builder.commands.demo_files import demo_names
from workbook_builder.features import VIEWS


def test_build_writes_a_workbook_and_says_so(tmp_path: Path) -> None:
    """The workbook appears, and stdout says where and what state the plan is in."""
    target = tmp_path / "out.xlsx"

    outcome = run("build", SMALL, "-o", target)

    assert outcome.exit_code == 0
    assert target.read_bytes()[:2] == b"PK"
    assert outcome.stdout.startswith(f"Wrote {target}.")
    assert outcome.stderr == ""


def test_existing_workbook_is_left_alone(tmp_path: Path) -> None:
    """Without --replace nothing is overwritten; with it the old file is kept beside the new one."""
    target = tmp_path / "out.xlsx"
    target.write_bytes(b"mine")

    refused = run("build", SMALL, "-o", target)
    assert (refused.exit_code, target.read_bytes()) == (2, b"mine")
    assert "--replace" in refused.stderr

    replaced = run("build", SMALL, "-o", target, "--replace")
    assert replaced.exit_code == 0
    assert (tmp_path / "out.before.xlsx").read_bytes() == b"mine"
    assert "out.before.xlsx" in replaced.stderr


def test_build_from_the_built_workbook_itself(tmp_path: Path) -> None:
    """A built workbook is a source; building it onto itself gives the same file."""
    target = tmp_path / "out.xlsx"
    run("build", SMALL, "-o", target)
    before = target.read_bytes()

    assert run("build", target, "-o", target, "--replace").exit_code == 0

    assert target.read_bytes() == before


@pytest.mark.parametrize("command", ["build", "check"])
def test_json_holds_every_view(tmp_path: Path, command: str) -> None:
    """--json writes the promised tables with plain numbers and ISO dates, and no other file."""
    path = tmp_path / "plan.json"

    outcome = run(command, SMALL, "--json", path,
                  *(("-o", tmp_path / "out.xlsx") if command == "build" else ()))

    assert outcome.exit_code == 0
    content = json.loads(path.read_text())
    assert set(VIEWS) <= set(content)
    assert content["problems"] == []
    assert content["mix_lines"][0]["pass"]
    assert (tmp_path / "out.xlsx").exists() == (command == "build")


def test_json_to_stdout_is_only_json() -> None:
    """With - as the path, stdout is JSON and nothing else."""
    outcome = run("check", SMALL, "--json", "-")

    assert json.loads(outcome.stdout)["cost_farm"]


def test_json_of_bad_data_lists_the_problems(tmp_path: Path) -> None:
    """check --json tells a program what it tells a person."""
    farm, path = copied(tmp_path), tmp_path / "plan.json"
    set_cell(farm, "fields", 0, "area", "forty")

    assert run("check", farm, "--json", path).exit_code == 1

    problem = json.loads(path.read_text())["problems"][0]
    assert ((problem["code"], problem["file"], problem["row"], problem["column"])
            == ("not-a-number", "fields.csv", 2, "area"))


def test_json_never_replaces_something_else(tmp_path: Path) -> None:
    """A file that is not JSON is not written over."""
    path = tmp_path / "notes.txt"
    path.write_text("mine")

    outcome = run("check", SMALL, "--json", path)

    assert (outcome.exit_code, path.read_text()) == (2, "mine")


def test_check_groups_findings_worst_first() -> None:
    """check prints the farm, then Not allowed before Not entered before Review, each with its place."""
    lines = run("check", DEMO).stdout.splitlines()

    heads = [line.split(":")[0] for line in lines if line.startswith(("Not ", "Review"))]
    assert heads == ["Not allowed", "Not entered", "Review"]
    assert any("(passes.csv, row " in line for line in lines)


def test_quiet_says_nothing(tmp_path: Path) -> None:
    """--quiet leaves only errors."""
    for arguments in (("build", SMALL, "-o", tmp_path / "out.xlsx"), ("check", SMALL)):
        assert run(*arguments, "--quiet").output == ""


@pytest.mark.parametrize(
    "arguments",
    [
        ("build",), ("build", SMALL), ("build", SMALL, "-o", "out.csv"),
        ("build", SMALL, "-o", "no/such/folder/out.xlsx"),
        ("check",), ("check", SMALL, "--nonsense"), ("verify",), ("verify", SMALL),
        ("verify", "x.xlsx", "--engine", "abacus"),
        ("demo", "x", "--units", "cubits"), ("nonsense",),
    ],
)
def test_wrong_usage_is_two(arguments: tuple[object, ...]) -> None:
    """Wrong usage ends with 2 and a sentence."""
    outcome = run(*arguments)

    assert outcome.exit_code == 2
    assert outcome.stderr


def test_verify_agrees_and_catches_a_planted_value(tmp_path: Path) -> None:
    """verify is content with a fresh workbook and finds one wrong stored value."""
    from workbook_builder.finish.package import pack
    from workbook_builder.finish.parts import read_parts

    target = tmp_path / "out.xlsx"
    run("build", SMALL, "-o", target)
    good = run("verify", target)
    assert (good.exit_code, good.stderr) == (0, "")
    assert "formula cells agree" in good.stdout

    parts = read_parts(target.read_bytes())
    name = next(name for name, data in sorted(parts.items()) if name.startswith("xl/worksheets/")
                and b"</f><v>" in data)
    head, _, rest = parts[name].rpartition(b"</f><v>")
    parts[name] = head + b"</f><v>9" + rest
    target.write_bytes(pack(parts))

    bad = run("verify", target, "--json", "-")
    assert bad.exit_code == 1
    assert "1 formula cell differs from stored values" in bad.stderr
    told = json.loads(bad.stdout)
    assert (told["agrees"], told["engines"][0]["engine"]) == (False, "IronCalc")
    assert len(told["engines"][0]["differ_from_stored"]) == 1


def test_print_tells_a_program_what_it_wrote(tmp_path: Path) -> None:
    """print --json names every file written, and stdout holds nothing else."""
    outcome = run("print", SMALL, "-o", tmp_path / "sheets", "--json", "-")

    told = json.loads(outcome.stdout)
    assert sorted(told["files"]) == sorted(path.name for path in (tmp_path / "sheets").iterdir())
    assert (told["folder"], told["problems"]) == (str(tmp_path / "sheets"), [])


def test_demo_writes_inputs_workbook_and_plan(tmp_path: Path) -> None:
    """The demo folder holds a valid source, a workbook and JSON; a second run needs --replace."""
    folder = tmp_path / "demo"

    assert run("demo", folder, "--units", "metric").exit_code == 0

    assert (sorted(demo_names("metric")) == sorted(path.relative_to(folder).as_posix()
                                                   for path in folder.rglob("*") if path.is_file()))
    assert json.loads((folder / "demo_farm.json").read_text())["cost_farm"]
    assert run("demo", folder).exit_code == 2


@pytest.mark.nightly
def test_what_the_demo_writes_is_of_use(tmp_path: Path) -> None:
    """Its inputs check, its workbook verifies, and a second run with --replace writes it again without a word
    when asked to be quiet.
    """
    folder = tmp_path / "demo"
    run("demo", folder, "--units", "metric")

    assert run("check", folder / "inputs").exit_code == 0
    assert run("verify", folder / "demo_farm.xlsx").exit_code == 0
    assert run("demo", folder, "--units", "metric", "--replace", "--quiet").output == ""


def test_program_as_a_process(tmp_path: Path) -> None:
    """The real program keeps results and messages apart and prints no colour into a pipe."""
    command = [sys.executable, "-m", "workbook_builder", "check", str(SMALL)]

    done = subprocess.run(command, capture_output=True, text=True, cwd=Path(__file__).parents[1], check=False)

    assert done.returncode == 0
    assert "Not entered" in done.stdout
    assert "\x1b[" not in done.stdout + done.stderr


def test_every_command_has_help_with_an_example() -> None:
    """Help of every command teaches by example, and the list names each command once."""
    import typer

    from workbook_builder.cli import app

    names = [command.name for command in typer.main.get_command(app).commands.values()]
    assert len(names) == len(set(names)) >= 4
    for name in names:
        text = run(name, "--help").stdout
        assert "Example" in text
        assert f"workbook-builder {name}" in text


def test_help_loads_nothing_heavy() -> None:
    """Showing help imports no spreadsheet, table or unit library."""
    code = (
        "import sys; sys.argv = ['workbook-builder', '--help']\n"
        "from workbook_builder.cli import main\n"
        "try: main()\nexcept SystemExit: pass\n"
        "print(sorted({'openpyxl', 'pandas', 'pint', 'ironcalc', 'jinja2', 'rich'} & set(sys.modules)), "
        "file=sys.stderr)"
    )

    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True,
                          env={**os.environ, "COLUMNS": "100"}, check=True)

    assert done.stderr.strip() == "[]"
