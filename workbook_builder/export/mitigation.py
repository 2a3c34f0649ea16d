"""Views of the runoff points."""

from __future__ import annotations

from workbook_builder.export.view import PlainRow, View, plain_rows
from workbook_builder.plan import Plan


def mitigation_checks(plan: Plan) -> list[PlainRow]:
    """Runoff points of every pass whose products ask for them."""
    keys = (
        "pass", "field", "label_points", "bulletin_points", "checked", "needed", "asked_by", "have", "exemption", "still", "status", "finding",
    )
    return plain_rows(plan, "mitigation_checks", keys, "status")


def field_points(plan: Plan) -> list[PlainRow]:
    """Runoff points that every field has."""
    keys = (
        "field", "runoff_class", "relief", "measure_points", "categories", "category_points", "advice_points", "record_points", "sensor_points",
        "have", "exemption", "asking", "needed", "still", "status",
    )
    return plain_rows(plan, "field_points", keys, "field")


VIEWS: dict[str, View] = {"mitigation_checks": mitigation_checks, "field_points": field_points}
