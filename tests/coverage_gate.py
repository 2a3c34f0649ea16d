"""Whether the tests reach enough of the package: ``python tests/coverage_gate.py coverage.json``.

The file is what ``pytest --cov --cov-report=json`` writes.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

#: Least share of the package's lines and branches that tests must reach [%].
LINES, BRANCHES = 95.0, 90.0


def shares(report: dict[str, dict[str, int]]) -> tuple[float, float]:
    """Return the share of lines and of branches that were reached [%]."""
    totals = report["totals"]
    return 100 * totals["covered_lines"] / totals["num_statements"], 100 * totals["covered_branches"] / totals["num_branches"]


def main() -> int:
    """Print both shares; return 1 where one is too small."""
    lines, branches = shares(json.loads(Path(sys.argv[1]).read_text("utf-8")))
    print(f"lines {lines:.1f} % (at least {LINES:g}), branches {branches:.1f} % (at least {BRANCHES:g})")
    return int(lines < LINES or branches < BRANCHES)


if __name__ == "__main__":
    sys.exit(main())
