"""The exclusion zone of each pass, and the downwind buffer that its labels want."""

from __future__ import annotations

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import FIXED, Column, Table, same_amount
from workbook_builder.core.inputs import Row
from workbook_builder.core.short import check, place, result, working
from workbook_builder.features.buffers.definitions import (
    FAR_REACHING,
    MEDIUM,
    WINDS,
    buffer_status,
    downwind,
    exclusion_zone,
)
from workbook_builder.features.loads.lines import counted

_RULE = "40 CFR 170.405(a)(1), text in force since 3 December 2024"

ZONES = Table(
    "zones",
    "Exclusion zone",
    "How far from a sprayer at work nobody may be, by droplets and height of the nozzles; the label and "
    "local rules may ask for more.",
    (
        Column("zone_far", "Finer than medium, air blast, aircraft or fog", "length", FIXED, source=_RULE),
        Column("zone_near", "Medium or coarser, from above the height", "length", FIXED, source=_RULE),
        Column("zone_height", "Height above the soil", "spacing", FIXED, source=_RULE,
               note="At this height, or below it, medium and coarser droplets need no zone."),
    ),
    rows="form",
    kind="reference",
    sheet="Agronomy lists",
    named=True,
)


def zones(system: str) -> list[Row]:
    """Return the distances of the rule: 100 ft, 25 ft and 12 in."""
    return [{"zone_far": same_amount(100.0, "length", system),
             "zone_near": same_amount(25.0, "length", system),
             "zone_height": same_amount(12.0, "spacing", system)}]


_FAR = ("OR(" + ",".join(f'{{discharge}}="{way}"' for way in FAR_REACHING)
        + f',{{droplets}}="",SUM({{droplets}})<{MEDIUM})')
_OPPOSITE = "".join(f'IF({{passes.wind_from}}="{wind}","{downwind(wind)}",'
                    for wind in WINDS) + '""' + ")" * len(WINDS)

BUFFERS = Table(
    "buffers",
    "Exclusion zones and buffers",
    "Each pass with a pesticide: how far people keep from the sprayer while it works, and what the labels "
    "want left unsprayed downwind.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name"),
        result("field", "Field", "{pass_volumes.field}", "name"),
        working("pesticide", "Has a pesticide",
                f'IF({{pass}}="",0,IF({counted("product_limits.needed", 1)}>0,1,0))', "count"),
        working("discharge", "How it sprays", '{sprayers.discharge@pass_volumes.sprayer_row}&""', "text",
                needs="pass_volumes.sprayer_row"),
        place("droplets", "Rank of its droplets", "droplet", "droplets.symbol"),
        working("droplet", "Droplets", '{sprayer_checks.droplet}&""', "text"),
        working("height", "Height of the nozzles",
                'IF({sprayers.release_height@pass_volumes.sprayer_row}="","",'
                '{sprayers.release_height@pass_volumes.sprayer_row})', "spacing",
                needs="pass_volumes.sprayer_row"),
        result("exclusion_zone", "Exclusion zone",
               f'IF({{pesticide}}=0,"",IF({_FAR},zone_far,IF({{height}}="",zone_near,'
               f'IF(ROUND({{height}}-zone_height,6)>0,zone_near,0))))', "length", digits=0,
               twin=lambda pesticide, *terms: exclusion_zone(*terms) if pesticide else "",
               takes="pesticide discharge droplets height zones.zone_far zones.zone_near zones.zone_height",
               note="Nobody may be so near to the sprayer while it works; what is not known counts as what "
                    "needs the wider zone.", source=_RULE),
        result("downwind_buffer", "Downwind buffer", 'IF({pesticide}=0,"",{pass_weather.buffer_distance})',
               "length", digits=0, note="Typed in Weather limits; the widest of its labels."),
        result("downwind_side", "Downwind side", _OPPOSITE, "text", twin=downwind, takes="passes.wind_from",
               note="Across from where the wind comes from."),
        check("status", "Status",
              'IF(SUM({downwind_buffer})=0,"",IF({passes.buffer_kept}="","Not entered",'
              'IF(ROUND({passes.buffer_kept}-{downwind_buffer},6)<0,"Not allowed","OK")))',
              twin=lambda needed, kept: buffer_status(needed or 0, kept),
              takes="downwind_buffer passes.buffer_kept"),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"","The label wants "&ROUND(ROUND({downwind_buffer},6),'
              '1)&IF({farm.units}="metric"," m"," ft")&" left unsprayed downwind"&IF({downwind_side}="",'
              '", and the wind is not entered",", on the "&{downwind_side}&" side")'
              '&IF({status}="Not entered","; what is left is not entered",'
              '"; "&ROUND(ROUND({passes.buffer_kept},6),1)&" is left"))', "long_text"),
    ),
    rows="as:passes",
    kind="result",
    caution="The label is the law; local rules, neighbours and what stands downwind may ask for more.",
)

TABLES = (ZONES, BUFFERS)

GIVEN = (("zones", zones),)

CHECKS = (CheckKind("Downwind buffer", "buffers", "status", "finding", rank=235),)
