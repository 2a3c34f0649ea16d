"""What the JSON tells of it."""

from __future__ import annotations

from workbook_builder.core.views import table_view

VIEWS = (
    table_view(
        "mitigation_checks", "Runoff points of every pass whose products ask for them.",
        "pass field label_points bulletin_points checked needed asked_by have exemption still status finding",
        "status",
    ),
    table_view(
        "field_points", "Runoff points that every field has.",
        "field runoff_class relief measure_points categories category_points advice_points record_points "
        "sensor_points have exemption "
        "asking needed still status",
        "field",
    ),
)
