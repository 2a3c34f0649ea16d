"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import PlainRow, Planned, View, plain


def pollinators(plan: Planned) -> list[PlainRow]:
    """Return every pass that concerns bees."""
    kinds = {"restriction": "text", "blooming": "text", "clear": "moment", "status": "text",
             "finding": "text"}
    rows = zip(plan.tables["pollinators"], plan.tables["pass_volumes"], strict=True)
    return [{"pass": named["pass"], "field": named["field"],
             **{key: plain(row[key], kind) for key, kind in kinds.items()}} for row, named in rows
            if row["status"] != ""]


VIEWS = (View("pollinators",
              "What labels say of bees, what blooms and when residue is gone, for each pass that it "
              "concerns.", pollinators),)
