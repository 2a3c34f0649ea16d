"""What to take along for each pass, and what to order for the season."""

from __future__ import annotations

from operator import mul

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.rounding import leftover, whole_below
from workbook_builder.core.short import check, part_of, place, result, row_number, told_whole, working
from workbook_builder.features.loads.definitions import amount_in
from workbook_builder.features.orders.definitions import (
    PACKAGE_DIGITS,
    in_packages,
    needed,
    order,
    order_by,
    order_judgement,
    part_left,
    part_to_do,
    saved,
    share_done,
    volume_to_mix,
)
from workbook_builder.features.records.inputs import AREA_DOUBT


def _mixed(key: str, name: str, of: str) -> Column:
    """Declare what is still to mix of a pass: of a spot pass as its plan says,
    of a broadcast pass by the ground left.
    """
    plan = f"spot_passes.{of}@spot_uses.slot"
    return working(f"{key}mixed", f"Volume mixed{name}",
                   'IF({spot_uses.slot}<>"",{%s},{pass_volumes.volume}*{to_do}'
                   '+IF(ROUND({pass_volumes.volume}*{to_do},6)>0,'
                   '{pass_volumes.opens}*{pass_volumes.unusable},0))' % plan, "volume",
                   needs="pass_volumes.loads", twin=volume_to_mix,
                   takes=f"spot_uses.slot {plan} pass_volumes.volume to_do pass_volumes.opens "
                         f"pass_volumes.unusable",
                   note="The unusable volume once for a run of fills with the same mix in the same tank.")


def _in_packages(ratio: str) -> str:
    """Return the formula of how many packages an amount is, before it becomes a whole number."""
    return f"ROUND(ROUND({ratio},6),{PACKAGE_DIGITS})"


ORDER_VOLUMES = Table(
    "order_volumes",
    "Order workings",
    "Volume that is still to mix of each pass, as expected and, of spot passes, at the confidence chosen.",
    (
        working("left", "Part of the field still to do",
                'IF(OR({share_estimates.remaining_area}="",SUM({pass_volumes.area})=0),1,'
                '{share_estimates.remaining_area}/{pass_volumes.area})', "share",
                twin=part_left, takes="share_estimates.remaining_area pass_volumes.area"),
        working("done", "Share of the field already sprayed",
                'IF({left}=1,0,MIN(1,IF({share_estimates.logged_share}="",SUM({share_estimates.share_mean}),'
                '{share_estimates.logged_share}))*(1-{left}))', "share",
                twin=share_done, takes="left share_estimates.logged_share share_estimates.share_mean"),
        working("to_do", "Part to buy for",
                'IF(OR({pass_times.log_day}="",{passes.method}="spot"),{left},'
                'IF(OR({as_logged.area_typed}="",SUM({pass_volumes.area})=0),0,'
                'IF(ROUND(1-{as_logged.area_typed}/{pass_volumes.area}-%s,6)>0,'
                '1-{as_logged.area_typed}/{pass_volumes.area},0)))' % AREA_DOUBT, "share",
                twin=part_to_do, takes="left passes.method pass_times.log_day as_logged.area_typed "
                                       "pass_volumes.area",
                note="None of a pass that is logged; what the record or the load log leaves of one that is "
                     "half done."),
        _mixed("expected_", ", as expected", "mix_expected"),
        _mixed("", "", "mix_safe"),
    ),
    rows="as:passes",
    kind="working",
    sheet="Workings money",
)


def _base(key: str, header: str, mixed: str) -> Column:
    """The amount of a product in a volume mixed, in base units as sold."""
    return working(key, header,
                   "{mix_lines.rate_base}*{mix_lines.own_scale}*{order_volumes.%s}/{passes.carrier}"
                   "*{poured_lines.rounding}" % mixed, "factor",
                   needs=f"mix_lines.rate_base mix_lines.own_scale order_volumes.{mixed}",
                   takes=f"mix_lines.rate_base mix_lines.own_scale order_volumes.{mixed} passes.carrier "
                         f"poured_lines.rounding",
                   twin=lambda rate, scale, mixed, carrier, rounding: amount_in(rate * scale, mixed, carrier)
                   * rounding)


PICK_LIST = Table(
    "pick_list",
    "Pick list",
    "What to take along for what is still to be sprayed of each pass, in the units it is sold in; spot "
    "passes at the confidence chosen.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name", needs="mix_lines.product"),
        result("field", "Field", "{pass_volumes.field}", "name", needs="mix_lines.product"),
        result("date", "Date", "{pass_times.day}", "date", needs="mix_lines.product pass_times.day"),
        result("product", "Product", "{mix_lines.product}", "name"),
        working("product_row", "Product row", "{mix_lines.product_row}"),
        working("package_base", "Base units in a package", "{product_facts.package_base@product_row}",
                "factor", needs="product_row"),
        working("package_size", "Package size", "SUM({products.package_size@product_row})", "amount",
                needs="package_base"),
        working("area_cost", "Cost per sprayed area", "{mix_lines.rate_base}*{mix_lines.unit_price}",
                "money_per_area", needs="mix_lines.rate_base mix_lines.unit_price",
                twin=mul, takes="mix_lines.rate_base mix_lines.unit_price"),
        _base("base", "Amount in base units as sold", "mixed"),
        _base("expected_base", "Of it expected", "expected_mixed"),
        result("amount", "Amount", 'IF(SUM({package_base})=0,"",{base}/{package_base}*{package_size})',
               "amount", needs="base", twin=in_packages, takes="base package_base package_size"),
        result("unit", "Unit", '{products.package_unit@mix_lines.product_row}&""', "unit_label",
               needs="mix_lines.product_row"),
        result("packages", "Full packages", f"INT({_in_packages('{base}/{package_base}')})", "count",
               needs="amount",
               twin=lambda base, package: whole_below(base / package, PACKAGE_DIGITS),
               takes="base package_base"),
        result("rest", "And from an open one", "ROUND(ROUND(MAX(0,{amount}-{packages}*{package_size}),7),4)",
               "amount", needs="packages",
               twin=lambda amount, packages, size: leftover(max(0, amount - packages * size)),
               takes="amount packages package_size"),
        result("off", "Measuring adds", "{poured_lines.rounding}-1", "share", needs="amount", digits=1,
               twin=lambda rounding: rounding - 1, takes="poured_lines.rounding",
               note="To the amount as worked out, over all loads as the mix cards have them measured."),
        working("uncounted", "Not counted",
                'IF(OR({product}="",{order_volumes.to_do}=0),0,IF({amount}="",1,0))', "count"),
        result("done", "Done", '"[  ]"', "text", needs="product", width=7),
    ),
    rows="as:mix_lines",
    kind="result",
    caution="Count what is in the store before you load; keep products in their labelled packages.",
)

_ORDER = "wanted on_hand size"
_JUDGED = ("wanted uncounted products.package_price drop_date first_use packages cheaper leftover "
           "other_left unit farm.currency")

ORDER_LIST = Table(
    "order_list",
    "Order list",
    "What is still needed of each product, as expected and at the confidence chosen, less what is on hand, "
    "in whole packages, and by when to order it; what is logged needs nothing more.",
    (
        result("product", "Product", "{products.product}", "name", needs="products.product"),
        row_number(),
        result("supplier", "Supplier", '{products.supplier}&""', "name"),
        result("drop_date", "Delivery date", "{products.drop_date}", "date", needs="products.drop_date"),
        result("unit", "Unit", '{products.package_unit}&""', "unit_label"),
        working("size", "Package size", "SUM({products.package_size})", "amount"),
        working("base", "Needed in base units",
                "SUMIF({pick_list.product_row:all},{row_no},{pick_list.base:all})", "factor",
                needs="product"),
        working("uncounted", "Lines not counted",
                'IF({product}="",0,SUMIF({pick_list.product_row:all},{row_no},{pick_list.uncounted:all}))',
                "count"),
        result("expected", "Needed, as expected",
               'IF(SUM({product_facts.package_base})=0,"",SUMIF({pick_list.product_row:all},{row_no},'
               '{pick_list.expected_base:all})/{product_facts.package_base}*{size})', "amount",
               needs="product", twin=needed,
               takes="pick_list.product_row:all row_no pick_list.expected_base:all "
                     "product_facts.package_base size",
               note="Spot passes as their plan expects."),
        result("wanted", "Needed, at your confidence",
               'IF(SUM({product_facts.package_base})=0,"",{base}/{product_facts.package_base}*{size})',
               "amount", needs="base",
               twin=in_packages, takes="base product_facts.package_base size",
               note="Spot passes at the confidence of the farm sheet; what is ordered goes by it."),
        result("on_hand", "On hand", "SUM({products.on_hand})", "amount", needs="product"),
        result("missing", "To order", "MAX(0,{wanted}-{on_hand})", "amount", needs="wanted",
               twin=lambda *order_of: order(*order_of).missing, takes=_ORDER),
        result("packages", "Packages to order", f"ROUNDUP({_in_packages('{missing}/{size}')},0)", "count",
               needs="missing", twin=lambda *order_of: order(*order_of).packages, takes=_ORDER),
        result("cost", "Cost", "{packages}*{products.package_price}", "money",
               needs="packages products.package_price", twin=mul, takes="packages products.package_price"),
        result("leftover", "Leftover", "ROUND(ROUND({on_hand}+{packages}*{size}-{wanted},7),4)", "amount",
               needs="packages", twin=lambda *order_of: leftover(order(*order_of).leftover), takes=_ORDER),
        result("leftover_value", "Value of leftover", "{leftover}/{size}*{products.package_price}", "money",
               needs="leftover products.package_price",
               twin=lambda left, size, price: left / size * price,
               takes="leftover size products.package_price"),
        result("first_use", "First needed",
               'IF(OR({product}="",SUM({base})=0),"",IF(COUNTIFS({pick_list.product_row:all},{row_no},'
               '{pick_list.date:all},">0",{pick_list.base:all},">0")=0,"",'
               '_xlfn.MINIFS({pick_list.date:all},{pick_list.product_row:all},{row_no},{pick_list.date:all},'
               '">0",{pick_list.base:all},">0")))', "date"),
        result("delivery_days", "Days to deliver",
               'IF({products.delivery_days}="",usual_delivery_days,{products.delivery_days})', "days",
               needs="product"),
        result("order_by", "Order by", 'IF(SUM({packages})=0,"",{first_use}-SUM({delivery_days}))', "date",
               needs="first_use",
               twin=lambda packages, first_use, days: order_by(first_use, days) if packages else "",
               takes="packages first_use delivery_days",
               note="The days to deliver before it is first needed."),
        working("others", "Other package sizes",
                "COUNTIFS({package_options.product_row:all},{row_no},{package_options.cost:all},\">0\")",
                "count"),
        working("other_cost", "Cheapest in other packages",
                'IF({others}=0,"",_xlfn.MINIFS({package_options.cost:all},{package_options.product_row:all},'
                '{row_no}))', "money"),
        working("cheaper", "Saved in other packages",
                'IF(OR({cost}="",{other_cost}="",SUM({packages})=0),0,MAX(0,{cost}-{other_cost}))', "money",
                twin=saved, takes="cost other_cost packages"),
        *told_whole("cheaper", "Saved in other packages", "cheaper"),
        working("other_left", "Least left in other packages",
                'IF({others}=0,"",_xlfn.MINIFS({package_options.leftover:all},'
                '{package_options.product_row:all},{row_no}))', "amount"),
        working("late", "Comes too late",
                'IF(OR({drop_date}="",{first_use}="",SUM({packages})=0),0,IF({drop_date}>{first_use},1,0))',
                "count"),
        working("key", "Order by date",
                'IF(SUM({packages})=0,"",IF({order_by}="",100000,{order_by})*1000+{row_no})'),
        check("status", "Status",
              'IF(OR({wanted}="",{uncounted}>0,{products.package_price}=""),"Not entered",'
              'IF(OR({late}=1,{cheaper_whole}>0,{less_left}=1),"Review","OK"))',
              needs="product", twin=part_of(order_judgement, 0), takes=_JUDGED),
        working("less_left", "Less would be left",
                'IF(OR({other_left}="",{leftover}="",SUM({packages})=0),0,IF(ROUND({leftover}-{other_left},'
                '6)>0,1,0))', "count"),
        check("finding", "Finding",
              'IF({status}="OK","",IF({status}="Not entered","Package size, unit, price or density is '
              'missing",'
              'TRIM(IF({late}=1,"Delivered after it is first needed. ","")&IF({cheaper_whole}>0,'
              '"Another package size saves "&{farm.currency}&{cheaper_told}&". ","")'
              '&IF({less_left}=1,"Another package size leaves "&ROUND(ROUND({leftover}-{other_left},6),'
              '1)&" "&{unit}&" less. ",""))))', "long_text",
              needs="status", twin=part_of(order_judgement, 1), takes=_JUDGED),
    ),
    rows="as:products",
    kind="result",
)

_OTHER_ORDER = "order_list.wanted@product_row order_list.on_hand@product_row package_sizes.package_size"

PACKAGE_OPTIONS = Table(
    "package_options",
    "Package workings",
    "What the missing amount would cost in each other package size.",
    (
        place("product_row", "Product row", "package_sizes.product", "products.product"),
        working("missing", "Short", "{order_list.missing@product_row}", "amount", needs="product_row"),
        working("packages", "Packages",
                f'IF(SUM({{package_sizes.package_size}})=0,"",'
                f'ROUNDUP({_in_packages("{missing}/{package_sizes.package_size}")},0))', "count",
                needs="missing",
                twin=lambda *order_of: order(*order_of).packages if order_of[-1] else "", takes=_OTHER_ORDER),
        working("cost", "Cost", "{packages}*{package_sizes.package_price}", "money",
                needs="packages package_sizes.package_price", twin=mul,
                takes="packages package_sizes.package_price"),
        working("leftover", "Leftover",
                "ROUND(ROUND({packages}*{package_sizes.package_size}-{missing}+MAX(0,"
                "{order_list.on_hand@product_row}-{order_list.wanted@product_row}),7),4)", "amount",
                needs="packages", twin=lambda *order_of: leftover(order(*order_of).leftover),
                takes=_OTHER_ORDER),
    ),
    rows="as:package_sizes",
    kind="working",
    sheet="Workings money",
)


def _of_order(key: str, header: str, quantity: str) -> Column:
    return result(key, header, "{order_list.%s@row}" % key, quantity, needs="row")


DROP_LIST = Table(
    "drop_list",
    "What to order by when",
    "Only what has to be ordered, by the last day that leaves time to deliver it; products needed on no "
    "known day come last.",
    (
        working("key", "Key",
                'IF({row_no}>COUNT({order_list.key:all}),"",SMALL({order_list.key:all},{row_no}))'),
        working("row", "Product row", "MATCH({key},{order_list.key:all},0)", needs="key"),
        _of_order("product", "Product", "name"),
        _of_order("order_by", "Order by", "date"),
        _of_order("supplier", "Supplier", "name"),
        _of_order("expected", "Needed, as expected", "amount"),
        _of_order("wanted", "Needed, at your confidence", "amount"),
        _of_order("on_hand", "On hand", "amount"),
        _of_order("missing", "To order", "amount"),
        row_number(),
        _of_order("packages", "Packages", "count"),
        _of_order("size", "Of", "amount"),
        _of_order("unit", "Unit", "unit_label"),
        _of_order("cost", "Cost", "money"),
        result("so_far", "Cost so far", "SUM({cost:upto})", "money", needs="row"),
        _of_order("first_use", "First needed", "date"),
        _of_order("drop_date", "Delivery date", "date"),
        _of_order("finding", "Finding", "long_text"),
    ),
    rows="as:products",
    kind="result",
    was=("Orders by delivery date", "Orders by drop date"),
)

ORDER_TOTALS = Table(
    "order_totals",
    "Order totals",
    "The whole order in a few figures.",
    (
        result("confidence", "Confidence of the amounts", "wanted_confidence", "share",
               note="How often what is needed for spot passes should be enough; set on the tab Farm."),
        result("products", "Products to order", "COUNT({order_list.key:all})", "count"),
        result("packages", "Packages", "SUM({order_list.packages:all})", "count"),
        result("cost", "Cost of the order", "SUM({order_list.cost:all})", "money"),
        *told_whole("cost", "Cost of the order", "cost"),
        result("leftover_value", "Value of leftover at the end", "SUM({order_list.leftover_value:all})",
               "money"),
        result("late", "Products that come too late", "SUM({order_list.late:all})", "count"),
        result("cheaper", "Saved by other package sizes", "SUM({order_list.cheaper:all})", "money"),
        working("lacking", "Products without a figure", 'COUNTIF({order_list.status:all},"Not entered")',
                "count"),
        working("weighed", "Products to weigh", 'COUNTIF({order_list.status:all},"Review")', "count"),
        check("state", "State of the order",
              'IF({lacking}>0,"Not entered: "&{lacking}&" products lack a figure",'
              'IF({weighed}>0,"Review: "&{weighed}&" products to weigh","OK: nothing open"))', "text"),
    ),
    rows="form",
    kind="result",
    sheet="Cost summary",
)

TABLES = (ORDER_TOTALS, DROP_LIST, ORDER_LIST, PICK_LIST, ORDER_VOLUMES, PACKAGE_OPTIONS)
