"""Jar test: amounts that stand for a tank of spray, in mixing order."""

from __future__ import annotations

from operator import mul, truediv

from workbook_builder.core.columns import FIXED, SETTING, Column, Table
from workbook_builder.core.short import check, result, slot_number, typed_in, working
from workbook_builder.features.jar.definitions import jar_amount, jar_area, jar_liquids, jar_sizes

_JAR_ML = 'IFERROR(INDEX({jars.volume_ml:all},MATCH({jar_choice.jar},{jars.jar:all},0)),"")'


def _poured(where: str, mix: str) -> dict[str, Column]:
    """Declare the amount of a product in a jar, as it is measured out.

    `where` its mix items stand, `mix` has carrier and jar.
    """
    area, per, scale = (f"mix_items.{key}:{where}@item" for key in ("area_rate", "volume_rate", "pour_scale"))
    carrier, volume = f"{mix}.carrier", f"{mix}.volume"
    columns = (
        working("phase", "Phase poured", f"{{mix_items.pour_phase:{where}@item}}", "text", needs="item"),
        working("base", "Base units in the jar",
                f'IF({{{area}}}="","",({{{area}}}/{{{carrier}}}+{{{per}}})*{{{volume}}}*{{{scale}}})',
                "factor",
                needs=f"item {carrier} {volume}", takes=f"{area} {per} {carrier} {volume} {scale}",
                twin=lambda area, per, carrier, volume, scale: "" if area == ""
                else jar_amount(area, per, carrier, volume) * scale),
        result("ml", "Liquid", 'IF({phase}="liquid",{base}*ml_per_base,"")', "milliliters", needs="base",
               twin=lambda phase, base, ml: base * ml if phase == "liquid" else "",
               takes="phase base agronomy_factors.ml_per_base"),
        result("tsp", "Liquid by spoon", "{ml}/ml_per_tsp", "teaspoons", needs="ml", twin=truediv,
               takes="ml agronomy_factors.ml_per_tsp"),
        result("g", "Dry", 'IF({phase}="dry",{base}*g_per_base,"")', "grams", needs="base",
               twin=lambda phase, base, g: base * g if phase == "dry" else "",
               takes="phase base agronomy_factors.g_per_base"),
    )
    return {column.key: column for column in columns}


JARS = Table(
    "jars",
    "Jars",
    "Jar sizes for the compatibility test.",
    (
        Column("jar", "Jar", role=FIXED),
        Column("volume_ml", "Volume in mL", "factor", FIXED),
    ),
    rows="given",
    kind="reference",
    sheet="Agronomy lists",
)

JAR_CHOICE = Table(
    "jar_choice",
    "Jar test",
    "Try a new mix in a jar before the tank: choose the mix and the jar, and weigh or measure in the order "
    "shown.",
    (
        Column("mix", "Mix", "name", SETTING, choices="mix_list.mix",
               note="Choose a mix; blank shows the first one."),
        Column("jar", "Jar", role=SETTING, choices=("pint", "quart", "litre"), also=(("liter", "litre"),),
               default="quart", note="pint, quart or litre of spray."),
        Column("carrier", "Carrier rate", "carrier", SETTING, minimum=0.1, maximum=2000,
               note="Blank takes the carrier of the first pass with the mix.", was=("Carrier",)),
    ),
    rows="form",
    kind="setting",
    sheet="Jar test",
    caution="Wear gloves and goggles, work outdoors, use the water you will spray with. A jar shows clumps "
            "and layers, not crop safety.",
)

JAR_MIXES = Table(
    "jar_mixes",
    "Jar workings",
    "Carrier and jar volume behind the jar amounts of each mix.",
    (
        working("pass_row", "First pass with the mix",
                'IFERROR(MATCH({mix_list.row_no},{pass_volumes.mix_no:all},0),"")', needs="mix_list.row"),
        typed_in("carrier", "Carrier rate", "passes.carrier", "pass_row", "carrier"),
        working("volume", "Jar in spray volume units", '{jar_sheet.volume}', "factor"),
    ),
    rows="as:mix_list",
    kind="working",
    sheet="Workings mixes",
)

_POURED = _poured("block", "jar_mixes")

JAR = Table(
    "jar",
    "Jar amounts",
    "Every mix at the carrier of its first pass, scaled to the jar chosen on the tab Water, in mixing order.",
    (
        result("mix", "Mix", "{adding_order.mix}", "name", needs="adding_order.item"),
        result("order", "Order", "{adding_order.step}", "count"),
        result("product", "Product", "{adding_order.product}", "name"),
        result("carrier", "Carrier rate", "{jar_mixes.carrier}", "carrier", needs="adding_order.item"),
        working("item", "Slot in the mix", "{adding_order.item}"),
        *_POURED.values(),
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
        working("mix_no", "Mix number",
                'IF({jar_choice.mix}="",IF(INDEX({mix_list.row:all},1)="","",1),'
                'IFERROR(MATCH({jar_choice.mix},{mix_list.mix:all},0),""))'),
        check("status", "Found",
              'IF({mix_no}="","Review: no such mix",IF({volume_ml}="","Review: choose a jar",IF({carrier}="",'
              '"Review: no pass has this mix, enter a carrier","OK")))', "text"),
        result("mix", "Mix", "{mix_list.mix@mix_no}", "name", needs="mix_no"),
        result("carrier", "Carrier rate",
               'IF({jar_choice.carrier}<>"",{jar_choice.carrier},{jar_mixes.carrier@mix_no})', "carrier",
               needs="mix_no"),
        working("lowest", "Lowest carrier rate",
                "IFERROR(_xlfn.MINIFS({passes.carrier:all},{pass_volumes.mix_no:all},{mix_no}),0)", "carrier",
                needs="mix_no"),
        working("highest", "Highest carrier rate",
                "IFERROR(_xlfn.MAXIFS({passes.carrier:all},{pass_volumes.mix_no:all},{mix_no}),0)", "carrier",
                needs="mix_no"),
        result("carrier_note", "Carrier rates of its passes",
               'IF(SUM({highest})=0,"No pass has this mix",IF({lowest}={highest},"All passes carry '
               '"&ROUND(ROUND({lowest},6),2),'
               '"Passes carry "&ROUND(ROUND({lowest},6),2)&" to "&ROUND(ROUND({highest},6),'
               '2)&": test at the lowest, it is the strongest"))', "text"),
        result("volume_ml", "Jar", _JAR_ML, "milliliters", digits=0),
        result("volume", "Jar in spray volume", "{volume_ml}/ml_per_volume", "volume", digits=3,
               needs="volume_ml", twin=truediv, takes="volume_ml agronomy_factors.ml_per_volume"),
        result("area_part", "One jar is this part of an area unit", "{volume}/{carrier}", "factor",
               needs="volume carrier", twin=jar_area, takes="volume carrier",
               note="Jar volume over carrier; a quart at 25 gal/ac is 0.01 acre.",
               source="scaling rule; checked with the GRDC 1/100 rule"),
        result("liquid_ml", "Liquid products in it",
               'IF({mix_list.bad_rows@mix_no}>0,"",SUMIF({jar_lines.form:all},"liquid",{jar_lines.ml:all}))',
               "milliliters", digits=1,
               needs="area_part", twin=jar_liquids,
               takes="jar_lines.form:all jar_lines.ml:all mix_list.bad_rows@mix_no",
               note="Blank where a rate, unit or density of the mix is missing."),
        result("water_ml", "Water in it", "{volume_ml}-{liquid_ml}", "milliliters", digits=0,
               needs="liquid_ml", twin=lambda volume_ml, liquid_ml: volume_ml - liquid_ml),
        result("first_ml", "Water before products", "{water_ml}*first_fill", "milliliters", digits=0,
               needs="water_ml", twin=mul, takes="water_ml assumptions.first_fill",
               note="Then the products in order, shaking after each; then the rest of the water."),
        result("stand", "Then",
               '"Shake, stand 15 minutes, look for clumps, layers, gel or heat;'
               ' shake again and look once more"', "text", needs="area_part",
               source="15 minutes: Utah State Univ. Extension, Utah Pests News winter 2012"),
    ),
    rows="form",
    kind="result",
    sheet="Jar test",
)

_CHOSEN = _poured("all", "jar_sheet")

JAR_LINES = Table(
    "jar_lines",
    "Into the jar in this order",
    "Liquids by pipette or syringe in mL, dry products by scale in grams: spoons of powder differ in weight.",
    (
        slot_number("Order"),
        result("product", "Product", "{adding_order.product@order_row}", "name", needs="order_row"),
        *(_CHOSEN[key] for key in ("ml", "tsp", "g")),
        result("done", "Done", '"[  ]"', "text", width=7, needs="product"),
        result("why", "Why here", "{adding_order.why@order_row}", "long_text", needs="item"),
        working("order_row", "Order row", "({jar_sheet.mix_no}-1)*{room.products}+{slot}",
                needs="jar_sheet.mix_no"),
        working("item", "Slot in the mix",
                "{adding_order.item@order_row}+({jar_sheet.mix_no}-1)*{room.products}",
                needs="order_row product"),
        *(_CHOSEN[key] for key in ("phase", "base")),
        working("form", "Liquid or dry", "{mix_items.form:all@item}", "text", needs="item"),
    ),
    rows="list:products",
    kind="result",
    sheet="Jar test",
)

TABLES = (JARS, JAR_CHOICE, JAR_SHEET, JAR_LINES, JAR, JAR_MIXES)

#: Rows of the lists that are shipped.
GIVEN = (("jars", lambda system: jar_sizes()),)
