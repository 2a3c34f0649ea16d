"""Completion in real shells: each one reads the script the program gives it and completes commands,
options and values.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).parents[1]
FUNCTION = "_workbook_builder_completion"
#: Typed words, the last one unfinished, and what the shell must offer among the rest.
TYPED = {
    "command": (["workbook-builder", "veri"], {"verify"}),
    "option": (["workbook-builder", "next-season", "--lo"], {"--logged-only"}),
    "value": (["workbook-builder", "verify", "--engine", "Li"], {"LibreOffice"}),
    "every value": (["workbook-builder", "new", "--units", ""], {"us", "metric"}),
}


def bash(script: Path, words: list[str]) -> list[str]:
    """Return a bash run that fills COMPREPLY as the Tab key does."""
    quoted = " ".join(f"'{word}'" for word in words)
    call = (f"source '{script}'; COMP_WORDS=({quoted}); COMP_CWORD={len(words) - 1}; {FUNCTION} "
            f"workbook-builder; printf '%s\\n' \"${{COMPREPLY[@]}}\"")
    return ["bash", "--norc", "--noprofile", "-c", call]


def zsh(script: Path, words: list[str]) -> list[str]:
    """Return a zsh run that reads what is handed to `_arguments` (``*: :((one two))``) as that function does.
    """
    quoted = " ".join(f"'{word}'" for word in words)
    show = "compdef() { : }; _arguments() { eval \"offered=( ${1[7,-3]} )\"; print -rl -- $offered }"
    return ["zsh", "-f", "-c",
            f"{show}; source '{script}'; words=({quoted}); CURRENT={len(words)}; {FUNCTION}"]


def fish(script: Path, words: list[str]) -> list[str]:
    """Return a fish run that asks for the completions of a line."""
    return ["fish", "--no-config", "-c", f"source '{script}'; complete -C '{' '.join(words)}'"]


SHELLS: dict[str, Callable[[Path, list[str]], list[str]]] = {"bash": bash, "zsh": zsh, "fish": fish}


@pytest.fixture
def home(tmp_path: Path) -> dict[str, str]:
    """An environment with a home of its own, in which the program is found by its name."""
    program = tmp_path / "bin" / "workbook-builder"
    program.parent.mkdir()
    program.write_text(f"#!/bin/sh\nexec '{sys.executable}' -m workbook_builder \"$@\"\n")
    program.chmod(0o755)
    kept = {name: value for name, value in os.environ.items()
            if not name.startswith(("_TYPER", "XDG_", "ZDOTDIR"))}
    return {**kept, "HOME": str(tmp_path), "PATH": f"{program.parent}{os.pathsep}{os.environ['PATH']}",
            "PYTHONPATH": str(REPOSITORY)}


def ran(command: list[str], home: dict[str, str]) -> str:
    """Return what a run prints; a word on stderr is a failure, since it would land in the typed line."""
    done = subprocess.run(command, capture_output=True, text=True, env=home, cwd=home["HOME"], check=False,
                          timeout=600, stdin=subprocess.DEVNULL)
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def skip_without(shell: str) -> None:
    """Skip where the shell is not on this machine."""
    if shutil.which(shell) is None:
        pytest.skip(f"{shell} is not installed here")


def script_of(shell: str, home: dict[str, str]) -> Path:
    """Return the completion script as the program shows it inside that shell."""
    # The second command keeps the shell alive, so that the program can see which one it is.
    text = ran([shell, "-c", "workbook-builder --show-completion; true"], home)
    path = Path(home["HOME"]) / f"completion.{shell}"
    path.write_text(text)
    return path


def offered(text: str) -> set[str]:
    """Return the words a shell offers, without their explanations and quotes."""
    return {line.split("\t")[0].split(":")[0] for line in text.splitlines()}


@pytest.mark.parametrize("shell", SHELLS)
def test_a_real_shell_completes(shell: str, home: dict[str, str]) -> None:
    """Commands, options and values of options are completed once the shell has read the script."""
    skip_without(shell)
    script = script_of(shell, home)

    for words, wanted in TYPED.values():
        text = ran(SHELLS[shell](script, words), home)
        assert wanted <= offered(text), (words, text)


@pytest.mark.parametrize("shell", SHELLS)
def test_every_option_reaches_the_shell(shell: str, home: dict[str, str]) -> None:
    """No help text has a sign in it that a shell takes for its own:
    all options of the longest command are offered.
    """
    skip_without(shell)
    script = script_of(shell, home)

    text = ran(SHELLS[shell](script, ["workbook-builder", "print", "--"]), home)

    assert {"--pass", "--field", "--load", "--from", "--to", "--pdf", "--theme", "--quiet", "--json",
            "--out"} <= offered(text)


@pytest.mark.parametrize("shell", SHELLS)
def test_installing_leaves_a_working_script(shell: str, home: dict[str, str]) -> None:
    """--install-completion writes into the home, and a shell started afterwards completes from there."""
    skip_without(shell)

    text = ran([shell, "-c", "workbook-builder --install-completion; true"], home)

    assert f"{shell} completion installed in" in text
    written = [path for path in Path(home["HOME"]).rglob("*") if path.is_file()
               and "_WORKBOOK_BUILDER_COMPLETE" in path.read_text("utf-8", "replace")]
    assert len(written) == 1
    words, wanted = TYPED["value"]
    assert wanted <= offered(ran(SHELLS[shell](written[0], words), home))
