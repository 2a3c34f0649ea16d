"""``python -m workbook_builder``: the same program without its script."""

from __future__ import annotations

from workbook_builder.cli import main

if __name__ == "__main__":
    main()
