"""Declarations of runoff points: what labels and bulletins ask for, and what each field has."""

from __future__ import annotations

from workbook_builder.core.columns import SETTING, Column, InUs, Table

RUNOFF_CLASSES = ("very low", "low", "medium", "high")
#: What frees a field of points whatever is asked.
EXEMPTIONS = ("perimeter berm", "tailwater return", "tile with controlled outlet", "exempt method")
MOST_POINTS = 9
POINTS_CAUTION = ("Label and current bulletin govern: read both before spraying; points of measures are "
                  "those you typed.")

MITIGATION_LABELS = Table(
    "mitigation_labels",
    "Runoff labels",
    "Products whose label has a section on runoff points; a row without field holds for fields not named.",
    (
        Column("product", "Product", "name", required=True, choices="products.product",
               note="Choose from the products."),
        Column("field", "Field", "name", choices="fields.field",
               note="Blank for every field not named; a bulletin may hold for one field only."),
        Column("label_section", "Label has the section", choices=("yes", "no"),
               note="yes when the label asks for runoff points or sends you to the bulletins."),
        Column("label_points", "Points on the label", "count", minimum=0, maximum=MOST_POINTS,
               note="0 to 9; the higher of label and bulletin counts."),
        Column("bulletin_points", "Points in the bulletin", "count", minimum=0, maximum=MOST_POINTS,
               note="0 when you looked and found no bulletin."),
        Column("bulletin_checked", "Bulletin checked on", "date",
               note="Day you looked for the bulletin of this field and month."),
    ),
    caution="Label and current bulletin govern.",
)

MITIGATION_FIELDS = Table(
    "mitigation_fields",
    "Runoff fields",
    "One row per field: its county's runoff class, what frees it of points, and what earns extra ones.",
    (
        Column("field", "Field", "name", required=True, choices="fields.field",
               note="Choose from the fields."),
        Column("runoff_class", "Runoff class of the county", choices=RUNOFF_CLASSES,
               note="From the official list of counties; gives relief points."),
        Column("exemption", "Exemption", choices=EXEMPTIONS,
               note="When the field or the method needs no points at all; blank for none."),
        Column("managed_distance", "Managed land downhill", "length", digits=0, minimum=0, maximum=100000,
               note="Distance down the slope over which all land is managed; far enough, the field needs no "
                    "points."),
        Column("expert", "Expert planned it", choices=("yes", "no"),
               note="yes when a technical expert worked out the measures."),
        Column("program", "Conservation program", choices=("yes", "no"),
               note="yes when the field is in a program; expert or program counts, not both."),
        Column("records", "Records of measures", choices=("yes", "no"),
               note="yes when the measures are kept in writing."),
        Column("sensors", "Water sensors with pivot", choices=("yes", "no"),
               note="yes when soil-water sensors steer a pivot."),
        Column("notes", "Notes", "long_text", note="Where the class was read, for instance."),
    ),
)

MITIGATION = Table(
    "mitigation",
    "Runoff measures",
    "One row per field and measure, with the points that the official list gives it.",
    (
        Column("field", "Field", "name", required=True, choices="fields.field",
               note="Choose from the fields."),
        Column("measure", "Measure", "name", required=True,
               note="As the official list calls it: cover crop, terraces, grass strip ..."),
        Column("category", "Category", "name",
               note="As the official list sorts it; measures from several categories earn an extra point."),
        Column("points", "Points", "count", minimum=0, maximum=MOST_POINTS,
               note="From the official list; a measure without points counts as not entered."),
        Column("notes", "Notes", "long_text", note="Slope, width, year built: what the list asks for."),
    ),
)

_RELIEF = "EPA Herbicide Strategy 2024, from memory"
_EXTRA = "Univ. of Georgia 2025, slide 39"


def _points(key: str, header: str, points: int, source: str, note: str) -> Column:
    return Column(key, header, "count", SETTING, default=points, minimum=0, maximum=MOST_POINTS, note=note,
                  source=source)


MITIGATION_SETTINGS = Table(
    "mitigation_settings",
    "Runoff settings",
    "Points that the published scheme gives; change them when the official list does.",
    (
        *(_points(f"relief_{name.replace(' ', '_')}", f"Relief, {name}", points, _RELIEF,
                  "For the county's runoff class.")
          for name, points in zip(RUNOFF_CLASSES, (6, 3, 2, 0), strict=True)),
        _points("points_expert", "Technical expert", 1, _EXTRA, "Expert or program counts, not both."),
        _points("points_program", "Conservation program", 2, _EXTRA, "Expert or program counts, not both."),
        _points("points_records", "Written records", 1, _EXTRA, "Records of the measures."),
        _points("points_categories", "Several categories", 1, _EXTRA,
                "For measures from two or more categories."),
        _points("points_sensors", "Water sensors with pivot", 2, _EXTRA,
                "Soil-water sensors that steer a pivot."),
        Column("managed_needed", "Managed land that frees a field", "length", SETTING, digits=0,
               default=InUs(1000), minimum=0, maximum=100000,
               note="Down the slope.", source="EPA Mitigation Menu, measure descriptions: 1,000 ft"),
        Column("spot_exempt_acres", "Spot that needs no points, below", "number", SETTING, digits=6,
               default=0.022956, minimum=0, maximum=1,
               note="Acres, in both unit systems: 1,000 sq ft. Another reading says 1/10 acre; the smaller "
                    "is used.", source="EPA Mitigation Menu"),
    ),
    rows="form",
    kind="setting",
    named=True,
)
