"""Where the program starts, by its script or by ``python -m workbook_builder``."""

from __future__ import annotations

import sys


def main() -> None:
    """Run the program; Ctrl-C ends it without a traceback even while it is still loading."""
    try:
        from workbook_builder.cli import main as program

        program()
    except MemoryError:
        sys.stderr.write("There is not enough memory for this. Nothing was written.\n")
        sys.exit(1)
    except KeyboardInterrupt:
        sys.stderr.write("Stopped. Nothing was written.\n")
        sys.exit(130)


if __name__ == "__main__":
    main()
