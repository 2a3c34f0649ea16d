"""Everything that must hold: ``python -m tests``, from the top folder, in an environment with the extra `test`.

Style, types, the tests on all processors, and how much of the package they reach.
Further arguments go to pytest.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
from pathlib import Path

TOP = Path(__file__).parents[1]
GATE = Path(__file__).with_name("coverage_gate.py")


def steps(report: Path, more: list[str]) -> dict[str, list[str]]:
    """Return the name of each step and the arguments Python is called with."""
    measured = ["slipcover", "--branch", "--source", "workbook_builder", "--json", "--out", str(report)]
    return {
        "style": ["-m", "ruff", "check", "."],
        "types": ["-m", "mypy"],
        "tests": ["-m", *measured, "-m", "pytest", "-n", "auto", "--dist", "loadscope", "--no-loadscope-reorder", "--durations", "15", "--durations-min", "4", *more],
        "reach": [str(GATE), str(report)],
    }


def main() -> int:
    """Run the steps, stopping at the first that fails; return its exit code."""
    with tempfile.TemporaryDirectory() as folder:
        for name, arguments in steps(Path(folder, "coverage.json"), sys.argv[1:]).items():
            print(f"== {name}", flush=True)
            code = subprocess.run([sys.executable, *arguments], cwd=TOP, check=False).returncode
            if code:
                return code
    return 0


if __name__ == "__main__":
    sys.exit(main())
