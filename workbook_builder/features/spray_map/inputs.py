"""Declarations of what the command ``map`` writes into a workbook, and of what people note beside it."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.columns import SETTING, Column, Table

#: Squares of the map along each side.
SIDE = 24
SQUARES = tuple(f"{number:02d}" for number in range(1, SIDE + 1))
#: What a log can tell of spraying.
LOG_KINDS = ("nozzles", "volume", "sections", "boom", "positions")

_PASS = Column("pass", "Pass", "name", required=True, choices="cost_pass_names.pass", suggest_only=True,
               note="Pass that the log is of.")
_FIELD = Column("field", "Field", "name", required=True, choices="fields.field", suggest_only=True,
                note="Field that the log is of.")
_KIND = Column("log_kind", "Log tells", required=True, choices=LOG_KINDS,
               note="On and off alone never make a share.")


def _area(key: str, header: str, note: str = "", **more: Any) -> Column:
    return Column(key, header, "area", minimum=0, maximum=1000000, note=note, **more)


MAP_PASSES = Table(
    "map_passes",
    "Map passes",
    "One row per pass and field that a log of the sprayer covers; the command map writes it.",
    (
        _PASS,
        _FIELD,
        Column("day", "Day sprayed", "date", required=True, note="First day of the log."),
        Column("machine", "Machine", note="As the log names it."),
        _KIND,
        _area("field_area_drawn", "Area drawn", "Inside the boundary.", required=True),
        _area("area_driven", "Area driven", "Driven over at least once."),
        _area("area_overlap", "Driven twice", "Driven again by another run."),
        _area("area_unknown", "Driven, spraying unknown",
              "Driven where the log says nothing about spraying."),
        Column("volume_logged", "Volume logged", "volume", minimum=0, maximum=10000000,
               note="Metered by the sprayer."),
        _area("sprayed_logged", "Sprayed by the nozzles",
              "Where the log tells shares of nozzles; ground sprayed twice counts twice."),
        Column("share_error", "Error of the share", "share", minimum=0, maximum=10, digits=1,
               note="For width and drift, as a part of the share.", source="docs/spray-map-study.md"),
        Column("clumping", "Clumping", "number", minimum=-10, maximum=10,
               note="Moran's I: 1 all in patches, about 0 scattered."),
        Column("dead_sections", "Sections that sprayed nothing", note="While the others sprayed."),
        Column("square_area", "Area of a square", "area", minimum=0, maximum=1000000, digits=3,
               note="Of the map."),
        Column("edge_zone", "Edge reaches", "length", minimum=0, maximum=10000,
               note="A hot spot with its middle nearer than this lies at the edge: half of the boom, and "
                    "half a cell of the search."),
        Column("rows_read", "Rows read", "count", minimum=0, maximum=1000000000),
        Column("rows_used", "Rows used", "count", minimum=0, maximum=1000000000),
        Column("drift", "Drift", "length", minimum=0, maximum=1000,
               note="How far the receiver wanders, where it was said."),
    ),
    kind="setting",
)

MAP_ROWS = Table(
    "map_rows",
    "Map rows",
    "The squares of every map, north on top: how much of each was driven, and sprayed or, by a log of on and "
    "off, on; the command map writes them.",
    (
        _PASS,
        _FIELD,
        _KIND,
        Column("row", "Row", "index", required=True, minimum=1, maximum=SIDE, note="From the north."),
        *(Column(f"driven_{number}", f"Driven {int(number)}", "area", minimum=0, maximum=1000000)
          for number in SQUARES),
        *(Column(f"sprayed_{number}", f"Sprayed {int(number)}", "area", minimum=0, maximum=1000000)
          for number in SQUARES),
    ),
    kind="setting",
)

HOT_SPOTS = Table(
    "hot_spots",
    "Hot spots",
    "Places where clearly more was sprayed than on the rest of the field; note what you found there, and a "
    "new map keeps it.",
    (
        _PASS,
        _FIELD,
        _KIND,
        Column("rank", "Rank", "index", minimum=1, maximum=1000,
               note="By extra area sprayed, as the map found it; blank where a later map finds none here."),
        Column("cause", "Cause found", "long_text", note="Why so many weeds stood here, as you found it."),
        Column("looked_on", "Looked on", "date", note="Day somebody looked."),
        Column("found", "What grows there", "long_text", note="Weeds and their size."),
        _area("area", "Area", "Of the spot."),
        _area("sprayed_area", "Sprayed", "Within it."),
        Column("background_share", "Share of the rest", "share", minimum=0, maximum=1, digits=1,
               note="Median share of the field."),
        Column("map_row", "Map row", "index", minimum=1, maximum=SIDE,
               note="Square that holds its middle, from the north."),
        Column("map_column", "Map column", "index", minimum=1, maximum=SIDE,
               note="Square that holds its middle, from the west."),
        Column("lat", "Latitude", "latitude", minimum=-90, maximum=90, digits=6),
        Column("lon", "Longitude", "longitude", minimum=-360, maximum=360, digits=6),
        Column("to_edge", "To the edge", "length", minimum=0, maximum=1000000,
               note="From its middle to the nearest boundary."),
        Column("length_over_width", "Length over width", "number", minimum=0, maximum=100000, digits=1),
        Column("bearing_to_runs", "Off the runs", "degrees", minimum=0, maximum=90, digits=0,
               note="Between its long direction and the runs."),
        Column("z", "Gi*", "number", minimum=-1000, maximum=1000,
               note="Getis-Ord Gi*, the largest of its cells."),
        Column("stands_out", "Stands out", choices=("yes", "no"),
               note="Whether Gi* at 5 %, adjusted after Benjamini and Hochberg, finds it too."),
        Column("seen_before", "Seen before", note="Pass and day in which most of it was hot too."),
        Column("overlay", "Lies with", note="Layer that covers most of it; that is where it lies, not why."),
        Column("overlay_cover", "Covered by it", "share", minimum=0, maximum=1),
    ),
    kind="setting",
)

MAP_OVERLAYS = Table(
    "map_overlays",
    "Map overlays",
    "Whether drainage, soil, replant or a skipped residual goes together with spraying; the command map "
    "writes it.",
    (
        _PASS,
        _FIELD,
        _KIND,
        Column("layer", "Layer", required=True),
        Column("share_inside", "Share inside", "share", minimum=0, maximum=100, digits=1),
        Column("share_outside", "Share outside", "share", minimum=0, maximum=100, digits=1),
        _area("area_inside", "Area inside"),
        Column("r", "r", "number", minimum=-1, maximum=1,
               note="Correlation of cover and share over cells of 12 m."),
        Column("effective_n", "Pieces of ground", "number", minimum=0, maximum=1e9, digits=1,
               note="Independent ones, by Clifford, Richardson and Hemon."),
        Column("p", "p", "number", minimum=0, maximum=1, digits=4),
        Column("p_adjusted", "p, all layers", "number", minimum=0, maximum=1, digits=4,
               note="Adjusted after Benjamini and Hochberg."),
    ),
    kind="setting",
)

MAP_RECURRENCE = Table(
    "map_recurrence",
    "Map recurrence",
    "Two passes or years of a field beside one another: does it come back; the command map writes it.",
    (
        _FIELD,
        Column("first", "First", required=True, note="Pass and day."),
        Column("second", "Second", required=True, note="Pass and day."),
        Column("jaccard", "Hot in both, of either", "share", minimum=0, maximum=1, note="Jaccard index."),
        _area("hot_in_both", "Area hot in both"),
        Column("r", "r", "number", minimum=-1, maximum=1),
        Column("effective_n", "Pieces of ground", "number", minimum=0, maximum=1e9, digits=1),
        Column("p", "p", "number", minimum=0, maximum=1, digits=4),
    ),
    kind="setting",
)

MAP_CHOICE = Table(
    "map_choice",
    "Spray map",
    "Choose pass and field (blank: the first map).",
    (
        Column("pass", "Pass", "name", SETTING, choices="cost_pass_names.pass", suggest_only=True,
               note="Choose the pass."),
        Column("field", "Field", "name", SETTING, choices="fields.field", suggest_only=True,
               note="Choose the field."),
    ),
    rows="form",
    kind="setting",
)

MAP_SETTINGS = Table(
    "map_settings",
    "Map settings",
    "From where on a map is looked at.",
    (
        Column("not_driven_from", "Not driven, from", "share", SETTING, default=0.03, minimum=0, maximum=1,
               note="Of the field; also for ground on which spraying is unknown.",
               source="common practice, no source"),
        Column("driven_twice_from", "Driven twice, from", "share", SETTING, default=0.05, minimum=0,
               maximum=1, note="Of the area driven.", source="common practice, no source"),
        Column("volume_differs_from", "Volume against plan, from", "share", SETTING, default=0.25, minimum=0,
               maximum=100, note="More or less than planned.", source="own choice"),
        Column("loads_differ_from", "Log and loads differ, from", "share", SETTING, default=0.05, minimum=0,
               maximum=1, note="Area and volume of the log against the loads typed.", source="own choice"),
        Column("strip_ratio", "A strip is longer than wide", "number", SETTING, default=6, minimum=1,
               maximum=1000, digits=0, note="By more than this many times.",
               source="own choice, docs/spray-map-study.md"),
        Column("strip_angle", "A strip lies along the runs", "degrees", SETTING, default=10, minimum=0,
               maximum=90, digits=0, note="Within this angle.", source="own choice, docs/spray-map-study.md"),
        Column("overlay_chance", "Goes together, under", "share", SETTING, default=0.05, minimum=0, maximum=1,
               note="Chance of an overlay, adjusted over all layers.", source="usual level of a test"),
        Column("fewest_pieces", "Fewest pieces of ground", "number", SETTING, default=10, minimum=3,
               maximum=100000, digits=0, note="With fewer nothing is told.", source="own choice"),
    ),
    rows="form",
    kind="setting",
    named=True,
)

#: What the command writes anew for a log of a pass and field.
OF_A_LOG = ("map_passes", "map_rows", "hot_spots", "map_overlays")
#: What people type about a hot spot, which a new map keeps.
NOTED = ("cause", "looked_on", "found")
