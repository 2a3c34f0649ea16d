"""Label limits by product and by active ingredient, per application and per season."""

from __future__ import annotations

from operator import truediv

from workbook_builder.core.checks import CheckKind
from workbook_builder.core.columns import LOOK, NOT_ALLOWED, NOT_ENTERED, OK, OPEN_STATUSES, Column, Table
from workbook_builder.core.short import belonging, check, result, row_number, working
from workbook_builder.features.labels.columns import match_columns, strictest_of
from workbook_builder.features.limits import definitions
from workbook_builder.features.loads.lines import line_number
from workbook_builder.features.products.columns import NO_GROUP


def _against(amount: str, limit: str, held: str = '"OK"') -> str:
    """Status of an amount against a limit; rounding keeps 2.4000000001 from breaking 2.4."""
    return (f'IF({limit}="",IF({{needed}}=1,"Not entered",""),IF({amount}="","Not entered",'
            f'IF(ROUND({amount}-{limit},6)>0,"Not allowed",{held})))')


def _over(name: str, status: str, what: str, amount: str, limit: str, unit: str,
          no_limit: str = '"not entered"') -> str:
    """What is said of a status; ``no_limit`` is what is said where the limit is blank."""
    three = "ROUND(ROUND({},6),3)".format
    over = f'{name}&": "&{three(amount)}&" is over the {what} of "&{three(limit)}&" "&{unit}'
    lacks = f'{name}&": {what} "&IF({limit}<>"","cannot be checked: a rate is not known",{no_limit})'
    return f'IF({status}="{NOT_ALLOWED}",{over},IF({status}="{NOT_ENTERED}",{lacks},""))'


#: Said in place of a label figure that is typed in a unit the product cannot be turned into.
_OTHER_UNIT = ('IF(AND({unit}<>"",SUM({label_unit})=0),"in "&{unit}&" cannot be compared: density or carrier '
               'rate not entered","not entered")')
_STRICTER = "the stricter figures count until one name stands in both"


APPLICATIONS = Table(
    "applications",
    "Application workings",
    "Passes sprayed over a field in one trip, which are one application on the ground that both hit; in "
    "doubt they count together.",
    (
        row_number(),
        working("partner_row", "Row of the partner",
                'IFERROR(MATCH({passes.partner_pass}&"|"&{pass_volumes.field},{pass_volumes.key:all},0),"")',
                needs="passes.partner_pass pass_volumes.field"),
        working("partner_day", "Day of the partner", "{pass_times.day@partner_row}", "date",
                needs="partner_row"),
        working("root", "Row it goes with",
                'IF({partner_row}="",{row_no},IF(AND({partner_day}<>"",{pass_times.day}<>"",'
                '{partner_day}<>{pass_times.day}),{row_no},{partner_row}))',
                needs="pass_volumes.pass", note="A partner of another day is no trip."),
        working("trip", "Trip", "IF({root@root}={row_no},MIN({row_no},{root}),{root@root})", needs="root"),
        working("shared", "Passes of the trip", 'IF({trip}="",0,COUNTIF({trip:all},{trip}))', "count"),
    ),
    rows="as:passes",
    kind="working",
    sheet="Workings passes",
)


def _in_trip(values: str, lacks: str) -> str:
    """Sum of the lines of one product (or ingredient) in a trip; blank when a line is not known."""
    return ('IF(%s>0,"",%s)' % tuple("SUMIF({trip_key:all},{trip_key},{%s:all})" % each
                                     for each in (lacks, values)))


def _at_first(values: str, lacks: str) -> str:
    """Season total at the first row of a field, crop and product (or ingredient).

    Blank when one line is not known.
    """
    summed = "SUMIF({season_key:all},{season_key},{%s:all})"
    return f'IF({{season_first}}={{row_no}},IF({summed % lacks}>0,"",{summed % values}),"")'


def _on_ground(number: str, what: str) -> tuple[Column, ...]:
    """Declare the keys of a product (or ingredient) on its field and in its crop,
    and the first row of it in the season.
    """
    return (
        working("ground_key", f"Field and {what}", "{pass_volumes.field_row}*10000+{%s}" % number,
                needs=f"{number} pass_volumes.field_row"),
        working("season_key", f"Field, crop and {what}", "{ground_key}*10+{pass_crops.crop_no}",
                needs="ground_key"),
        working("season_first", "First row of it", "MATCH({season_key},{season_key:all},0)",
                needs="season_key"),
    )


def _before(header: str, **more: str) -> tuple[Column, ...]:
    """Declare when an application comes among those on its ground, and the one before it."""
    return (
        working("order", "Time order",
                '{pass_times.last_day}+IF({applications.trip}="",0,{applications.trip}/1000000)', "factor",
                needs="ground_key pass_times.last_day",
                twin=definitions.time_order, takes="pass_times.last_day applications.trip"),
        working("previous", header,
                'IF({order}="",0,IFERROR(_xlfn.MAXIFS({order:all},{ground_key:all},{ground_key},{order:all},'
                '"<"&{order}),0))', "factor", **more),
    )


def _amount(key: str, header: str, base: str, note: str) -> Column:
    """Declare an amount in units of the label."""
    return result(key, header, f'IF(SUM({{label_unit}})=0,"",{{{base}}}/{{label_unit}})', "amount", digits=3,
                  needs=base, twin=definitions.in_label_units, takes=f"{base} label_unit", note=note)


#: The worst of the statuses of a line; blank beside no product.
_WORST = 'IF({name}="","",' + "".join(
    f'IF(OR({{crop_status}}="{word}",{{rate_status}}="{word}",{{season_status}}="{word}",'
    f'{{repeat_status}}="{word}"),"{word}",' for word in OPEN_STATUSES) + f'"{OK}"' + ")" * (
    len(OPEN_STATUSES) + 1)


def _room(amount: str, most: str, in_season: str, most_in_season: str) -> Column:
    """Declare how often an amount may go into its limits, as far as rounding could ever take it."""
    left = [f'IF(OR(SUM({{{each}}})<=0,{{{limit}}}=""),10,{{{limit}}}/{{{each}}})'
            for each, limit in ((amount, most), (in_season, most_in_season))]
    return working("room", "May be rounded up to", f"MIN(10,{left[0]},{left[1]})", "factor", needs="name",
                   twin=definitions.room_to_round,
                   takes=f"{amount} {most} {in_season} {most_in_season}",
                   note="Times the amount, until a limit is reached; 10 where none is near.")


PRODUCT_LIMITS = Table(
    "product_limits",
    "Product totals",
    "Each product of each pass against its label: crop, rate, season amount, number of applications, days "
    "between them.",
    (
        row_number(),
        result("pass", "Pass", "{pass_volumes.pass}", "name", needs="name"),
        result("field", "Field", "{pass_volumes.field}", "name", needs="name"),
        result("name", "Product", "{mix_lines.product}", "name"),
        result("crop", "Crop", "{pass_volumes.crop}", "name", needs="name"),
        working("needed", "Label figures needed",
                'IF({mix_lines.product_row}="",1,{product_facts.pesticide@mix_lines.product_row})',
                "count", needs="name",
                note="1 for pesticides, whatever their kind, and for a name that is not among the products; "
                     "other products are checked only where figures are entered."),
        working("product_no", "Product number", "{product_facts.product_no@mix_lines.product_row}",
                needs="mix_lines.product_row",
                note="Two names of one registration are one product."),
        working("said", "Name said",
                'IF({product_no}="",{name},IF({products.product@product_no}={name},{name},'
                '{name}&" (registered as "&{products.product@product_no}&")"))', "name"),
        *match_columns("label_facts", "{product_no}", "pass_crops.crop"),
        working("forbidden", "Label says no", strictest_of("label_facts", "forbidden"), "count"),
        check("crop_status", "Crop status",
              'IF({found_row}="",IF({needed}=0,"","Not entered"),IF({forbidden}=1,"Not allowed",'
              f'IF({{near_row}}="","{OK}",IF({{label_facts.any_no@near_row}}>0,"{LOOK}","{NOT_ENTERED}"))))',
              needs="name"),
        check("crop_finding", "Crop finding",
              'IF(OR({crop_status}="",{crop_status}="OK"),"",IF({crop}="",{said}&": the crop of this pass is '
              'not known",IF({found_row}="",{said}&": no label row names "&{crop},'
              f'IF({{near_row}}<>"",{{said}}&": the label row for "&{{label_limits.crop@near_row}}&" may or '
              f'may not mean "&{{crop}}&"; {_STRICTER}",'
              '{said}&": the label row says not allowed on "&{crop}))))', "long_text"),
        working("own_rate", "Base units as sold per area",
                'IF({product_facts.label_scale@mix_lines.product_row}="","",'
                '{applied_lines.rate_base}*{mix_lines.own_scale}'
                '*{product_facts.label_scale@mix_lines.product_row})', "factor",
                needs="applied_lines.rate_base mix_lines.own_scale product_no",
                twin=lambda rate, own, label: "" if label == "" else rate * own * label,
                takes="applied_lines.rate_base mix_lines.own_scale "
                      "product_facts.label_scale@mix_lines.product_row",
                note="As logged where the log tells, or else as planned."),
        working("unknown", "Rate not known", 'IF({name}="",0,IF({own_rate}="",1,0))', "count"),
        working("trip_key", "Trip and product", "{applications.trip}*10000+{product_no}",
                needs="product_no applications.trip"),
        working("landing", "Base units per area in one trip", _in_trip("own_rate", "unknown"), "factor",
                needs="trip_key"),
        working("label_unit", "Base units of one label unit",
                'IF({label_facts.unit_area@found_row}="","",{label_facts.unit_area@found_row}'
                '+{label_facts.unit_volume@found_row}*{as_logged.carrier})', "factor",
                needs="found_row", twin=definitions.label_unit,
                takes="label_facts.unit_area@found_row label_facts.unit_volume@found_row as_logged.carrier"),
        result("unit", "Label unit", '{label_limits.rate_unit@found_row}&""', "unit_label",
               needs="found_row"),
        _amount("rate", "Rate", "landing",
                note="What lands on the sprayed ground in one trip: with the partner pass, and with other "
                     "lines of the same product."),
        working("area_limit", "Max rate by area", strictest_of("label_facts", "rate_area"), "factor"),
        working("volume_limit", "Max rate by spray volume", strictest_of("label_facts", "rate_volume"),
                "factor"),
        working("at_carrier", "The same at this carrier rate",
                'IF({as_logged.carrier}=0,"",{volume_limit}*{as_logged.carrier})', "factor",
                needs="volume_limit",
                twin=lambda limit, carrier: limit * carrier if carrier else "",
                takes="volume_limit as_logged.carrier"),
        result("max_rate", "Max rate",
               'IF(OR(SUM({label_unit})=0,COUNT({area_limit},{at_carrier})=0),"",'
               'ROUND(MIN({area_limit},{at_carrier})/{label_unit},9))', "amount", digits=3,
               twin=definitions.limit_shown, takes="label_unit area_limit at_carrier"),
        working("against_rate", "Rate against the label", _against("{rate}", "{max_rate}"), "text",
                needs="needed", twin=definitions.against_limit, takes="rate max_rate needed"),
        check("rate_status", "Rate status",
              f'IF({{against_rate}}="{OK}",IF({strictest_of("label_facts", "ounces")}=1,"{LOOK}","{OK}"),'
              f'{{against_rate}})'),
        check("rate_finding", "Rate finding",
              f'IF({{rate_status}}="{LOOK}",{{said}}&": oz on its label is counted as weight, by its density;'
              f' choose fl oz where that is meant",'
              + _over("{said}", "{rate_status}", "label rate", "{rate}", "{max_rate}",
                      '{unit}&IF({applications.shared}>1," in one trip","")&{applied_lines.said}',
                      _OTHER_UNIT) + ")", "long_text"),
        *_on_ground("product_no", "product"),
        working("season_at_first", "Season total at first row", _at_first("own_rate", "unknown"), "factor"),
        working("opens", "First of its trip",
                'IF({trip_key}="",0,IF(MATCH({trip_key},{trip_key:all},0)={row_no},1,0))', "count",
                note="One application is what lands in one trip."),
        working("passes_at_first", "Applications at first row",
                'IF({season_first}={row_no},SUMIF({season_key:all},{season_key},{opens:all}),"")', "count"),
        working("season_base", "Season total", "{season_at_first@season_first}", "factor",
                needs="season_first"),
        _amount("season_amount", "Season amount", "season_base",
                note="Full rate of the sprayed ground, spot passes too: the same ground may be sprayed each "
                     "time."),
        working("season_limit", "Max per season, base units", strictest_of("label_facts", "season_area"),
                "factor"),
        result("max_season", "Max per season",
               'IF(SUM({label_unit})=0,"",ROUND({season_limit}/{label_unit},9))', "amount", digits=3,
               needs="season_limit",
               twin=definitions.limit_shown, takes="label_unit season_limit"),
        check("season_status", "Season status", _against("{season_amount}", "{max_season}"), needs="needed",
              twin=definitions.against_limit, takes="season_amount max_season needed"),
        check("season_finding", "Season finding",
              _over("{said}", "{season_status}", "season limit", "{season_amount}", "{max_season}",
                    "{unit}&{applied_lines.said}", _OTHER_UNIT), "long_text"),
        result("passes", "Applications this season", "{passes_at_first@season_first}", "count",
               needs="season_first"),
        result("max_passes", "Max applications", strictest_of("label_facts", "max_passes"), "count"),
        *_before("Previous application", note="On this ground, whatever the crop; its own trip left out."),
        working("previous_active", "Previous application of an active ingredient of it",
                'IF({order}="",0,IFERROR(_xlfn.MAXIFS({pass_ingredients.previous:all},'
                '{pass_ingredients.line_no:all},{row_no}),0))', "factor"),
        working("latest", "The later of them", "MAX({previous},{previous_active})", "factor"),
        result("days_since", "Days since the last one", 'IF({latest}=0,"",{pass_times.day}-INT({latest}))',
               "days",
               twin=lambda latest, day: day - int(latest) if latest else "", takes="latest pass_times.day",
               note="From the last day of the pass before, with this product or with an active ingredient "
                    "of it."),
        result("retreat_days", "Retreatment interval", strictest_of("label_facts", "retreat_days"), "days"),
        check("repeat_status", "Repeat status",
              'IF(OR(AND({max_passes}<>"",SUM({passes})>SUM({max_passes})),AND({days_since}<>"",'
              '{retreat_days}<>"",SUM({days_since})<SUM({retreat_days}))),"Not allowed",'
              'IF(AND({needed}=1,OR({max_passes}="",{retreat_days}="")),"Not entered",'
              'IF(AND({max_passes}="",{retreat_days}=""),"","OK")))',
              needs="needed", twin=definitions.repeat_status,
              takes="needed passes max_passes days_since retreat_days"),
        check("repeat_finding", "Repeat finding",
              'IF({repeat_status}="Not allowed",IF(AND({max_passes}<>"",SUM({passes})>SUM({max_passes})),'
              '{said}&": "&{passes}&IF({passes}=1," pass"," passes")&", the label allows "&{max_passes},'
              '{said}&": "&{days_since}&IF({days_since}=1," day"," days")&" after "'
              '&IF({previous_active}>{previous},"an active ingredient of it was last sprayed","the last one")'
              '&", the label wants "&{retreat_days}),'
              'IF({repeat_status}="Not entered",{said}&": number of passes or retreatment interval not '
              'entered",""))', "long_text"),
        check("status", "Status", _WORST),
        _room("rate", "max_rate", "season_amount", "max_season"),
    ),
    rows="as:mix_lines",
    kind="result",
    caution="The label is the law: these checks only compare what was typed in.",
)


def _fetched(key: str, header: str, quantity: str = "index", **more: int) -> Column:
    """Declare a working of the ingredient in its slot of the mix."""
    return working(key, header, f"{{mix_ingredients.{key}@item_row}}", quantity, needs="name", **more)


def _on_basis(key: str, header: str, of: str, note: str) -> Column:
    """Declare an amount on the basis the limit is compared on, in units of the limit as typed."""
    acid, active = f"{of}_acid", f"{of}_active"
    return result(key, header, f'IF({{on}}=2,{{{active}}},IF({{{acid}}}="","",{{{acid}}}/{{shown_ratio}}))',
                  "mass_per_area",
                  twin=definitions.on_basis, takes=f"on {acid} {active} shown_ratio", note=note)


def _limit(key: str, header: str, base: str) -> Column:
    return result(key, header, f"{{{base}}}/{{shown_ratio}}", "mass_per_area",
                  needs=f"found_row basis {base}", twin=truediv, takes=f"{base} shown_ratio")


def _judged(which: str, header: str, amount: str) -> tuple[Column, ...]:
    """Declare status and finding of an ingredient's amount.

    A limit that only nearly names the crop is no OK.
    """
    status, limit, has = f"{{{which}_status}}", f"{{{which}_limit}}", f"{{{amount}}}"
    near = (f'{{name}}&": the limit for "&{{ingredient_limits.crop@near_row}}&" may or may not mean "'
            f'&{{pass_volumes.crop}}&"; {_STRICTER}"')
    neither = '{name}&": the limit does not say ae or ai, or its rows differ in it"'
    no_content = ('{name}&": content of "&{lacking}&" cannot be turned into "&IF({on}=2,"ai","ae")&";'
                  ' say which salt or ester, in ae or ai"')
    # ``lb ae/ac`` of ``lb/ac``.
    unit = 'SUBSTITUTE(mass_unit,"/",IF({counts}="","/"," "&{counts}&"/"))&{applied_lines.said@line_no}'
    over = _over("{name}", status, f"limit per {which}", has, limit, unit)
    return (
        check(f"{which}_status", f"{header} status",
              _against(has, limit, 'IF({unsure}=2,"Not entered",IF({unsure}=1,"Review","OK"))'),
              needs="needed", twin=definitions.against_near_limit,
              takes=f"{amount} {which}_limit needed unsure"),
        check(f"{which}_finding", f"{header} finding",
              f'IF(AND({{unsure}}>0,OR({status}="{LOOK}",AND({status}="{NOT_ENTERED}",{has}<>"",'
              f'{limit}<>""))),{near},'
              f'IF(AND({status}="{NOT_ENTERED}",{{found_row}}<>"",{{basis}}=""),{neither},'
              f'IF(AND({status}="{NOT_ENTERED}",{limit}<>"",{has}=""),{no_content},{over})))', "long_text"),
    )


#: A mass counted as acid equivalent or active ingredient, blank where nobody says how much of it that is.
_COUNTED = 'IF({mix_ingredients.%s@item_row}="","",{mass}*{mix_ingredients.%s@item_row})'

PASS_INGREDIENTS = Table(
    "pass_ingredients",
    "Ingredient totals",
    "Active ingredients summed over all products and all their salts and esters, per application and per "
    "season, against their limits.",
    (
        *belonging("pass_volumes.ingredients_before"),
        result("pass", "Pass", "{pass_volumes.pass}", "name", needs="name"),
        result("field", "Field", "{pass_volumes.field}", "name", needs="name"),
        working("item_row", "Mix slot row",
                'IF({row_no}>{pass_volumes.ingredients_before}+{pass_volumes.ingredients},"",'
                '({pass_volumes.mix_no}-1)*{room.ingredients}+{row_no}-{pass_volumes.ingredients_before})',
                needs="pass_volumes.mix_no"),
        working("line_no", "Line of its product",
                line_number("pass_volumes.lines_before", "{mix_ingredients.item@item_row}"),
                needs="item_row"),
        result("name", "Active ingredient", "{mix_ingredients.active_ingredient@item_row}", "name",
               needs="line_no"),
        result("product", "Product", "{mix_lines.product@line_no}", "name", needs="line_no"),
        working("group", "Group number", "{mix_ingredients.group@item_row}", "count", needs="name"),
        result("said", "Group", "{mix_ingredients.said@item_row}", "text", needs="name"),
        result("group_note", "Note on the group", "{mix_ingredients.group_note@item_row}", "text",
               needs="name", width=30),
        _fetched("name_note", "Note on the name", "text"),
        check("group_status", "Group status",
              f'IF({{group_note}}="{NO_GROUP}","{NOT_ENTERED}",IF(OR(LEFT({{group_note}},8)="The list",'
              f'{{name_note}}<>""),"{LOOK}","{OK}"))', needs="name"),
        check("group_finding", "Group finding",
              f'IF({{group_status}}="{NOT_ENTERED}",{{name}}&": group not entered",'
              f'IF({{group_status}}="{LOOK}",'
              'IF({name_note}<>"",{name}&": "&{name_note},{name}&": typed as group "&{said}&". "'
              '&{group_note}),""))', "long_text"),
        _fetched("active_no", "Ingredient number"),
        _fetched("opens_group", "First with its group"),
        working("mass", "This slot, as its content states it",
                'IF(OR({mix_ingredients.mass@item_row}="",{applied_lines.rate_base@line_no}=""),"",'
                '{mix_ingredients.mass@item_row}*{applied_lines.rate_base@line_no})', "mass_per_area",
                needs="name", twin=lambda content, rate: "" if "" in (content, rate) else content * rate,
                takes="mix_ingredients.mass@item_row applied_lines.rate_base@line_no"),
        working("acid", "Acid equivalent", _COUNTED % ("to_acid", "to_acid"), "mass_per_area", needs="mass",
                twin=definitions.counted_as, takes="mass mix_ingredients.to_acid@item_row"),
        working("active", "As active ingredient", _COUNTED % ("to_active", "to_active"), "mass_per_area",
                needs="mass", twin=definitions.counted_as, takes="mass mix_ingredients.to_active@item_row"),
        working("lacks_acid", "Acid equivalent not known", 'IF({name}="",0,IF({acid}="",1,0))', "count"),
        working("lacks_active", "Active ingredient not known", 'IF({name}="",0,IF({active}="",1,0))',
                "count"),
        working("trip_key", "Trip and ingredient", "{applications.trip}*10000+{active_no}",
                needs="active_no applications.trip"),
        working("trip_acid", "Acid equivalent in one trip", _in_trip("acid", "lacks_acid"), "mass_per_area",
                needs="trip_key"),
        working("trip_active", "Active ingredient in one trip", _in_trip("active", "lacks_active"),
                "mass_per_area", needs="trip_key"),
        working("product_row", "Product row", "{mix_lines.product_row@line_no}", needs="line_no"),
        working("needed", "Limit needed", 'IF({product_row}="",1,{product_facts.pesticide@product_row})',
                "count", needs="name", note="Nutrients of a fertilizer, say, need none."),
        *match_columns("ingredient_limit_facts", "{active_no}", "pass_crops.crop"),
        working("least_basis", "Least basis", strictest_of("ingredient_limit_facts", "least_basis"), "count"),
        working("most_basis", "Most basis", strictest_of("ingredient_limit_facts", "most_basis"), "count"),
        working("basis", "Limit compared on", 'IF({least_basis}={most_basis},{least_basis},"")', "count",
                note="1: acid equivalent, 2: active ingredient; blank where the limit does not say, or its "
                     "rows differ in it."),
        working("on", "Shown on", 'IF({basis}<>"",{basis},IF({trip_acid}<>"",1,2))', "count"),
        working("shown_ratio", "Acid equivalent of a unit shown",
                'IF({basis}=1,IF({ingredient_limit_facts.to_basis@found_row}="",1,'
                '{ingredient_limit_facts.to_basis@found_row}),1)', "factor", digits=4),
        result("counts", "Counted as",
               'IF({found_row}="",IF({on}=1,"ae","ai"),IF({basis}="","",'
               '{ingredient_limit_facts.counts@found_row}&""))', "text", needs="name",
               note="ae: acid equivalent, ai: active ingredient, as the limit counts; never added to one "
                    "another."),
        _on_basis("amount", "Amount in the application", "trip",
                  "Summed over every product that lands in one trip, per area of sprayed ground."),
        working("pass_base", "Max per application on that basis",
                strictest_of("ingredient_limit_facts", "pass_limit"), "mass_per_area"),
        _limit("pass_limit", "Max per application", "pass_base"),
        working("unsure", "Crop nearly named",
                'IF({near_row}="",0,IF({ingredient_limit_facts.any_no@near_row}>0,1,2))', "count",
                note="1: beside a row of any crop, 2: alone."),
        *_judged("pass", "Pass", "amount"),
        *_on_ground("active_no", "ingredient"),
        working("acid_at_first", "Season's acid equivalent at first row", _at_first("acid", "lacks_acid"),
                "mass_per_area"),
        working("active_at_first", "Season's active ingredient at first row",
                _at_first("active", "lacks_active"), "mass_per_area"),
        working("season_acid", "Season's acid equivalent", "{acid_at_first@season_first}", "mass_per_area",
                needs="season_first"),
        working("season_active", "Season's active ingredient", "{active_at_first@season_first}",
                "mass_per_area", needs="season_first"),
        _on_basis("season_amount", "Amount in the season", "season",
                  "Full rate of the sprayed ground in every pass."),
        working("season_base", "Max per season on that basis",
                strictest_of("ingredient_limit_facts", "season_limit"), "mass_per_area"),
        _limit("season_limit", "Max per season", "season_base"),
        working("lacking_key", "Field, crop and ingredient not known",
                'IF(IF({on}=2,{lacks_active},{lacks_acid})=1,{season_key},"")'),
        working("lacking", "Product that lacks it",
                'IF(OR({amount}="",{season_amount}=""),IFERROR(INDEX({product:all},MATCH({season_key},'
                '{lacking_key:all},0)),""),"")', "name",
                needs="season_key"),
        *_judged("season", "Season", "season_amount"),
        *_before("Previous application of it"),
        working("group_key", "Field and group", "{pass_volumes.field_row}*1000+{group}",
                needs="group pass_volumes.field_row"),
        working("use_key", "Use of the group", 'IF({opens_group}=1,{group_key},"")', needs="group_key"),
        working("use_no", "Nth use on the field", "COUNTIF({use_key:upto},{use_key})", "count",
                needs="use_key"),
        working("use_id", "Use key", "{use_key}*100+{use_no}", needs="use_key"),
        working("fungicide_on", "Field, where it is a fungicide",
                'IF({use_key}="","",IF({group}<200,"",{pass_volumes.field_row}))'),
        working("spray_before", "Fungicide application before it",
                'IF(OR({fungicide_on}="",{order}=""),0,IFERROR(_xlfn.MAXIFS({order:all},{fungicide_on:all},'
                '{fungicide_on},{order:all},"<"&{order}),0))', "factor"),
        working("again", "Same group as the one before",
                'IF({spray_before}=0,0,IF(COUNTIFS({use_key:all},{use_key},{order:all},{spray_before})>0,'
                '1,0))', "count"),
        working("turn", "Application in a row",
                'IF({fungicide_on}="","",1+{again}+IF({again}=0,0,IF(COUNTIFS({use_key:all},{use_key},'
                '{order:all},{spray_before},{again:all},1)>0,1,0)))', "count"),
        working("mode_row", "Rotation row",
                'IFERROR(({pass_volumes.field_row}-1)*{room.groups}+MATCH({group},'
                '{farm_groups.mode_group:all},0),"")', needs="group_key"),
        working("group_passes", "Uses of the group", "{mode_rotation.planned@mode_row}", "count",
                needs="mode_row"),
        check("mode_status", "Rotation status", "{mode_rotation.status@mode_row}", needs="mode_row"),
        check("mode_finding", "Rotation finding", "{mode_rotation.finding@mode_row}", "long_text",
              needs="mode_row"),
        _room("amount", "pass_limit", "season_amount", "season_limit"),
    ),
    rows="of:passes:ingredient_lines",
    kind="result",
    caution="The label is the law: these checks only compare what was typed in.",
)

TABLES = (PRODUCT_LIMITS, PASS_INGREDIENTS, APPLICATIONS)

CHECKS = (
    CheckKind("Crop on the label", "product_limits", "crop_status", "crop_finding", "mix_lines", rank=10),
    CheckKind("Label rate", "product_limits", "rate_status", "rate_finding", "mix_lines", rank=30),
    CheckKind("Season amount", "product_limits", "season_status", "season_finding", "mix_lines", rank=40),
    CheckKind("Repeat applications", "product_limits", "repeat_status", "repeat_finding",
              "mix_lines", rank=50),
    CheckKind("Ingredient per pass", "pass_ingredients", "pass_status", "pass_finding",
              "pass_ingredients", rank=60),
    CheckKind("Ingredient per season", "pass_ingredients", "season_status", "season_finding",
              "pass_ingredients", rank=70),
    CheckKind("Group numbers", "pass_ingredients", "group_status", "group_finding",
              "pass_ingredients", rank=180),
)
