"""Laying out: formulas, styles, drop-downs and pages; nothing is worked out here."""

from __future__ import annotations

from workbook_builder.layout.book import lay_out

__all__ = ["lay_out"]
