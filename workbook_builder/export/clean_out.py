"""Views of cleaning out."""

from __future__ import annotations

from workbook_builder.export.view import PlainRow, View, plain_rows
from workbook_builder.plan import Plan


def clean_out(plan: Plan) -> list[PlainRow]:
    """What follows each pass in its tank, and the rinses in between."""
    keys = (
        "pass", "field", "mix", "sprayer", "tank", "change", "next_pass", "next_field", "next_day", "next_mix", "next_crop", "sensitive",
        "products", "wanted", "rinses", "water", "wording", "status", "finding",
    )
    return plain_rows(plan, "clean_sequence", keys, "pass")


def tank_rinses(plan: Plan) -> list[PlainRow]:
    """Rinses of every tank."""
    keys = (
        "sprayer", "tank", "volume", "left", "water", "after_1", "after_2", "after_3", "one_big", "times_cleaner", "routine_rinses",
        "routine_water", "sensitive_rinses", "sensitive_water", "reached", "status", "finding",
    )
    return plain_rows(plan, "tank_rinses", keys, "sprayer")


VIEWS: dict[str, View] = {"clean_out": clean_out, "tank_rinses": tank_rinses}
