"""Write every file that a command makes and a test compares: ``python -m tests.generate``.

Pictures, benchmarks and the pages of long runs are left out: they take long and no test compares them.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

TOP = Path(__file__).parents[1]
#: Arguments of Python, in the order in which one builds on another.
COMMANDS: tuple[tuple[str, ...], ...] = (
    ("-m", "workbook_builder", "demo", "out_demo", "--replace"),
    ("-m", "workbook_builder.docs_reference"),
    ("-m", "tests.oracles.page"),
    ("-m", "tests.words"),
    ("-m", "tests.questions"),
)
#: The tests import one another from their own folder.
ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join([str(TOP), str(TOP / "tests")])}


def main() -> int:
    """Run the commands one after the other; return the exit code of the first that fails."""
    for arguments in COMMANDS:
        code = subprocess.run([sys.executable, *arguments], cwd=TOP, env=ENVIRONMENT, check=False).returncode
        if code:
            return code
    return 0


if __name__ == "__main__":
    sys.exit(main())
