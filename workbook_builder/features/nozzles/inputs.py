"""Declarations of nozzles and of the catch test."""

from __future__ import annotations

from workbook_builder.core.columns import FIXED, Column, Table
from workbook_builder.core.inputs import Row
from workbook_builder.core.quantities import US
from workbook_builder.features.nozzles.definitions import DROPLETS as CATEGORIES
from workbook_builder.features.nozzles.definitions import SIZES

DROPLET_SYMBOLS = ("XF", "VF", "F", "M", "C", "VC", "XC", "UC")

NOZZLES = Table(
    "nozzles",
    "Nozzles",
    "Nozzles of each sprayer, one row per nozzle and pressure range; the same nozzle may have a finer row at "
    "higher pressure.",
    (
        Column("sprayer", "Sprayer", "name", required=True, choices="sprayers.sprayer",
               note="Choose from the sprayers."),
        Column("nozzle", "Nozzle", "name", required=True, note="Your own name for it, by kind and size."),
        Column("size", "Size", choices="nozzle_sizes.size",
               note="Colour-coded size, 03 for instance; blank when flow and pressure are typed."),
        Column("rated_flow", "Rated flow", "flow", minimum=0.001, maximum=100,
               note="From the maker's chart, when it is not a colour-coded size."),
        Column("rated_pressure", "Rated pressure", "pressure", minimum=0.1, maximum=500,
               note="Pressure of the rated flow."),
        Column("spacing", "Spacing", "spacing", minimum=1, maximum=500,
               note="Distance between nozzles on the boom."),
        Column("low_pressure", "Lowest pressure", "pressure", minimum=0.1, maximum=500,
               note="Of this row, from the maker's chart."),
        Column("high_pressure", "Highest pressure", "pressure", minimum=0.1, maximum=500,
               note="Of this row, from the maker's chart."),
        Column("droplet", "Droplet category", choices=DROPLET_SYMBOLS,
               note="In this pressure range, from the maker's chart: XF finest to UC coarsest."),
        Column("pulsed", "Pulsed", choices=("yes", "no"),
               note="yes for pulse-width modulation: pressure stays, the duty cycle changes."),
        Column("set_pressure", "Set pressure", "pressure", minimum=0.1, maximum=500,
               note="Pressure a pulsed nozzle is held at."),
        Column("slowest_speed", "Slowest speed", "speed", minimum=0.1, maximum=60,
               note="For pulsed nozzles: slowest speed in the field."),
        Column("fastest_speed", "Fastest speed", "speed", minimum=0.1, maximum=60,
               note="For pulsed nozzles: fastest speed in the field."),
    ),
)

CATCH_TEST = Table(
    "catch_test",
    "Catch test",
    "Spray water from each nozzle for the time the course takes at field speed, and type what was caught.",
    (
        Column("sprayer", "Sprayer", "name", required=True, choices="sprayers.sprayer",
               note="Choose from the sprayers."),
        Column("test_date", "Tested on", "date", note="Rows of one sprayer and date belong together."),
        Column("position", "Nozzle position", "count", minimum=1, maximum=500,
               note="Counted from the left end of the boom."),
        Column("catch", "Caught", "small_volume", required=True, minimum=0.01, maximum=100000,
               note="Over the course shown on the results sheet."),
        Column("new_catch", "New nozzle", "small_volume", minimum=0.01, maximum=100000,
               note="Caught from a new nozzle of the kind, same time and pressure."),
        Column("seconds", "Seconds to drive the course", "number", digits=1, minimum=0.1, maximum=10000,
               note="Seconds the course took at field speed.", was=("Course time",)),
        Column("carrier_wanted", "Carrier rate wanted", "carrier", minimum=0.1, maximum=2000,
               note="What the sprayer was set to.", was=("Carrier wanted",)),
    ),
    caution="Use clean water, wear gloves: nozzles hold residues.",
)

NOZZLE_SIZES = Table(
    "nozzle_sizes",
    "Nozzle sizes, nominal",
    "Colour-coded sizes of ISO 10625 with nominal flow: from memory, check against your chart; in metric at "
    "3 bar, in US units at 40 psi, 1.3 % apart.",
    (
        Column("size", "Size", role=FIXED),
        Column("colour", "Colour", role=FIXED),
        Column("flow", "Nominal flow", "flow", FIXED),
        Column("pressure", "At a pressure of", "pressure", FIXED),
        Column("standing", "How sure", role=FIXED),
    ),
    rows="given",
    kind="reference",
    sheet="Agronomy lists",
)

DROPLETS = Table(
    "droplets",
    "Droplet categories",
    "Categories of ANSI/ASABE S572.3, finest first: names, symbols and colours from memory; these colours "
    "are not those of the sizes.",
    (
        Column("rank", "Rank", "index", FIXED),
        Column("symbol", "Symbol", role=FIXED),
        Column("category", "Category", role=FIXED),
        Column("colour", "Colour", role=FIXED),
        Column("standing", "How sure", role=FIXED),
    ),
    rows="given",
    kind="reference",
    sheet="Agronomy lists",
)

def nozzle_sizes(system: str) -> list[Row]:
    """Return the colour-coded sizes with the nominal flow and pressure of the unit system."""
    us = system == US
    return [
        {"size": size, "colour": colour, "flow": gallons if us else litres, "pressure": 40 if us else 3,
         "standing": standing}
        for size, colour, litres, gallons, standing in SIZES
    ]


def droplets() -> list[Row]:
    """Return the droplet categories, finest first."""
    return [
        {"rank": rank, "symbol": symbol, "category": category, "colour": colour,
         "standing": "from memory, high"}
        for rank, (symbol, category, colour) in enumerate(CATEGORIES, 1)
    ]
