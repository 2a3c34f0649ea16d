"""What was done, as the log says: area, carrier and rate that landed,
and what in the log contradicts itself or the field.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import or_blank, typed_in, working
from workbook_builder.features.as_logged.definitions import (
    amount_by_mix,
    amount_doubtful,
    amount_on,
    carrier_landed,
    cost_logged,
    doubts,
    ground_sprayed,
    part_treated,
)
from workbook_builder.features.loads.definitions import work_rate
from workbook_builder.features.loads.lines import counted, of_first
from workbook_builder.features.records.inputs import (
    AMOUNT_DOUBT,
    AREA_DOUBT,
    LOADS_DOUBT,
    PACE_DOUBT,
    VOLUME_DOUBT,
)

SHEET = "Workings records"


def logged(key: str, header: str, cell: str, quantity: str, column: Callable[..., Column] = working,
           **more: Any) -> Column:
    """Declare a cell of the pass's row in the spray log; blank when not sprayed or not typed."""
    return column(key, header, or_blank(f"spray_log.{cell}@pass_times.log_row"), quantity,
                  needs="pass_times.log_day", **more)


def _figure(value: str) -> str:
    return "ROUND(ROUND(%s,6),1)" % value


def _doubtful(column: str) -> str:
    return of_first(column, "applied_lines.doubtful", 1)


def _doubts() -> str:
    """What in the log cannot all be right, one sentence after another."""
    spot, area = '{passes.method}="spot"', '&" "&area_name'
    volume = '&" "&liquid_name_1'
    parts = (
        (f'IF(OR({{area}}="",SUM({{pass_volumes.area}})=0),0,'
         f'ROUND({{area}}-{{pass_volumes.area}}*{1 + AREA_DOUBT},6))>0',
         f'"area treated "&{_figure("{area}")}{area}&", the field has "&{_figure("{pass_volumes.area}")}'),
        (f'IF(OR({{volume}}="",{{by_plan}}=""),0,IF(ROUND({{volume}}-{{by_plan}}*{1 + VOLUME_DOUBT},6)>0,1,'
         f'IF({spot},0,IF(ROUND({{by_plan}}*{1 - VOLUME_DOUBT}-{{volume}},6)>0,1,0))))=1',
         f'"volume sprayed "&{_figure("{volume}")}{volume}&", the carrier rate puts "&{_figure("{by_plan}")}'
         f'&" on the area treated"'),
        (f'IF(OR({{volume_typed}}="",{{loads_volume}}=0),0,ROUND(ABS({{loads_volume}}-{{volume}})'
         f'-{{volume}}*{LOADS_DOUBT},6))>0',
         f'"loads logged hold "&{_figure("{loads_volume}")}{volume}&", volume sprayed is "'
         f'&{_figure("{volume}")}'),
        (f'IF(SUM({{pass_volumes.area}})=0,0,ROUND({{loads_area}}-{{pass_volumes.area}}*{1 + AREA_DOUBT},'
         f'6))>0',
         f'"loads logged cover "&{_figure("{loads_area}")}{area}&", the field has "'
         f'&{_figure("{pass_volumes.area}")}'),
        (f'IF(OR({{reach}}="",{{area}}=""),0,ROUND({{area}}-{{reach}}*{1 + PACE_DOUBT},6))>0',
         f'{_figure("{area}")}{area}&" in "&{_figure("{hours}")}&" h, the sprayer drives over "'
         f'&{_figure("{reach}")}'),
        (counted("applied_lines.doubtful", 1) + ">0",
         f'"amount of "&{_doubtful("mix_lines.product")}&" used is "'
         f'&ROUND(ROUND({_doubtful("applied_lines.measured")},6),2)'
         f'&", the rate of the mix makes it "&ROUND(ROUND({_doubtful("applied_lines.by_mix")},6),2)'),
        ("{strangers}>0", '"amounts used name a product that is not in the mix, which no limit judges"'),
        ('AND({pass_times.log_day}="",%s>0)' % counted("applied_lines.measured", '">=0"'),
         '"amounts used are typed, but not the date sprayed"'),
    )
    return "&".join('IF(%s,"; "&%s,"")' % part for part in parts)


AS_LOGGED = Table(
    "as_logged",
    "As logged, by pass",
    "What the log holds of each pass, and what in it contradicts itself or the field.",
    (
        logged("area_typed", "Area typed", "area_treated", "area"),
        working("area", "Area treated", 'IF({area_typed}="",{pass_volumes.area},{area_typed})', "area",
                needs="pass_times.log_day"),
        logged("volume_typed", "Volume typed", "volume_sprayed", "volume"),
        working("volume", "Volume sprayed",
                'IF(OR({volume_typed}<>"",{pass_times.log_day}="",{loads_volume}=0),{volume_typed},'
                '{loads_volume})', "volume",
                note="Where it is not typed, that of the loads logged."),
        working("by_plan", "Volume by the carrier rate",
                'IF(SUM({passes.carrier})=0,"",{area}*{passes.carrier})', "volume", needs="area",
                twin=lambda area, carrier: area * carrier if carrier else "", takes="area passes.carrier"),
        working("carrier", "Carrier rate that landed",
                'IF(OR(SUM({passes.carrier})=0,{passes.method}="spot",SUM({volume})=0,SUM({area})=0),'
                'SUM({passes.carrier}),{volume}/{area})', "carrier",
                twin=carrier_landed, takes="passes.carrier passes.method volume area",
                note="A spot nozzle gives the carrier rate wherever it sprays."),
        working("ground", "Ground sprayed",
                'IF({passes.method}="spot",IF(OR(SUM({volume})=0,SUM({passes.carrier})=0),"",'
                '{volume}/{passes.carrier}),IF({area}="",IF(SUM({pass_volumes.area})=0,"",'
                '{pass_volumes.area}),IF({area}=0,"",{area})))',
                "area", takes="passes.method area pass_volumes.area volume passes.carrier",
                twin=lambda method, area, field, *spray: ground_sprayed(
                    method, field if area == "" else area, *spray)),
        working("part", "Part of the field treated",
                'IF(OR({area_typed}="",{passes.method}="spot",SUM({pass_volumes.area})=0),1,'
                '{area_typed}/{pass_volumes.area})', "share",
                twin=part_treated, takes="area_typed passes.method pass_volumes.area",
                note="All of it until the log says otherwise; a spot pass drives over the whole field."),
        working("sprayed", "Area sprayed, as logged or else as planned",
                'IF(OR({pass_times.log_day}="",{ground}=""),{pass_volumes.sprayed_area},{ground})', "area"),
        working("loads_volume", "Volume of the loads logged",
                "SUMIF({load_facts.pass_row:all},{pass_rows.row_no},{load_log.volume_sprayed:all})",
                "volume"),
        working("loads_area", "Area of the loads logged",
                "SUMIF({load_facts.pass_row:all},{pass_rows.row_no},{load_log.area_covered:all})", "area"),
        working("hours", "Hours by the log", "({pass_times.to_minute}-{pass_times.from_minute})/60", "hours",
                needs="pass_times.log_end pass_times.from_minute",
                twin=lambda end, start: (end - start) / 60,
                takes="pass_times.to_minute pass_times.from_minute"),
        working("reach", "Area driven over in that time",
                'IF({pass_times.width}*{pass_times.speed}=0,"",{hours}*{pass_times.width}*{pass_times.speed}'
                '/work_rate_divisor)',
                "area", needs="hours",
                takes="hours pass_times.width pass_times.speed factors.work_rate_divisor",
                twin=lambda hours, width, speed, divisor: hours * work_rate(speed, width, 1, divisor)
                if width * speed else ""),
        working("strangers", "Amounts used of other products",
                'IF({pass_volumes.key}="",0,COUNTIF({used_facts.pass_row:all},{pass_rows.row_no})-%s)'
                % counted("applied_lines.used_row", '">0"'), "count"),
        working("doubts", "What cannot all be right", _doubts(), "text", twin=doubts,
                takes="area pass_volumes.area volume by_plan passes.method volume_typed loads_volume "
                      "loads_area reach hours strangers pass_times.log_day factors.area_name "
                      "factors.liquid_name_1 applied_lines.doubtful:block mix_lines.product:block "
                      "applied_lines.measured:block applied_lines.by_mix:block"),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)

APPLIED_LINES = Table(
    "applied_lines",
    "As logged, by product",
    "Amount and rate of each product of each pass: measured, from the volume sprayed, or else still the "
    "planned one.",
    (
        working("used_row", "Row in amounts used",
                'IFERROR(MATCH({mix_lines.parent_no}&"|"&{mix_lines.product},{used_facts.key:all},0),"")',
                needs="mix_lines.product"),
        typed_in("measured", "Measured amount", "amounts_used.amount", "used_row", "amount"),
        working("by_volume", "Amount by volume",
                "{mix_lines.rate_base}*{as_logged.volume}/{passes.carrier}/{mix_lines.to_base}", "amount",
                needs="as_logged.volume mix_lines.rate_base",
                twin=amount_on, takes="mix_lines.rate_base as_logged.volume passes.carrier "
                                      "mix_lines.to_base"),
        working("amount", "Amount logged", 'IF({measured}="",{by_volume},{measured})', "amount"),
        working("rate", "Base units per area, as logged", "{amount}*{mix_lines.to_base}/{as_logged.ground}",
                "factor", needs="amount mix_lines.to_base as_logged.ground",
                twin=lambda amount, base, ground: amount * base / ground,
                takes="amount mix_lines.to_base as_logged.ground"),
        working("rate_base", "Base units per area, as logged or else as planned",
                'IF({rate}="",{mix_lines.rate_base},{rate})', "factor"),
        working("cost", "Cost, as logged or else as planned",
                'IF({amount}<>"",{amount}*{mix_lines.to_base}*{mix_lines.unit_price},IF({mix_lines.cost}="",'
                '"",{mix_lines.cost}*{as_logged.part}))', "money",
                needs="mix_lines.unit_price mix_lines.to_base", twin=cost_logged,
                takes="amount mix_lines.to_base mix_lines.unit_price mix_lines.cost as_logged.part"),
        working("said", "How it is said", '", as logged"', "text", needs="rate"),
        working("by_mix", "Amount at the rate of the mix",
                'IF({by_volume}<>"",{by_volume},IF(OR({as_logged.ground}="",{mix_lines.rate_base}=""),"",'
                '{mix_lines.rate_base}*{as_logged.ground}/{mix_lines.to_base}))', "amount",
                twin=amount_by_mix, takes="by_volume mix_lines.rate_base as_logged.ground mix_lines.to_base"),
        working("doubtful", "Amount in doubt",
                'IF(OR({measured}="",{by_mix}=""),0,IF(ROUND(ABS({measured}-{by_mix})-{by_mix}*%s,6)>0,1,0))'
                % AMOUNT_DOUBT, "count",
                twin=lambda *amounts: int(amount_doubtful(*amounts)), takes="measured by_mix"),
    ),
    rows="as:mix_lines",
    kind="working",
    sheet=SHEET,
)

TABLES = (AS_LOGGED, APPLIED_LINES)
