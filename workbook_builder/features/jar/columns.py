"""Jar test: amounts that stand for a tank of spray, in mixing order."""

from __future__ import annotations

from workbook_builder.core.columns import Table
from workbook_builder.core.short import check, result, slot_number, working
from workbook_builder.features.weeds.inputs import JAR_CHOICE

_JAR_ML = 'IFERROR(INDEX({jars.volume_ml:all},MATCH({jar_choice.jar},{jars.jar:all},0)),"")'
_PASS_ROW = 'IF({mix_list.row}="","",IFERROR(MATCH({mix_list.row_no},{pass_volumes.mix_no:all},0),""))'


def _amounts(base: str) -> tuple[tuple[str, str, str, str], ...]:
    """Key, header, quantity and formula of the three measures of an amount in base units."""
    return (
        ("ml", "Liquid", "milliliters", f'IF(OR({base}="",{{phase}}<>"liquid"),"",{base}*ml_per_base)'),
        ("tsp", "Liquid by spoon", "teaspoons", 'IF({ml}="","",{ml}/ml_per_tsp)'),
        ("g", "Dry", "grams", f'IF(OR({base}="",{{phase}}<>"dry"),"",{base}*g_per_base)'),
    )


JAR_MIXES = Table(
    "jar_mixes",
    "Jar workings",
    "Carrier and jar volume behind the jar amounts of each mix.",
    (
        working("pass_row", "First pass with the mix", _PASS_ROW),
        working("carrier", "Carrier rate", 'IF({pass_row}="","",IF(INDEX({passes.carrier:all},{pass_row})="","",INDEX({passes.carrier:all},{pass_row})))', "carrier"),
        working("volume", "Jar in spray volume units", f'IF({_JAR_ML}="","",{_JAR_ML}/ml_per_volume)', "factor"),
    ),
    rows="as:mix_list",
    kind="working",
    sheet="Workings mixes",
)

_BASE = (
    'IF(OR({%(item)s}="",%(carrier)s="",%(volume)s=""),"",IF(INDEX(%(area)s,{%(item)s})="","",'
    "(INDEX(%(area)s,{%(item)s})/%(carrier)s+INDEX(%(per)s,{%(item)s}))*%(volume)s*INDEX(%(scale)s,{%(item)s})))"
)

JAR = Table(
    "jar",
    "Jar amounts",
    "Every mix at the carrier of its first pass, scaled to the jar chosen on the sheet Jar test, in mixing order.",
    (
        result("mix", "Mix", 'IF({adding_order.item}="","",{adding_order.mix})', "name"),
        result("order", "Order", "{adding_order.step}", "count"),
        result("product", "Product", "{adding_order.product}", "name"),
        result("carrier", "Carrier rate", 'IF({adding_order.item}="","",{jar_mixes.carrier})', "carrier"),
        working("item", "Slot in the mix", "{adding_order.item}"),
        working("phase", "Phase poured", 'IF({item}="","",INDEX({mix_items.pour_phase:block},{item}))', "text"),
        working("base", "Base units in the jar",
                _BASE % {"item": "item", "carrier": "{jar_mixes.carrier}", "volume": "{jar_mixes.volume}",
                         "area": "{mix_items.area_rate:block}", "per": "{mix_items.volume_rate:block}", "scale": "{mix_items.pour_scale:block}"}, "factor"),
        *(result(key, header, formula, quantity) for key, header, quantity, formula in _amounts("{base}")),
    ),
    rows="as:adding_order",
    kind="result",
    caution="Try a new mix in a jar before the tank. Wear gloves and goggles; the label comes first.",
)

JAR_SHEET = Table(
    "jar_sheet",
    "This jar",
    "What the jar holds; it stands for a small piece of ground sprayed with the mix.",
    (
        working("mix_no", "Mix number", 'IF({jar_choice.mix}="",IF(INDEX({mix_list.row:all},1)="","",1),IFERROR(MATCH({jar_choice.mix},{mix_list.mix:all},0),""))'),
        check("status", "Found", 'IF({mix_no}="","Review: no such mix",IF({volume_ml}="","Review: choose a jar",IF({carrier}="","Review: no pass has this mix, enter a carrier","OK")))', "text"),
        result("mix", "Mix", 'IF({mix_no}="","",INDEX({mix_list.mix:all},{mix_no}))', "name"),
        result("carrier", "Carrier rate", 'IF({mix_no}="","",IF({jar_choice.carrier}<>"",{jar_choice.carrier},INDEX({jar_mixes.carrier:all},{mix_no})))', "carrier"),
        working("lowest", "Lowest carrier rate", 'IF({mix_no}="","",IFERROR(_xlfn.MINIFS({passes.carrier:all},{pass_volumes.mix_no:all},{mix_no}),0))', "carrier"),
        working("highest", "Highest carrier rate", 'IF({mix_no}="","",IFERROR(_xlfn.MAXIFS({passes.carrier:all},{pass_volumes.mix_no:all},{mix_no}),0))', "carrier"),
        result("carrier_note", "Carrier rates of its passes",
               'IF(SUM({highest})=0,"No pass has this mix",IF({lowest}={highest},"All passes carry "&ROUND(ROUND({lowest},6),2),'
               '"Passes carry "&ROUND(ROUND({lowest},6),2)&" to "&ROUND(ROUND({highest},6),2)&": test at the lowest, it is the strongest"))', "text"),
        result("volume_ml", "Jar", _JAR_ML, "milliliters", digits=0),
        result("volume", "Jar in spray volume", 'IF({volume_ml}="","",{volume_ml}/ml_per_volume)', "volume", digits=3),
        result("area_part", "One jar is this part of an area unit", 'IF(OR({volume}="",{carrier}=""),"",{volume}/{carrier})', "factor",
               note="Jar volume over carrier; a quart at 25 gal/ac is 0.01 acre.", source="scaling rule; checked with the GRDC 1/100 rule"),
        result("liquid_ml", "Liquid products in it",
               'IF({area_part}="","",IF(INDEX({mix_list.bad_rows:all},{mix_no})>0,"",SUMIF({jar_lines.form:all},"liquid",{jar_lines.ml:all})))', "milliliters", digits=1,
               note="Blank where a rate, unit or density of the mix is missing."),
        result("water_ml", "Water in it", 'IF({liquid_ml}="","",{volume_ml}-{liquid_ml})', "milliliters", digits=0),
        result("first_ml", "Water before the first product", 'IF({water_ml}="","",{water_ml}*first_fill)', "milliliters", digits=0,
               note="Then the products in order, shaking after each; then the rest of the water."),
        result("stand", "Then", 'IF({area_part}="","","Shake, stand 15 minutes, look for clumps, layers, gel or heat; shake again and look once more")', "text",
               source="15 minutes: Utah State Univ. Extension, Utah Pests News winter 2012"),
    ),
    rows="form",
    kind="result",
    sheet="Jar test",
)

JAR_LINES = Table(
    "jar_lines",
    "Into the jar in this order",
    "Liquids by pipette or syringe in mL, dry products by scale in grams: spoons of powder differ in weight.",
    (
        slot_number("Order"),
        result("product", "Product", 'IF({order_row}="","",INDEX({adding_order.product:all},{order_row}))', "name"),
        *(result(key, header, formula, quantity) for key, header, quantity, formula in _amounts("{base}")),
        result("done", "Done", 'IF({product}="","","[  ]")', "text", width=7),
        result("why", "Why here", 'IF({item}="","",INDEX({adding_order.why:all},{order_row}))', "long_text"),
        working("order_row", "Order row", 'IF({jar_sheet.mix_no}="","",({jar_sheet.mix_no}-1)*{room.products}+{slot})'),
        working("item", "Slot in the mix", 'IF(SUM({order_row})=0,"",IF({product}="","",INDEX({adding_order.item:all},{order_row})+({jar_sheet.mix_no}-1)*{room.products}))'),
        working("phase", "Phase poured", 'IF({item}="","",INDEX({mix_items.pour_phase:all},{item}))', "text"),
        working("form", "Liquid or dry", 'IF({item}="","",INDEX({mix_items.form:all},{item}))', "text"),
        working("base", "Base units in the jar",
                _BASE % {"item": "item", "carrier": "{jar_sheet.carrier}", "volume": "{jar_sheet.volume}",
                         "area": "{mix_items.area_rate:all}", "per": "{mix_items.volume_rate:all}", "scale": "{mix_items.pour_scale:all}"}, "factor"),
    ),
    rows="list:products",
    kind="result",
    sheet="Jar test",
)

JAR_TABLES = (JAR_CHOICE, JAR_SHEET, JAR_LINES, JAR, JAR_MIXES)
