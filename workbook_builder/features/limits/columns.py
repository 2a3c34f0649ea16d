"""Label limits by product and by active ingredient, per application and per season."""

from __future__ import annotations

from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK, Table
from workbook_builder.core.short import check, result, row_number, slot_number, working
from workbook_builder.features.labels.columns import match_columns, strictest_of
from workbook_builder.features.products.workings import NO_GROUP


def _over(amount: str, limit: str, held: str = '"OK"') -> str:
    """Status of an amount against a limit; rounding keeps 2.4000000001 from breaking 2.4."""
    return (
        'IF({needed}="","",IF(%s="",IF({needed}=1,"Not entered",""),IF(%s="","Not entered",IF(ROUND(%s-%s,6)>0,"Not allowed",%s))))'
        % (limit, amount, amount, limit, held)
    )


def _over_text(status: str, what: str, amount: str, limit: str, unit: str, missing: str = "%s") -> str:
    """What is said of a status; ``missing`` is what is said where the limit is blank, around the usual words."""
    return (
        'IF({%s}="Not allowed",{said}&": "&ROUND(ROUND(%s,6),3)&" is over the %s of "&ROUND(ROUND(%s,6),3)&" "&%s,'
        'IF({%s}="Not entered",{said}&": %s "&IF(%s<>"","cannot be checked: a rate is not known",%s),""))'
        % (status, amount, what, limit, unit, status, what, limit, missing % '"not entered"')
    )


#: Said in place of a label figure that is typed in a unit the product cannot be turned into.
_OTHER_UNIT = 'IF(AND({unit}<>"",{in_units}=0),"in "&{unit}&" cannot be compared: density or carrier rate not entered",%s)'
#: A limit that only nearly names the crop is no OK: Review where a row of any crop stands beside it, else Not entered.
_NEARLY = 'IF({unsure}=2,"Not entered",IF({unsure}=1,"Review","OK"))'


APPLICATIONS = Table(
    "applications",
    "Application workings",
    "Passes sprayed over a field in one trip, which are one application on the ground that both hit; in doubt they count together.",
    (
        row_number(),
        working("partner_row", "Row of the partner",
                'IF(OR({passes.partner_pass}="",{pass_volumes.field}=""),"",IFERROR(MATCH({passes.partner_pass}&"|"&{pass_volumes.field},{pass_volumes.key:all},0),""))'),
        working("partner_day", "Day of the partner", 'IF({partner_row}="","",INDEX({pass_times.day:all},{partner_row}))', "date"),
        working("root", "Row it goes with",
                'IF({pass_volumes.pass}="","",IF({partner_row}="",{row_no},IF(AND({partner_day}<>"",{pass_times.day}<>"",{partner_day}<>{pass_times.day}),{row_no},{partner_row})))',
                note="A partner of another day is no trip."),
        working("trip", "Trip", 'IF({root}="","",IF(INDEX({root:all},{root})={row_no},MIN({row_no},{root}),INDEX({root:all},{root})))'),
        working("shared", "Passes of the trip", 'IF({trip}="",0,COUNTIF({trip:all},{trip}))', "count"),
    ),
    rows="as:passes",
    kind="working",
    sheet="Workings passes",
)


def _in_trip(number: str, values: str) -> str:
    """Sum of the lines of one product (or ingredient) in a trip: of its own pass alone where nothing else shares the trip."""
    return "IF({applications.shared}=1,SUMIF({%s:block},{%s},{%s:block}),SUMIF({trip_key:all},{trip_key},{%s:all}))" % (number, number, values, values)


_BEFORE = 'IF({order}="",0,IFERROR(_xlfn.MAXIFS({order:all},{ground_key:all},{ground_key},{order:all},"<"&{order}),0))'
_OF_ACTIVE = 'IFERROR(_xlfn.MAXIFS({pass_ingredients.previous:block},{pass_ingredients.item:block},{mix_lines.slot}),0)'
_PRODUCT_NO = 'IF({mix_lines.product_row}="","",INDEX({product_facts.product_no:all},{mix_lines.product_row}))'

PRODUCT_LIMITS = Table(
    "product_limits",
    "Product totals",
    "Each product of each pass against its label: crop, rate, season amount, number of applications, days between them.",
    (
        row_number(),
        result("pass", "Pass", "{mix_lines.pass}", "name"),
        result("field", "Field", "{mix_lines.field}", "name"),
        result("name", "Product", "{mix_lines.product}", "name"),
        result("crop", "Crop", 'IF({name}="","",{pass_volumes.crop})', "name"),
        working("needed", "Label figures needed", 'IF({name}="","",IF({mix_lines.product_row}="",1,INDEX({product_facts.pesticide:all},{mix_lines.product_row})))', "count",
                note="1 for pesticides, whatever their kind, and for a name that is not among the products; other products are checked only where figures are entered."),
        working("product_no", "Product number", 'IF({name}="","",' + _PRODUCT_NO + ")", note="Two names of one registration are one product."),
        working("lead", "First name of it", 'IF({product_no}="","",INDEX({products.product:all},{product_no})&"")', "name"),
        working("said", "Name said", 'IF(OR({product_no}="",{lead}={name}),{name},{name}&" (registered as "&{lead}&")")', "name"),
        *match_columns("label_facts", "{product_no}", "pass_crops.crop"),
        working("forbidden", "Label says no", strictest_of("label_facts", "forbidden"), "count"),
        working("any_row", "Row of any crop besides", 'IF({near_row}="","",INDEX({label_facts.any_no:all},{near_row}))'),
        check("crop_status", "Crop status",
              'IF(OR({name}="",AND({needed}=0,{found_row}="")),"",IF({found_row}="","Not entered",IF({forbidden}=1,"Not allowed",'
              f'IF({{near_row}}="","{OK}",IF({{any_row}}>0,"{LOOK}","{NOT_ENTERED}")))))'),
        check("crop_finding", "Crop finding",
              'IF(OR({crop_status}="",{crop_status}="OK"),"",IF({crop}="",{said}&": the crop of this pass is not known",IF({found_row}="",{said}&": no label row names "&{crop},'
              'IF({near_row}<>"",{said}&": the label row for "&INDEX({label_limits.crop:all},{near_row})&" may or may not mean "&{crop}&"; the stricter figures count until one name stands in both",'
              '{said}&": the label row says not allowed on "&{crop}))))', "long_text"),
        working("own_rate", "Base units as sold per area",
                'IF(OR({applied_lines.rate_base}="",{mix_lines.own_scale}="",{product_no}=""),"",IF(INDEX({product_facts.label_scale:all},{mix_lines.product_row})="","",'
                "{applied_lines.rate_base}*{mix_lines.own_scale}*INDEX({product_facts.label_scale:all},{mix_lines.product_row})))", "factor",
                note="As logged where the log tells, or else as planned."),
        working("unknown", "Rate not known", 'IF({name}="",0,IF({own_rate}="",1,0))', "count"),
        working("trip_key", "Trip and product", 'IF(OR({product_no}="",{applications.trip}=""),"",{applications.trip}*10000+{product_no})'),
        working("landing", "Base units per area in one trip",
                'IF({trip_key}="","",IF(' + _in_trip("product_no", "unknown") + '>0,"",' + _in_trip("product_no", "own_rate") + "))", "factor"),
        working("label_unit", "Base units of one label unit",
                'IF({found_row}="","",IF(INDEX({label_facts.unit_area:all},{found_row})="","",INDEX({label_facts.unit_area:all},{found_row})'
                "+INDEX({label_facts.unit_volume:all},{found_row})*{as_logged.carrier}))", "factor"),
        working("in_units", "Label unit known", 'IF({label_unit}="",0,IF({label_unit}=0,0,1))', "count"),
        result("unit", "Label unit", 'IF({found_row}="","",INDEX({label_limits.rate_unit:all},{found_row})&"")', "unit_label"),
        result("rate", "Rate", 'IF(OR({in_units}=0,{landing}=""),"",{landing}/{label_unit})', "amount", digits=3,
               note="What lands on the sprayed ground in one trip: with the partner pass, and with other lines of the same product."),
        working("area_limit", "Max rate by area", strictest_of("label_facts", "rate_area"), "factor"),
        working("volume_limit", "Max rate by spray volume", strictest_of("label_facts", "rate_volume"), "factor"),
        working("at_carrier", "The same at this carrier rate", 'IF(OR({volume_limit}="",{as_logged.carrier}=0),"",{volume_limit}*{as_logged.carrier})', "factor"),
        result("max_rate", "Max rate", 'IF(OR({in_units}=0,COUNT({area_limit},{at_carrier})=0),"",ROUND(MIN({area_limit},{at_carrier})/{label_unit},9))', "amount", digits=3),
        working("ounces", "Label in ounces of a liquid", strictest_of("label_facts", "ounces"), "count"),
        working("against_rate", "Rate against the label", _over("{rate}", "{max_rate}"), "text"),
        check("rate_status", "Rate status", f'IF(AND({{against_rate}}="{OK}",{{ounces}}=1),"{LOOK}",{{against_rate}})'),
        check("rate_finding", "Rate finding",
              f'IF({{rate_status}}="{LOOK}",{{said}}&": oz on its label is counted as weight, by its density; choose fl oz where that is meant",'
              + _over_text("rate_status", "label rate", "{rate}", "{max_rate}", '{unit}&IF({applications.shared}>1," in one trip","")&{applied_lines.said}', _OTHER_UNIT) + ")", "long_text"),
        working("ground_key", "Field and product", 'IF(OR({product_no}="",{pass_volumes.field_row}=""),"",{pass_volumes.field_row}*10000+{product_no})'),
        working("season_key", "Field, crop and product", 'IF({ground_key}="","",{ground_key}*10+{pass_crops.crop_no})'),
        working("season_first", "First row of it", 'IF({season_key}="","",MATCH({season_key},{season_key:all},0))'),
        working("season_at_first", "Season total at first row",
                'IF({season_first}={row_no},IF(SUMIF({season_key:all},{season_key},{unknown:all})>0,"",SUMIF({season_key:all},{season_key},{own_rate:all})),"")', "factor"),
        working("opens", "First of its trip", 'IF({trip_key}="",0,IF(IF({applications.shared}=1,MATCH({product_no},{product_no:block},0)={mix_lines.slot},MATCH({trip_key},{trip_key:all},0)={row_no}),1,0))', "count",
                note="One application is what lands in one trip."),
        working("passes_at_first", "Applications at first row", 'IF({season_first}={row_no},SUMIF({season_key:all},{season_key},{opens:all}),"")', "count"),
        working("season_base", "Season total", 'IF({season_first}="","",INDEX({season_at_first:all},{season_first}))', "factor"),
        result("season_amount", "Season amount", 'IF(OR({season_base}="",{in_units}=0),"",{season_base}/{label_unit})', "amount", digits=3,
               note="Full rate of the sprayed ground, spot passes too: the same ground may be sprayed each time."),
        result("field_average", "Field average of this pass", 'IF(OR({own_rate}="",{in_units}=0,{pass_volumes.share}=""),"",{own_rate}/{label_unit}*{pass_volumes.share})', "amount", digits=3),
        working("season_limit", "Max per season, base units", strictest_of("label_facts", "season_area"), "factor"),
        result("max_season", "Max per season", 'IF(OR({in_units}=0,{season_limit}=""),"",ROUND({season_limit}/{label_unit},9))', "amount", digits=3),
        check("season_status", "Season status", _over("{season_amount}", "{max_season}")),
        check("season_finding", "Season finding",
              _over_text("season_status", "season limit", "{season_amount}", "{max_season}", "{unit}&{applied_lines.said}", _OTHER_UNIT), "long_text"),
        result("passes", "Applications this season", 'IF({season_first}="","",INDEX({passes_at_first:all},{season_first}))', "count"),
        result("max_passes", "Max applications", strictest_of("label_facts", "max_passes"), "count"),
        working("order", "Time order", 'IF(OR({ground_key}="",{pass_times.last_day}=""),"",{pass_times.last_day}+IF({applications.trip}="",0,{applications.trip}/1000000))', "factor"),
        working("previous", "Previous application", _BEFORE, "factor", note="On this ground, whatever the crop; its own trip left out."),
        working("previous_active", "Previous application of an active ingredient of it", 'IF({order}="",0,' + _OF_ACTIVE + ")", "factor"),
        working("latest", "The later of them", 'MAX({previous},{previous_active})', "factor"),
        result("days_since", "Days since the last one", 'IF({latest}=0,"",{pass_times.day}-INT({latest}))', "days",
               note="From the last day of the pass before, with this product or with an active ingredient of it."),
        result("retreat_days", "Retreatment interval", strictest_of("label_facts", "retreat_days"), "days"),
        check("repeat_status", "Repeat status",
              'IF({needed}="","",IF(AND({max_passes}<>"",SUM({passes})>SUM({max_passes})),"Not allowed",IF(AND({days_since}<>"",{retreat_days}<>"",SUM({days_since})<SUM({retreat_days})),'
              '"Not allowed",IF(AND({needed}=1,OR({max_passes}="",{retreat_days}="")),"Not entered",IF(AND({max_passes}="",{retreat_days}=""),"","OK")))))'),
        check("repeat_finding", "Repeat finding",
              'IF({repeat_status}="Not allowed",IF(AND({max_passes}<>"",SUM({passes})>SUM({max_passes})),{said}&": "&{passes}&IF({passes}=1," pass"," passes")&", the label allows "&{max_passes},'
              '{said}&": "&{days_since}&IF({days_since}=1," day"," days")&" after "&IF({previous_active}>{previous},"an active ingredient of it was last sprayed","the last one")&", the label wants "&{retreat_days}),'
              'IF({repeat_status}="Not entered",{said}&": number of passes or retreatment interval not entered",""))', "long_text"),
    ),
    rows="as:mix_lines",
    kind="result",
    caution="The label is the law: these checks only compare what was typed in.",
)

#: ``lb ae/ac`` of ``lb/ac``.
_UNIT = 'SUBSTITUTE(mass_unit,"/",IF({counts}="","/"," "&{counts}&"/"))&INDEX({applied_lines.said:block},{item})'
_INGREDIENT = 'IF({name}="","",INDEX({mix_ingredients.%s:all},{item_row}))'


def _sum_of(values: str, lacks: str) -> str:
    """Sum of an ingredient's lines in a trip; blank when one of them is not known."""
    return 'IF({trip_key}="","",IF(' + _in_trip("active_no", lacks) + '>0,"",' + _in_trip("active_no", values) + "))"


def _at_first(values: str, lacks: str) -> str:
    """Season total at the first row of a field, crop and ingredient; blank when one line is not known."""
    return 'IF({season_first}={row_no},IF(SUMIF({season_key:all},{season_key},{%s:all})>0,"",SUMIF({season_key:all},{season_key},{%s:all})),"")' % (lacks, values)


def _on_basis(acid: str, active: str) -> str:
    """The figure on the basis the limit is compared on, in units of the limit as typed."""
    return 'IF({on}=2,%s,IF(%s="","",%s/{shown_ratio}))' % (active, acid, acid)


def _limit(key: str) -> str:
    return 'IF(OR({found_row}="",{basis}=""),"",IF({%s}="","",{%s}/{shown_ratio}))' % (key, key)



def _ingredient_text(status: str, what: str, amount: str, limit: str) -> str:
    unsure = (
        'IF(AND({%s}="Not entered",{found_row}<>""),IF({basis}="",{name}&": the limit does not say ae or ai, or its rows differ in it",'
        'IF(AND({%s}<>"",{%s}=""),{name}&": content of "&{lacking}&" cannot be turned into "&IF({on}=2,"ai","ae")&"; say which salt or ester, in ae or ai",%%s)),%%s)'
    ) % (status, limit, amount)
    text = _over_text(status, what, "{%s}" % amount, "{%s}" % limit, _UNIT).replace("{said}", "{name}")
    near = (
        'IF(AND({unsure}>0,OR({%s}="Review",AND({%s}="Not entered",{%s}<>"",{%s}<>""))),{name}&": the limit for "&INDEX({ingredient_limits.crop:all},{near_row})'
        '&" may or may not mean "&{pass_volumes.crop}&"; the stricter figures count until one name stands in both",%s)'
    ) % (status, status, amount, limit, "%s")
    return near % (unsure % (text, text))


PASS_INGREDIENTS = Table(
    "pass_ingredients",
    "Ingredient totals",
    "Active ingredients summed over all products and all their salts and esters, per application and per season, against their limits.",
    (
        row_number(),
        slot_number(),
        result("pass", "Pass", 'IF({name}="","",{pass_volumes.pass})', "name"),
        result("field", "Field", 'IF({name}="","",{pass_volumes.field})', "name"),
        working("item_row", "Mix slot row", 'IF({pass_volumes.mix_no}="","",({pass_volumes.mix_no}-1)*{room.ingredients}+{slot})'),
        result("name", "Active ingredient", 'IF({item_row}="","",INDEX({mix_ingredients.active_ingredient:all},{item_row}))', "name"),
        working("item", "Slot of its product", _INGREDIENT % "item"),
        result("product", "Product", 'IF({name}="","",INDEX({mix_items.product:all},({pass_volumes.mix_no}-1)*{room.products}+{item}))', "name"),
        result("group", "Herbicide group", _INGREDIENT % "group", "count"),
        result("group_note", "Note on the group", _INGREDIENT % "group_note", "text", width=30),
        working("name_note", "Note on the name", _INGREDIENT % "name_note", "text"),
        check("group_status", "Group status",
              f'IF({{name}}="","",IF({{group_note}}="{NO_GROUP}","{NOT_ENTERED}",IF(OR(LEFT({{group_note}},8)="The list",{{name_note}}<>""),"{LOOK}","{OK}")))'),
        check("group_finding", "Group finding",
              f'IF({{group_status}}="{NOT_ENTERED}",{{name}}&": herbicide group not entered",IF({{group_status}}="{LOOK}",'
              'IF({name_note}<>"",{name}&": "&{name_note},{name}&": typed as group "&{group}&". "&{group_note}),""))', "long_text"),
        working("active_no", "Ingredient number", _INGREDIENT % "active_no"),
        working("opens_group", "First with its group", _INGREDIENT % "opens_group"),
        working("mass", "This slot, as its content states it",
                'IF({name}="","",IF(OR(INDEX({mix_ingredients.mass:all},{item_row})="",INDEX({applied_lines.rate_base:block},{item})=""),"",'
                "INDEX({mix_ingredients.mass:all},{item_row})*INDEX({applied_lines.rate_base:block},{item})))", "mass_per_area"),
        working("to_acid", "Acid equivalent of it", _INGREDIENT % "to_acid", "factor", digits=4),
        working("to_active", "Active ingredient of it", _INGREDIENT % "to_active", "factor", digits=4),
        working("acid", "Acid equivalent", 'IF(OR({mass}="",{to_acid}=""),"",{mass}*{to_acid})', "mass_per_area"),
        working("active", "As active ingredient", 'IF(OR({mass}="",{to_active}=""),"",{mass}*{to_active})', "mass_per_area"),
        working("lacks_acid", "Acid equivalent not known", 'IF({name}="",0,IF({acid}="",1,0))', "count"),
        working("lacks_active", "Active ingredient not known", 'IF({name}="",0,IF({active}="",1,0))', "count"),
        working("trip_key", "Trip and ingredient", 'IF(OR({active_no}="",{applications.trip}=""),"",{applications.trip}*10000+{active_no})'),
        working("trip_acid", "Acid equivalent in one trip", _sum_of("acid", "lacks_acid"), "mass_per_area"),
        working("trip_active", "Active ingredient in one trip", _sum_of("active", "lacks_active"), "mass_per_area"),
        working("product_row", "Product row", 'IF({name}="","",INDEX({mix_items.product_row:all},({pass_volumes.mix_no}-1)*{room.products}+{item}))'),
        working("needed", "Limit needed", 'IF({name}="","",IF({product_row}="",1,INDEX({product_facts.pesticide:all},{product_row})))', "count",
                note="Nutrients of a fertilizer, say, need none."),
        *match_columns("ingredient_limit_facts", "{active_no}", "pass_crops.crop"),
        working("least_basis", "Least basis", strictest_of("ingredient_limit_facts", "least_basis"), "count"),
        working("most_basis", "Most basis", strictest_of("ingredient_limit_facts", "most_basis"), "count"),
        working("basis", "Limit compared on", 'IF({least_basis}="","",IF({least_basis}={most_basis},{least_basis},""))', "count",
                note="1: acid equivalent, 2: active ingredient; blank where the limit does not say, or its rows differ in it."),
        working("on", "Shown on", 'IF({basis}<>"",{basis},IF({trip_acid}<>"",1,2))', "count"),
        working("shown_ratio", "Acid equivalent of a unit shown", 'IF({basis}=1,IF(INDEX({ingredient_limit_facts.to_basis:all},{found_row})="",1,INDEX({ingredient_limit_facts.to_basis:all},{found_row})),1)', "factor", digits=4),
        result("counts", "Counted as",
               'IF({name}="","",IF({found_row}="",IF({on}=1,"ae","ai"),IF({basis}="","",INDEX({ingredient_limit_facts.counts:all},{found_row})&"")))', "text",
               note="ae: acid equivalent, ai: active ingredient, as the limit counts; never added to one another."),
        result("amount", "Amount in the application", _on_basis("{trip_acid}", "{trip_active}"), "mass_per_area",
               note="Summed over every product that lands in one trip, per area of sprayed ground."),
        result("field_average", "Field average",
               'IF(OR({amount}="",{pass_volumes.share}=""),"",IF({on}=2,SUMIF({active_no:block},{active_no},{active:block}),SUMIF({active_no:block},{active_no},{acid:block})/{shown_ratio})*{pass_volumes.share})',
               "mass_per_area"),
        working("pass_base", "Max per application on that basis", strictest_of("ingredient_limit_facts", "pass_limit"), "mass_per_area"),
        result("pass_limit", "Max per application", _limit("pass_base"), "mass_per_area"),
        working("unsure", "Crop nearly named", 'IF({near_row}="",0,IF(INDEX({ingredient_limit_facts.any_no:all},{near_row})>0,1,2))', "count",
                note="1: beside a row of any crop, 2: alone."),
        check("pass_status", "Pass status", _over("{amount}", "{pass_limit}", _NEARLY)),
        check("pass_finding", "Pass finding", _ingredient_text("pass_status", "limit per pass", "amount", "pass_limit"), "long_text"),
        working("ground_key", "Field and ingredient", 'IF(OR({active_no}="",{pass_volumes.field_row}=""),"",{pass_volumes.field_row}*10000+{active_no})'),
        working("season_key", "Field, crop and ingredient", 'IF({ground_key}="","",{ground_key}*10+{pass_crops.crop_no})'),
        working("season_first", "First row of it", 'IF({season_key}="","",MATCH({season_key},{season_key:all},0))'),
        working("acid_at_first", "Season's acid equivalent at first row", _at_first("acid", "lacks_acid"), "mass_per_area"),
        working("active_at_first", "Season's active ingredient at first row", _at_first("active", "lacks_active"), "mass_per_area"),
        working("season_acid", "Season's acid equivalent", 'IF({season_first}="","",INDEX({acid_at_first:all},{season_first}))', "mass_per_area"),
        working("season_active", "Season's active ingredient", 'IF({season_first}="","",INDEX({active_at_first:all},{season_first}))', "mass_per_area"),
        result("season_amount", "Amount in the season", _on_basis("{season_acid}", "{season_active}"), "mass_per_area",
               note="Full rate of the sprayed ground in every pass."),
        working("season_base", "Max per season on that basis", strictest_of("ingredient_limit_facts", "season_limit"), "mass_per_area"),
        result("season_limit", "Max per season", _limit("season_base"), "mass_per_area"),
        working("lacking_key", "Field, crop and ingredient not known", 'IF(IF({on}=2,{lacks_active},{lacks_acid})=1,{season_key},"")'),
        working("lacking", "Product that lacks it", 'IF(OR({amount}="",{season_amount}=""),IF({season_key}="","",IFERROR(INDEX({product:all},MATCH({season_key},{lacking_key:all},0)),"")),"")', "name"),
        check("season_status", "Season status", _over("{season_amount}", "{season_limit}", _NEARLY)),
        check("season_finding", "Season finding", _ingredient_text("season_status", "limit per season", "season_amount", "season_limit"), "long_text"),
        working("order", "Time order", 'IF(OR({ground_key}="",{pass_times.last_day}=""),"",{pass_times.last_day}+IF({applications.trip}="",0,{applications.trip}/1000000))', "factor"),
        working("previous", "Previous application of it", _BEFORE, "factor"),
        working("group_key", "Field and group", 'IF(OR({group}="",{pass_volumes.field_row}=""),"",{pass_volumes.field_row}*100+{group})'),
        working("use_key", "Use of the group", 'IF({group_key}="","",IF({opens_group}=1,{group_key},""))'),
        working("use_no", "Nth use on the field", 'IF({use_key}="","",COUNTIF({use_key:upto},{use_key}))', "count"),
        working("use_id", "Use key", 'IF({use_key}="","",{use_key}*100+{use_no})'),
        working("mode_row", "Rotation row",
                'IF({group_key}="","",IFERROR(({pass_volumes.field_row}-1)*{room.groups}+MATCH({group},{farm_groups.mode_group:all},0),""))'),
        check("mode_status", "Rotation status", 'IF({mode_row}="","",INDEX({mode_rotation.status:all},{mode_row}))'),
        check("mode_finding", "Rotation finding", 'IF({mode_row}="","",INDEX({mode_rotation.finding:all},{mode_row}))', "long_text"),
    ),
    rows="under:passes:ingredients",
    kind="result",
    caution="The label is the law: these checks only compare what was typed in.",
)

LIMIT_TABLES = (APPLICATIONS, PRODUCT_LIMITS, PASS_INGREDIENTS)
