"""Whether the tests reach enough of the package: ``python tests/coverage_gate.py coverage.json``.

The file is what ``python -m slipcover --branch --json`` writes.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any

#: Least share of the package's lines and branches that tests must reach [%].
LINES, BRANCHES = 95.0, 90.0
#: How many files with most unreached branches and lines are shown.
SHOWN = 12


def shares(report: Mapping[str, Any]) -> tuple[float, float]:
    """Return the share of lines and of branches that were reached [%]."""
    total = report["summary"]
    return (
        100 * total["covered_lines"] / (total["covered_lines"] + total["missing_lines"]),
        100 * total["covered_branches"] / (total["covered_branches"] + total["missing_branches"]),
    )


def worst(report: Mapping[str, Any]) -> list[str]:
    """Return a line for each of the files where most is not reached."""
    missing = {name: (len(file["missing_lines"]), len(file["missing_branches"]), file["missing_lines"][:8])
               for name, file in report["files"].items()}
    ranked = sorted(missing.items(), key=lambda item: -item[1][0] - item[1][1])
    return [f"  {name}: {lines} lines, {branches} branches not reached; lines {some}"
            for name, (lines, branches, some) in ranked[:SHOWN]]


def main() -> int:
    """Print both shares; return 1 on the build server where one is too small."""
    report = json.loads(Path(sys.argv[1]).read_text("utf-8"))
    lines, branches = shares(report)
    print(f"lines {lines:.1f} % (at least {LINES:g}), branches {branches:.1f} % (at least {BRANCHES:g})",
          *worst(report), sep="\n")
    few = lines < LINES or branches < BRANCHES
    # Where an engine is missing its tests are skipped, and what they reach with them.
    return int(few and os.environ.get("CI") == "true")


if __name__ == "__main__":
    sys.exit(main())
