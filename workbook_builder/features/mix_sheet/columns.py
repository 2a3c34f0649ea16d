"""The mix sheet: one load of one pass."""

from __future__ import annotations

from operator import mul, truediv

from workbook_builder.core.columns import RESULT, SETTING, Column, Table
from workbook_builder.core.short import check, result, slot_number, typed_in, working
from workbook_builder.features.loads.definitions import covered_area, load_volume
from workbook_builder.features.loads.lines import line_number
from workbook_builder.features.loads.pours import FACTS_OF_LINE, measuring, told, worked_out

LOAD_CHOICE = Table(
    "load_choice",
    "Mix sheet",
    "Choose pass, field and load; this page shows that load and prints on one sheet.",
    (
        Column("pass", "Pass", "name", SETTING, choices="cost_pass_names.pass", note="Choose the pass."),
        Column("field", "Field", "name", SETTING, choices="fields.field", note="Choose the field."),
        Column("load", "Load", "count", SETTING, default=1, minimum=1, maximum=999,
               note="Number of the load, from 1."),
    ),
    rows="form",
    kind="setting",
    sheet="Mix sheet",
    was=("Load sheet",),
)


LOAD_SHEET = Table(
    "load_sheet",
    "This load",
    "Volume, water and times of the chosen load.",
    (
        working("row", "Row of the pass",
                'IF({load_choice.pass}="","",IFERROR(MATCH({load_choice.pass}&"|"&{load_choice.field},'
                '{pass_volumes.key:all},0),""))'),
        working("mix_no", "Number of the mix", "{pass_volumes.mix_no@row}", needs="row"),
        result("answer", "Answer",
               'IF({volume}="",{status},IF({state}="Not allowed","Not allowed as planned. ","")&"Load "'
               '&{load_choice.load}&" of "&{loads}&": add "'
               '&ROUND(ROUND({volume},6),1)&IF({farm.units}="metric"," L"," gal")&" of "&{mix})', "sentence"),
        working("state", "State of the pass", "{pass_open.status@row}", "text", needs="row"),
        working("logged", "Loads logged",
                'IF({share_estimates.loads_logged@row}="",0,{share_estimates.loads_logged@row})',
                "count", needs="row"),
        working("log_row", "Row of this load in the load log",
                'IFERROR(MATCH({row}*1000+{load_choice.load},{load_facts.key:all},0),"")',
                needs="row load_choice.load"),
        check("status", "Found",
              'IF({row}="","Review: no such pass on that field",IF({volume}="","Review: this pass has '
              '"&{loads}&" loads",'
              'IF({state}="OK","OK",{state}&": "&{pass_why.why@row})'
              '&IF(OR({log_row}<>"",ROUND({order_volumes.to_do@row},6)=0),"; done, as logged","")))',
              "text", note="Of the pass: what stands against mixing this load."),
        result("mix", "Mix", '{passes.mix@row}&""', "name", needs="row"),
        result("method", "Method", '{passes.method@row}&""', "text", needs="row"),
        result("sprayer", "Sprayer", '{passes.sprayer@row}&""', "name", needs="row"),
        typed_in("date", "Date", "passes.date", "row", "date", RESULT),
        result("loads", "Loads of this pass", "{pass_volumes.loads@row}", "count", needs="row"),
        result("tank_first", "Tank before the first load",
               'IFERROR(INDEX({clean_sequence.what:all},MATCH({row},{clean_sequence.next_row:all},0))&"","")',
               "long_text", needs="row",
               note="What the tank must be cleaned of, or what is missing to know it."),
        working("slot", "Place among spot passes", "{spot_uses.slot@row}", needs="row"),
        working("next", "Next fill of a spot pass",
                'IF(OR({slot}="",{log_row}<>""),0,IF({load_choice.load}=1+{logged},1,0))',
                "count", needs="row"),
        result("in_tank", "In the tank already",
               'IF({next}=1,{spot_passes.in_tank@slot},IF(AND({load_choice.load}=1,'
               '{pass_volumes.opens@row}=1),0,{pass_volumes.unusable@row}))', "volume", needs="volume",
               note="Of the same mix: what the pump could not draw before. Add the load to it."),
        result("volume", "Volume to add",
               'IF({log_row}<>"",{load_facts.mixed@log_row},IF({load_choice.load}>SUM({loads}),"",'
               'IF({pass_volumes.too_small@row}=1,{pass_volumes.even_load_volume@row}'
               '+IF({load_choice.load}=1,{pass_volumes.opens@row}*{pass_volumes.unusable@row},0),'
               'IF({load_choice.load}=1+{logged},{pass_volumes.first_load_volume@row},'
               'IF(OR({load_choice.load}<{loads},{pass_volumes.remainder@row}=0),'
               '{pass_volumes.later_load_volume@row},{pass_volumes.last_load_volume@row})))))', "volume",
               needs="row load_choice.load", was=("Volume of this load",),
               twin=load_volume, takes="log_row load_facts.mixed@log_row load_choice.load loads logged "
                                       "pass_volumes.first_load_volume@row pass_volumes.remainder@row "
               "pass_volumes.later_load_volume@row pass_volumes.last_load_volume@row "
               "pass_volumes.too_small@row pass_volumes.even_load_volume@row pass_volumes.opens@row "
               "pass_volumes.unusable@row",
               note="Of a spot pass: as mixed by the load log, then the next fill, then as expected; loads "
                    "are alike where the last one would be too small to agitate."),
        result("full_volume", "The tank then holds", "{in_tank}+{volume}", "volume", needs="volume",
               twin=lambda in_tank, volume: in_tank + volume),
        result("area", "Area sprayed", "({full_volume}-{pass_volumes.unusable@row})/{passes.carrier@row}",
               "area", needs="volume",
               twin=covered_area, takes="full_volume pass_volumes.unusable@row passes.carrier@row",
               note="Sprayed ground, unusable volume left out.", was=("Area it covers",)),
        working("liquid_part", "Liquid products per spray volume", "{pass_water.liquid_part@row}",
                "factor", needs="row"),
        result("water", "Water in this load", "{volume}*(1-{liquid_part})", "volume",
               needs="volume liquid_part", twin=lambda volume, liquid_part: volume - liquid_part * volume),
        result("first_fill", "Water before products", "{water}*first_fill", "volume", needs="water",
               twin=mul, takes="water assumptions.first_fill"),
        result("rei_hours", "Re-entry interval", "{intervals.rei_told@row}", "hours", digits=0, needs="row"),
        result("reentry_at", "Re-entry from", "{intervals.reentry_at@row}", "moment", needs="row"),
        result("because_of_pass", "Because of pass", "{intervals.because_of_pass@row}", "name",
               note="Whose interval keeps the field closed longest.", needs="row"),
        result("posting", "Warning signs", "{intervals.posting@row}", "text", needs="row"),
        result("open", "To fix on this pass",
               "{pass_open.open@row}", "count", needs="row"),
    ),
    rows="form",
    kind="result",
    sheet="Mix sheet",
    was=("Load sheet",),
)

LOAD_LINES = Table(
    "load_lines",
    "Add in this order",
    "First water in, agitator on; add in this order, tick each off; then top up with water.",
    (
        result("product", "Product", "{adding_order.product@order_row}", "name", width=40, needs="order_row"),
        *told("phase", RESULT, width=30),
        result("amount", "Amount", "{measured}/{mix_lines.pour_base@line_row}", "amount", width=14,
               needs="measured", twin=truediv, takes="measured mix_lines.pour_base@line_row"),
        result("unit", "Unit", "{mix_lines.amount_unit@line_row}", "unit_label", width=10, needs="line_row"),
        result("done", "Done", '"[  ]"', "text", width=10, needs="product"),
        result("pause", "Pause after it", "{adding_order.pause@order_row}", "minutes", width=12,
               needs="line_row"),
        slot_number("Order"),
        result("why", "Why here", "{adding_order.why@order_row}", "long_text", needs="line_row"),
        working("order_row", "Order row",
                "({load_sheet.mix_no}-1)*{room.products}+{slot}",
                needs="load_sheet.volume load_sheet.mix_no"),
        working("line_row", "Amount row",
                line_number("pass_volumes.lines_before@load_sheet.row", "{adding_order.item@order_row}"),
                needs="order_row product"),
        *FACTS_OF_LINE,
        *measuring(
            worked_out("exact", "As worked out", "poured", "load_sheet.volume",
                       "passes.carrier@load_sheet.row", "line_row poured"),
            "headroom", "package", "phase"),
    ),
    rows="list:products",
    kind="result",
    sheet="Mix sheet",
    caution="The label is the law. Wear what it requires; check wind, inversion and neighbours; jar test "
            "when unsure.",
    was=("Load sheet",),
)

TABLES = (LOAD_CHOICE, LOAD_SHEET, LOAD_LINES)
