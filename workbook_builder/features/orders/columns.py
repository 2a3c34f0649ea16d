"""What to take along for each pass, and what to order for the season."""

from __future__ import annotations

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import check, result, row_number, working
from workbook_builder.features.records.inputs import AREA_DOUBT


def _volumes(key: str, name: str, share: str) -> tuple[Column, Column]:
    """Return volume sprayed and mixed for what is still to do, at one share of it."""
    return (
        working(f"{key}volume", f"Spray volume{name}", 'IF(OR({%s}="",{pass_volumes.loads}=""),"",{pass_volumes.area}*{to_do}*{%s}*{passes.carrier})' % (share, share), "volume"),
        working(f"{key}mixed", f"Volume mixed{name}",
                'IF({%s}="","",{%s}+IF(ROUND({%s},6)>0,{pass_volumes.opens}*{pass_volumes.unusable},0))' % ((f"{key}volume",) * 3), "volume",
                note="The unusable volume once for a run of fills with the same mix in the same tank."),
    )


ORDER_VOLUMES = Table(
    "order_volumes",
    "Order workings",
    "Volume of what is still to be sprayed of each pass, as expected and, of spot passes, at the confidence chosen.",
    (
        working("left", "Part of the field still to do", 'IF(OR({share_estimates.remaining_area}="",SUM({pass_volumes.area})=0),1,{share_estimates.remaining_area}/{pass_volumes.area})', "share"),
        working("done", "Share of the field already sprayed", "MIN(1,SUM({share_estimates.logged_share}))*(1-{left})", "share"),
        working("to_do", "Part to buy for",
                'IF({pass_times.log_day}="",{left},IF({passes.method}="spot",IF(OR({pass_times.log_end}<>"",SUM({share_estimates.loads_logged})=0),0,{left}),'
                'IF(OR({as_logged.area_typed}="",SUM({pass_volumes.area})=0),0,IF(ROUND(1-{as_logged.area_typed}/{pass_volumes.area}-%s,6)>0,1-{as_logged.area_typed}/{pass_volumes.area},0))))' % AREA_DOUBT, "share",
                note="None of a pass that is logged; what the record or the load log leaves of one that is half done."),
        working("expected_share", "Share of it expected to be sprayed",
                'IF({share_estimates.a}="",{pass_volumes.share},IF({passes.sprayed_share}<>"",{passes.sprayed_share},{share_estimates.share_mean}))', "share"),
        working("share", "Share of it to buy for",
                'IF({share_estimates.a}="",{pass_volumes.share},MAX(SUM({passes.sprayed_share}),MAX(0.001,MIN(0.999,BETAINV(wanted_confidence,{share_estimates.a},{share_estimates.b})))))',
                "share", note="At the confidence wanted, and never less than a share that was typed."),
        *(column for key, name, share in (("expected_", ", as expected", "expected_share"), ("", "", "share")) for column in _volumes(key, name, share)),
    ),
    rows="as:passes",
    kind="working",
    sheet="Workings money",
)

_PRODUCT = 'IF({mix_lines.product_row}="","",INDEX({%s:all},{mix_lines.product_row})&"")'

_BASE = 'IF(OR({mix_lines.rate_base}="",{mix_lines.own_scale}="",{order_volumes.%s}=""),"",{mix_lines.rate_base}*{mix_lines.own_scale}*{order_volumes.%s}/{passes.carrier})'

PICK_LIST = Table(
    "pick_list",
    "Pick list",
    "What to take along for what is still to be sprayed of each pass, in the units it is sold in; spot passes at the confidence chosen.",
    (
        result("pass", "Pass", "{pass_volumes.pass}", "name", needs="mix_lines.product"),
        result("field", "Field", "{pass_volumes.field}", "name", needs="mix_lines.product"),
        result("date", "Date", "{pass_times.day}", "date", needs="mix_lines.product pass_times.day"),
        result("product", "Product", "{mix_lines.product}", "name"),
        working("product_row", "Product row", "{mix_lines.product_row}"),
        working("package_base", "Base units in a package", "{product_facts.package_base@product_row}", "factor", needs="product_row"),
        working("package_size", "Package size", "SUM({products.package_size@product_row})", "amount", needs="package_base"),
        working("area_cost", "Cost per sprayed area", "{mix_lines.rate_base}*{mix_lines.unit_price}", "money_per_area", needs="mix_lines.rate_base mix_lines.unit_price"),
        working("base", "Amount in base units as sold", _BASE % ("mixed", "mixed"), "factor"),
        working("expected_base", "Of it expected", _BASE % ("expected_mixed", "expected_mixed"), "factor"),
        result("amount", "Amount", 'IF(OR({base}="",SUM({package_base})=0),"",{base}/{package_base}*{package_size})', "amount"),
        result("unit", "Unit", _PRODUCT % "products.package_unit", "unit_label"),
        result("packages", "Full packages", "INT(ROUND({base}/{package_base},6))", "count", needs="amount"),
        result("rest", "And from an open one", "ROUND(ROUND(MAX(0,{amount}-{packages}*{package_size}),7),4)", "amount", needs="packages"),
        working("uncounted", "Not counted", 'IF(OR({product}="",{order_volumes.to_do}=0),0,IF({amount}="",1,0))', "count"),
        result("done", "Done", '"[  ]"', "text", needs="product", width=7),
    ),
    rows="as:mix_lines",
    kind="result",
    caution="Count what is in the store before you load; keep products in their labelled packages.",
)

ORDER_LIST = Table(
    "order_list",
    "Order list",
    "What is still needed of each product, as expected and at the confidence chosen, less what is on hand, in whole packages, and by when to order it; what is logged needs nothing more.",
    (
        result("product", "Product", "{products.product}", "name", needs="products.product"),
        row_number(),
        result("supplier", "Supplier", '{products.supplier}&""', "name"),
        result("drop_date", "Delivery date", "{products.drop_date}", "date", needs="products.drop_date"),
        result("unit", "Unit", '{products.package_unit}&""', "unit_label"),
        working("size", "Package size", "SUM({products.package_size})", "amount"),
        working("base", "Needed in base units", "SUMIF({pick_list.product_row:all},{row_no},{pick_list.base:all})", "factor", needs="product"),
        working("uncounted", "Lines not counted", 'IF({product}="",0,SUMIF({pick_list.product_row:all},{row_no},{pick_list.uncounted:all}))', "count"),
        result("expected", "Needed, as expected",
               'IF(OR({product}="",SUM({product_facts.package_base})=0),"",SUMIF({pick_list.product_row:all},{row_no},{pick_list.expected_base:all})/{product_facts.package_base}*{size})',
               "amount", note="Spot passes at the share typed, or else at the mean of what is known."),
        result("wanted", "Needed, at your confidence", 'IF(OR({base}="",SUM({product_facts.package_base})=0),"",{base}/{product_facts.package_base}*{size})', "amount",
               note="Spot passes at the confidence of the farm sheet; what is ordered goes by it."),
        result("on_hand", "On hand", "SUM({products.on_hand})", "amount", needs="product"),
        result("missing", "To order", "MAX(0,{wanted}-{on_hand})", "amount", needs="wanted"),
        result("packages", "Packages to order", "ROUNDUP(ROUND({missing}/{size},6),0)", "count", needs="missing"),
        result("cost", "Cost", "{packages}*{products.package_price}", "money", needs="packages products.package_price"),
        result("leftover", "Leftover", "ROUND(ROUND({on_hand}+{packages}*{size}-{wanted},7),4)", "amount", needs="packages"),
        result("leftover_value", "Value of leftover", "{leftover}/{size}*{products.package_price}", "money", needs="leftover products.package_price"),
        result("first_use", "First needed", 'IF(OR({product}="",SUM({base})=0),"",IF(COUNTIFS({pick_list.product_row:all},{row_no},{pick_list.date:all},">0",{pick_list.base:all},">0")=0,"",'
               '_xlfn.MINIFS({pick_list.date:all},{pick_list.product_row:all},{row_no},{pick_list.date:all},">0",{pick_list.base:all},">0")))', "date"),
        result("delivery_days", "Days to deliver", 'IF({products.delivery_days}="",usual_delivery_days,{products.delivery_days})', "days", needs="product"),
        result("order_by", "Order by", 'IF(OR(SUM({packages})=0,{first_use}=""),"",{first_use}-SUM({delivery_days}))', "date", note="The days to deliver before it is first needed."),
        working("others", "Other package sizes", "COUNTIFS({package_options.product_row:all},{row_no},{package_options.cost:all},\">0\")", "count"),
        working("other_cost", "Cheapest in other packages", 'IF({others}=0,"",_xlfn.MINIFS({package_options.cost:all},{package_options.product_row:all},{row_no}))', "money"),
        working("cheaper", "Saved in other packages", 'IF(OR({cost}="",{other_cost}="",SUM({packages})=0),0,MAX(0,{cost}-{other_cost}))', "money"),
        working("other_left", "Least left in other packages", 'IF({others}=0,"",_xlfn.MINIFS({package_options.leftover:all},{package_options.product_row:all},{row_no}))', "amount"),
        working("late", "Comes too late", 'IF(OR({drop_date}="",{first_use}="",SUM({packages})=0),0,IF({drop_date}>{first_use},1,0))', "count"),
        working("key", "Order by date", 'IF(SUM({packages})=0,"",IF({order_by}="",100000,{order_by})*1000+{row_no})'),
        check("status", "Status",
              'IF(OR({wanted}="",{uncounted}>0,{products.package_price}=""),"Not entered",IF(OR({late}=1,ROUND(ROUND({cheaper},6),2)>0,{less_left}=1),"Review","OK"))',
              needs="product"),
        working("less_left", "Less would be left", 'IF(OR({other_left}="",{leftover}="",SUM({packages})=0),0,IF(ROUND({leftover}-{other_left},6)>0,1,0))', "count"),
        check("finding", "Finding",
              'IF(OR({status}="",{status}="OK"),"",IF({status}="Not entered","Package size, unit, price or density is missing",'
              'TRIM(IF({late}=1,"Delivered after it is first needed. ","")&IF(ROUND(ROUND({cheaper},6),2)>0,"Another package size saves "&ROUND(ROUND({cheaper},6),2)&". ","")'
              '&IF({less_left}=1,"Another package size leaves "&ROUND(ROUND({leftover}-{other_left},6),1)&" "&{unit}&" less. ",""))))', "long_text"),
    ),
    rows="as:products",
    kind="result",
)

PACKAGE_OPTIONS = Table(
    "package_options",
    "Package workings",
    "What the missing amount would cost in each other package size.",
    (
        working("product_row", "Product row", 'IFERROR(MATCH({package_sizes.product},{products.product:all},0),"")', needs="package_sizes.product"),
        working("missing", "Short", "{order_list.missing@product_row}", "amount", needs="product_row"),
        working("packages", "Packages", 'IF(OR({missing}="",SUM({package_sizes.package_size})=0),"",ROUNDUP(ROUND({missing}/{package_sizes.package_size},6),0))', "count"),
        working("cost", "Cost", "{packages}*{package_sizes.package_price}", "money", needs="packages package_sizes.package_price"),
        working("leftover", "Leftover",
                "ROUND(ROUND({packages}*{package_sizes.package_size}-{missing}+MAX(0,{order_list.on_hand@product_row}-{order_list.wanted@product_row}),7),4)", "amount",
                needs="packages"),
    ),
    rows="as:package_sizes",
    kind="working",
    sheet="Workings money",
)

_FETCH = 'IF({row}="","",INDEX({order_list.%s:all},{row}))'

DROP_LIST = Table(
    "drop_list",
    "What to order by when",
    "Only what has to be ordered, by the last day that leaves time to deliver it; products needed on no known day come last.",
    (
        working("key", "Key", 'IF({row_no}>COUNT({order_list.key:all}),"",SMALL({order_list.key:all},{row_no}))'),
        working("row", "Product row", "MATCH({key},{order_list.key:all},0)", needs="key"),
        result("product", "Product", _FETCH % "product", "name"),
        result("order_by", "Order by", _FETCH % "order_by", "date"),
        result("supplier", "Supplier", _FETCH % "supplier", "name"),
        result("expected", "Needed, as expected", _FETCH % "expected", "amount"),
        result("wanted", "Needed, at your confidence", _FETCH % "wanted", "amount"),
        result("on_hand", "On hand", _FETCH % "on_hand", "amount"),
        result("missing", "To order", _FETCH % "missing", "amount"),
        row_number(),
        result("packages", "Packages", _FETCH % "packages", "count"),
        result("size", "Of", _FETCH % "size", "amount"),
        result("unit", "Unit", _FETCH % "unit", "unit_label"),
        result("cost", "Cost", _FETCH % "cost", "money"),
        result("so_far", "Cost so far", "SUM({cost:upto})", "money", needs="row"),
        result("first_use", "First needed", _FETCH % "first_use", "date"),
        result("drop_date", "Delivery date", _FETCH % "drop_date", "date"),
        result("finding", "Finding", _FETCH % "finding", "long_text"),
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
        result("confidence", "Confidence of the amounts", "wanted_confidence", "share", note="How often what is needed for spot passes should be enough; set on the Farm sheet."),
        result("products", "Products to order", "COUNT({order_list.key:all})", "count"),
        result("packages", "Packages", "SUM({order_list.packages:all})", "count"),
        result("cost", "Cost of the order", "SUM({order_list.cost:all})", "money"),
        result("leftover_value", "Value of leftover at the end", "SUM({order_list.leftover_value:all})", "money"),
        result("late", "Products that come too late", "SUM({order_list.late:all})", "count"),
        result("cheaper", "Saved by other package sizes", "SUM({order_list.cheaper:all})", "money"),
        check("state", "State of the order",
              'IF(COUNTIF({order_list.status:all},"Not entered")>0,"Not entered: "&COUNTIF({order_list.status:all},"Not entered")&" products lack a figure",'
              'IF(COUNTIF({order_list.status:all},"Review")>0,"Review: "&COUNTIF({order_list.status:all},"Review")&" products to weigh","OK: nothing open"))', "text"),
    ),
    rows="form",
    kind="result",
    sheet="Cost summary",
)

ORDER_TABLES = (ORDER_TOTALS, DROP_LIST, ORDER_LIST, PICK_LIST, ORDER_VOLUMES, PACKAGE_OPTIONS)
