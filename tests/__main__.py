"""Everything that must hold: ``python -m tests``, from the top folder,
in an environment with the extra `test`.

Style, types, the tests on all processors, and how much of the package they reach.
Further arguments go to pytest.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

TOP = Path(__file__).parents[1]
#: A process for each processor: one more gains less, by waiting less for other programs, than its start
#: costs.
WORKERS = str(os.cpu_count() or 1)
#: What Python made of a file is kept for the many processes that the tests start, also where it is told to
#: keep nothing.
KEEPING = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
#: Only the processes that run tests are told which files are measured: the one that hands them out would read
#: the whole package once more.
MEASURED = {"SLIPCOVER_SOURCE": "workbook_builder"}
GATE = Path(__file__).with_name("coverage_gate.py")


def steps(report: Path, more: list[str]) -> dict[str, list[str]]:
    """Return the name of each step and the arguments Python is called with."""
    # Asserts are taken as they stand, since making them tell more costs seconds in every process; what fails
    # is run once more with asserts that do.
    measured = ["slipcover", "--branch", "--omit", "tests/*", "--json", "--out", str(report)]
    return {
        "style": ["-m", "ruff", "check", "."],
        "types": ["-m", "mypy"],
        "tests": ["-m", *measured, "-m", "pytest", "--assert=plain", "-n", WORKERS, "--dist", "loadscope",
                  "--no-loadscope-reorder", "--durations", "15", "--durations-min", "4", *more],
        "reach": [str(GATE), str(report)],
    }


def _last() -> None:
    """Let a program have what the tests leave of the processors."""
    os.nice(19)


def main() -> int:
    """Run the steps, stopping at the first that fails; return its exit code.

    Types are checked while the tests run, in the times in which those keep one processor alone busy.
    """
    with tempfile.TemporaryDirectory() as folder:
        run = {name: [sys.executable, *arguments]
               for name, arguments in steps(Path(folder, "coverage.json"), sys.argv[1:]).items()}
        print("== style", flush=True)
        code = subprocess.run(run["style"], cwd=TOP, check=False).returncode
        if code:
            return code
        with subprocess.Popen(run["types"], cwd=TOP, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
                              text=True, preexec_fn=_last if os.name == "posix" else None) as types:
            for name in ("tests", "reach"):
                print(f"== {name}", flush=True)
                code = (code or subprocess.run(run[name], cwd=TOP, env=KEEPING | MEASURED
                                               | {"MEASURED_CODE": folder}, check=False).returncode)
            if code:
                print("== what failed, told in full", flush=True)
                subprocess.run([sys.executable, "-m", "pytest", "--last-failed", "--last-failed-no-failures",
                                "none", "-n", WORKERS, *sys.argv[1:]], cwd=TOP, env=KEEPING, check=False)
            said = types.communicate()[0]
        print(f"== types\n{said}", end="", flush=True)
        return code or types.returncode


if __name__ == "__main__":
    sys.exit(main())
