"""Documents cannot drift: the reference is generated, links lead somewhere, and the commands shown are run.
"""

from __future__ import annotations

import datetime as dt
import importlib
import re
import shlex
import shutil
from collections import Counter
from io import StringIO
from pathlib import Path

import pytest
import typer
from cli_help import run
from tutorial_farm import TUTORIAL, write_farm

from workbook_builder.build import read_and_check, with_defaults
from workbook_builder.cli import app
from workbook_builder.commands.findings import finding_lines
from workbook_builder.docs_reference import pages
from workbook_builder.features import TABLES
from workbook_builder.features.names import NAMES
from workbook_builder.planning import make_plan

REPOSITORY = Path(__file__).parents[1]
FEATURES = REPOSITORY / "workbook_builder" / "features"
DOCS = REPOSITORY / "docs"
PAGES = sorted([REPOSITORY / "README.md", REPOSITORY / "DEVELOPERS.md", *DOCS.rglob("*.md")])
PROSE = [page for page in PAGES if "reference" not in page.parts and page.name != "oracles.md"]
#: How pages ask for the demo; one of them is run as it stands, others get a copy of what it makes.
DEMO_AGAIN = ["demo", "my_demo", "--replace"]
PROGRAM = re.compile(r"^(?:\.venv/bin/)?workbook-builder (.+)$")


def name_of(page: Path) -> str:
    """Return how a page is called in test names."""
    return page.relative_to(REPOSITORY).as_posix()


def test_reference_is_what_the_declarations_say() -> None:
    """Every generated page is there and up to date, and no other."""
    assert {path.name: path.read_text("utf-8")
            for path in (DOCS / "reference").iterdir()} == pages(), ("run: python -m "
                                                                     "workbook_builder.docs_reference")


def commands_of(page: Path) -> list[list[str]]:
    """Return the arguments of every program call in the shell blocks of a page, in order."""
    blocks = re.findall(r"```sh\n(.*?)```", page.read_text("utf-8"), re.DOTALL)
    lines = [part.strip() for block in blocks for line in block.splitlines() for part in line.split("&&")]
    return [shlex.split(match[1]) for match in map(PROGRAM.match, lines) if match]


@pytest.fixture(scope="module")
def made_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What the command that most pages begin with writes, made once."""
    target = tmp_path_factory.mktemp("made") / "demo"
    assert run("demo", target).exit_code == 0
    return target


WITH_COMMANDS = [page for page in PROSE if commands_of(page)]


@pytest.mark.parametrize("page", WITH_COMMANDS, ids=name_of)
def test_commands_shown_are_understood(page: Path) -> None:
    """Every command of a page, with its options and how many arguments it takes, is one that the program has.
    """
    commands = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    for name, *arguments in commands_of(page):
        commands[name].make_context(name, arguments).close()


@pytest.mark.nightly
@pytest.mark.parametrize("page", WITH_COMMANDS, ids=name_of)
def test_commands_shown_run(page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                            made_demo: Path) -> None:
    """The commands of a page, run one after the other in a fresh folder, all end well."""
    if page.name == "verification.md":
        # A small farm: three engines take their time.
        assert run("build", write_farm(tmp_path / "farm"), "-o", tmp_path / "farm-2026.xlsx").exit_code == 0
    monkeypatch.chdir(tmp_path)
    for theme in re.findall(r"```toml\n(.*?)```", page.read_text("utf-8"), re.DOTALL):
        (tmp_path / "theme.toml").write_text(theme, "utf-8")

    for folder in re.findall(r"^mkdir -p (\S+)$", page.read_text("utf-8"), re.MULTILINE):
        (tmp_path / folder).mkdir(parents=True)

    for arguments in commands_of(page):
        if arguments == DEMO_AGAIN and page.name != "tutorial.md":
            shutil.copytree(made_demo, tmp_path / "my_demo")
            continue
        outcome = run(*arguments)
        assert outcome.exit_code == 0, (arguments, outcome.stderr)


def test_pages_can_be_followed_one_after_the_other() -> None:
    """A reader who did one page finds the demo there, so every page after the README asks for it in a way
    that still works.
    """
    calls = {name_of(page): arguments for page in PROSE for arguments in commands_of(page)
             if arguments[0] == "demo"}

    assert len(calls) > 5
    assert [name for name, arguments in calls.items() if "--replace" not in arguments] == ["README.md"]
    made = [target for page in PROSE for arguments in commands_of(page) if (target := target_of(arguments))]
    assert [target for target, times in Counter(made).items() if times > 1] == []


def target_of(arguments: list[str]) -> str:
    """Return the workbook that a command makes and will not write over; blank for none."""
    if "--replace" in arguments or arguments[0] not in ("new", "build", "next-season"):
        return ""
    return arguments[1] if arguments[0] == "new" else arguments[arguments.index("-o") + 1]


def test_the_farm_of_the_tutorial_comes_out_as_it_says(tmp_path: Path) -> None:
    """What the tutorial has people type is a farm without errors, with the figures and findings it promises.
    """
    inputs, problems = read_and_check(write_farm(tmp_path / "farm"))
    assert problems == []
    plan = make_plan(with_defaults(inputs))
    home, first, text = (plan.tables["pass_volumes"][0], plan.tables["mix_lines"][0],
                         TUTORIAL.read_text("utf-8"))
    packages = {row["product"]: row["packages"] for row in plan.tables["order_list"] if row["product"]}

    promised = (
        f"80 ac at 14 gal/ac are {home['volume']:,.0f} gal, in {home['loads']} loads",
        f"the last load is {home['last_load_volume']:.0f} gal",
        f"{first['amount_first_load']:,.1f} fl oz of glyphosate in the first load, and "
        f"{first['amount_last_load']:.1f} fl oz in the last",
        f"North starts in load {plan.tables['pass_runs'][1]['starts_in_load']}",
        f"re-entry from {moment(plan.tables['intervals'][0]['reentry_at']):%H:%M}",
        f"earliest harvest {moment(plan.tables['intervals'][0]['earliest_harvest']):%d %B}",
        f"{packages['Glyphosate 4.3 SL']} packages of glyphosate and {packages['Ammonium sulfate']} of "
        f"ammonium sulfate",
    )
    assert [line for line in promised if line not in text] == []
    told = re.search(r"```text\n(Not entered.*?)```", text, re.DOTALL)
    assert told
    assert set(told[1].splitlines()) <= set(finding_lines(plan, StringIO()))


def moment(serial: float) -> dt.datetime:
    """Return a day number of the plan as a moment."""
    return dt.datetime(1899, 12, 30) + dt.timedelta(days=serial)


def test_every_command_is_in_the_reference_and_in_some_page() -> None:
    """No command is undocumented."""
    import typer

    names = [name for name, command in typer.main.get_command(app).commands.items() if not command.hidden]
    shown = {arguments[0] for page in PROSE for arguments in commands_of(page)}
    reference = (DOCS / "reference" / "commands.md").read_text("utf-8")

    assert set(names) <= shown
    assert all(f"## workbook-builder {name}\n" in reference for name in names)


@pytest.mark.parametrize("page", PAGES, ids=name_of)
def test_links_and_named_files_exist(page: Path) -> None:
    """Every relative link and picture of a page is there, and so is every file of ours it names."""
    text = page.read_text("utf-8")
    for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", text) + re.findall(r'<img src="([^"]+)"', text):
        if target and "://" not in target:
            assert (page.parent / target).exists(), target
    for name in re.findall(r"`((?:workbook_builder|tests|docs|templates)/[\w./-]+)`", text):
        assert (REPOSITORY / name).exists(), name


@pytest.mark.parametrize("page", PROSE, ids=name_of)
def test_one_sentence_a_line(page: Path) -> None:
    """Prose has one sentence a line, so that changes read well."""
    text = re.sub(r"```.*?```", "", page.read_text("utf-8"), flags=re.DOTALL)
    prose = [line for line in text.splitlines() if not line.startswith(("|", "#"))]

    assert [line for line in prose if re.search(r"[a-z)`][.?!] [A-Z]", re.sub(r"^\d+\. ", "", line))] == []


def test_every_feature_has_its_method_page() -> None:
    """Every feature that works something out is named on a page of methods, beside formulas,
    units and sources.
    """
    told = "\n".join(page.read_text("utf-8") for page in DOCS.glob("method-*.md"))
    working = {path.parent.name for path in FEATURES.glob("*/columns.py")
               if "formula" in path.read_text("utf-8")
               or "working(" in path.read_text("utf-8")} - {"reference"}

    assert len(working) > 30
    assert sorted(feature for feature in working if not re.search(rf"`{feature}\b", told)) == []


def test_functions_named_as_twins_exist() -> None:
    """Every function that a page of methods names with its feature and module is there."""
    named = {match for page in DOCS.glob("method-*.md")
             for match in re.findall(r"`(\w+\.\w+)\.(\w+)`", page.read_text("utf-8"))}
    known = {(module, function) for module, function in named
             if (FEATURES / f"{module.replace('.', '/')}.py").is_file()}

    assert len(known) > 50
    assert sorted((m, f) for m, f in known
                  if not hasattr(importlib.import_module(f"workbook_builder.features.{m}"), f)) == []


def test_modules_named_on_pages_of_methods_exist() -> None:
    """Every module of a feature that a page of methods names is there."""
    named = {match for page in DOCS.glob("method-*.md")
             for match in re.findall(r"`(\w+)\.(\w+)[.`]", page.read_text("utf-8"))}
    columns = {(table.key, column.key) for table in TABLES for column in table.columns}
    modules = {(feature, module) for feature, module in named - columns if feature in NAMES}

    assert len(modules) > 40
    assert sorted(name for name in modules if not (FEATURES / name[0] / f"{name[1]}.py").is_file()) == []


def test_pages_are_all_reached_from_the_readme() -> None:
    """A reader who follows links from the README comes to every page."""
    reached, waiting = set(), [REPOSITORY / "README.md"]
    while waiting:
        page = waiting.pop()
        if page in reached or page.suffix != ".md":
            continue
        reached.add(page)
        links = re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", page.read_text("utf-8"))
        waiting += [(page.parent / link).resolve() for link in links if "://" not in link]

    assert {name_of(page) for page in PAGES} - {name_of(page) for page in reached} == set()


def test_what_is_left_to_the_long_run_is_said() -> None:
    """The page on verification names exactly the files of which the usual run leaves something out."""
    texts = {path.name: path.read_text("utf-8") for path in Path(__file__).parent.glob("test_*.py")
             if path != Path(__file__)}
    files = {name for name, text in texts.items() if "pytest.mark.nightly" in text
             or "@engines_at_length" in text}
    text = (DOCS
            / "verification.md").read_text("utf-8").partition("left to the long one")[2].partition("\n## ")[0]

    assert set(re.findall(r"`(test_\w+\.py)`", text)) == files | {Path(__file__).name}
