"""Label limits by product and by active ingredient, per pass and per season."""

from __future__ import annotations

from workbook_builder.columns import Table
from workbook_builder.tables.product_workings import NO_GROUP
from workbook_builder.tables.short import check, result, row_number, slot_number, working

_LABEL = 'IF({label_row}="","",IF(INDEX({label_limits.%s:all},{label_row})="","",INDEX({label_limits.%s:all},{label_row})))'


def _label(key: str) -> str:
    return _LABEL % (key, key)


def _over(amount: str, limit: str) -> str:
    """Status of an amount against a limit; rounding keeps 2.4000000001 from breaking 2.4."""
    return (
        'IF({needed}="","",IF(%s="",IF({needed}=1,"Not entered",""),IF(%s="","Not entered",IF(ROUND(%s-%s,6)>0,"Not allowed","OK"))))'
        % (limit, amount, amount, limit)
    )


def _over_text(status: str, what: str, amount: str, limit: str, unit: str) -> str:
    return (
        'IF({%s}="Not allowed",{%s}&": "&ROUND(ROUND(%s,6),3)&" is over the %s of "&ROUND(ROUND(%s,6),3)&" "&%s,'
        'IF({%s}="Not entered",{%s}&": %s not entered",""))'
        % (status, "name", amount, what, limit, unit, status, "name", what)
    )


PRODUCT_LIMITS = Table(
    "product_limits",
    "Product totals",
    "Each product of each pass against its label: rate, season amount, number of passes, days between passes.",
    (
        row_number(),
        result("pass", "Pass", "{mix_lines.pass}", "name"),
        result("field", "Field", "{mix_lines.field}", "name"),
        result("name", "Product", "{mix_lines.product}", "name"),
        result("crop", "Crop", 'IF({name}="","",{pass_volumes.crop})', "name"),
        working("needed", "Label figures needed", 'IF({name}="","",IF({mix_lines.product_row}="",0,INDEX({product_facts.pesticide:all},{mix_lines.product_row})))', "count",
                note="1 for pesticides, whatever their kind; other products are checked only where figures are entered."),
        working("label_row", "Label row",
                'IF(OR({name}="",{crop}=""),"",IFERROR(MATCH({name}&"|"&{crop},{label_facts.key:all},0),IFERROR(MATCH({name}&"|any",{label_facts.key:all},0),"")))'),
        working("own_rate", "Base units as sold per area",
                'IF(OR({mix_lines.rate_base}="",{mix_lines.own_scale}=""),"",{mix_lines.rate_base}*{mix_lines.own_scale})', "factor"),
        working("label_unit", "Base units of one label unit",
                'IF({label_row}="","",IF(INDEX({label_facts.unit_area:all},{label_row})="","",INDEX({label_facts.unit_area:all},{label_row})'
                "+INDEX({label_facts.unit_volume:all},{label_row})*SUM({passes.carrier})))", "factor"),
        result("unit", "Label unit", 'IF({label_row}="","",INDEX({label_limits.rate_unit:all},{label_row})&"")', "unit_label"),
        result("rate", "Rate", 'IF(OR({label_unit}="",{own_rate}=""),"",{own_rate}/{label_unit})', "amount", digits=3),
        result("max_rate", "Max rate", _label("max_rate"), "amount", digits=3),
        check("rate_status", "Rate status", _over("{rate}", "{max_rate}")),
        check("rate_finding", "Rate finding", _over_text("rate_status", "label rate", "{rate}", "{max_rate}", "{unit}"), "long_text"),
        working("ground_key", "Field and product", 'IF(OR({mix_lines.product_row}="",{pass_volumes.field_row}=""),"",{pass_volumes.field_row}*10000+{mix_lines.product_row})'),
        working("season_key", "Field, crop and product", 'IF({ground_key}="","",{ground_key}*10+{pass_crops.crop_no})'),
        working("season_first", "First row of it", 'IF({season_key}="","",MATCH({season_key},{season_key:all},0))'),
        working("season_at_first", "Season total at first row",
                'IF({season_first}={row_no},SUMIF({season_key:all},{season_key},{own_rate:all}),"")', "factor"),
        working("passes_at_first", "Passes at first row", 'IF({season_first}={row_no},COUNTIF({season_key:all},{season_key}),"")', "count"),
        result("season_amount", "Season amount",
               'IF(OR({season_first}="",{label_unit}=""),"",INDEX({season_at_first:all},{season_first})/{label_unit})', "amount", digits=3,
               note="Full rate of the sprayed ground, spot passes too: the same ground may be sprayed each time."),
        result("field_average", "Field average of this pass", 'IF(OR({rate}="",{pass_volumes.share}=""),"",{rate}*{pass_volumes.share})', "amount", digits=3),
        result("max_season", "Max per season", _label("max_rate_season"), "amount", digits=3),
        check("season_status", "Season status", _over("{season_amount}", "{max_season}")),
        check("season_finding", "Season finding",
              _over_text("season_status", "season limit", "{season_amount}", "{max_season}", "{unit}"), "long_text"),
        result("passes", "Passes this season", 'IF({season_first}="","",INDEX({passes_at_first:all},{season_first}))', "count"),
        result("max_passes", "Max applications", _label("max_passes"), "count"),
        working("order", "Time order", 'IF(OR({ground_key}="",{pass_times.last_day}=""),"",{pass_times.last_day}+{row_no}/1000000)', "factor"),
        working("previous", "Previous application", 'IF({order}="",0,IFERROR(_xlfn.MAXIFS({order:all},{ground_key:all},{ground_key},{order:all},"<"&{order}),0))', "factor",
                note="On this ground, whatever the crop."),
        result("days_since", "Days since the last one", 'IF(SUM({previous})=0,"",{pass_times.day}-INT({previous}))', "days", note="From the last day of the pass before."),
        result("retreat_days", "Retreatment interval", _label("retreat_days"), "days"),
        check("repeat_status", "Repeat status",
              'IF({needed}="","",IF(AND({max_passes}<>"",SUM({passes})>SUM({max_passes})),"Not allowed",IF(AND({days_since}<>"",{retreat_days}<>"",SUM({days_since})<SUM({retreat_days})),'
              '"Not allowed",IF(AND({needed}=1,OR({max_passes}="",{retreat_days}="")),"Not entered",IF(AND({max_passes}="",{retreat_days}=""),"","OK")))))'),
        check("repeat_finding", "Repeat finding",
              'IF({repeat_status}="Not allowed",IF(AND({max_passes}<>"",SUM({passes})>SUM({max_passes})),{name}&": "&{passes}&" passes, the label allows "&{max_passes},'
              '{name}&": "&{days_since}&" days after the last one, the label wants "&{retreat_days}),'
              'IF({repeat_status}="Not entered",{name}&": number of passes or retreatment interval not entered",""))', "long_text"),
    ),
    rows="as:mix_lines",
    kind="result",
    caution="The label is the law: these checks only compare what was typed in.",
)

_INGREDIENT = 'IF({name}="","",INDEX({mix_ingredients.%s:all},{item_row}))'
_LIMIT = 'IF({limit_row}="","",INDEX({ingredient_limit_facts.%s:all},{limit_row}))'

PASS_INGREDIENTS = Table(
    "pass_ingredients",
    "Ingredient totals",
    "Active ingredients summed over all products, per pass and per season, against their limits.",
    (
        row_number(),
        slot_number(),
        result("pass", "Pass", 'IF({name}="","",{pass_volumes.pass})', "name"),
        result("field", "Field", 'IF({name}="","",{pass_volumes.field})', "name"),
        working("item_row", "Mix slot row", 'IF({pass_volumes.mix_no}="","",({pass_volumes.mix_no}-1)*{room.ingredients}+{slot})'),
        result("name", "Active ingredient", 'IF({item_row}="","",INDEX({mix_ingredients.active_ingredient:all},{item_row}))', "name"),
        result("group", "Herbicide group", _INGREDIENT % "group", "count"),
        result("group_note", "Note on the group", _INGREDIENT % "group_note", "text", width=30),
        check("group_status", "Group status", f'IF({{name}}="","",IF({{group_note}}="{NO_GROUP}","Not entered",IF(LEFT({{group_note}},8)="The list","Review","OK")))'),
        check("group_finding", "Group finding", 'IF({group_status}="Review",{name}&": typed as group "&{group}&". "&{group_note},IF({group_status}="Not entered",{name}&": herbicide group not entered",""))', "long_text"),
        working("active_no", "Ingredient number", _INGREDIENT % "active_no"),
        working("counts", "Counted as", _INGREDIENT % "counts", "text"),
        working("opens_group", "First with its group", _INGREDIENT % "opens_group"),
        working("mass", "This slot",
                'IF({name}="","",IF(OR(INDEX({mix_ingredients.area_mass:all},{item_row})="",SUM({passes.carrier})=0),"",'
                "INDEX({mix_ingredients.area_mass:all},{item_row})+INDEX({mix_ingredients.volume_mass:all},{item_row})*{passes.carrier}))", "mass_per_area"),
        result("amount", "Amount in the pass", 'IF({mass}="","",SUMIF({active_no:block},{active_no},{mass:block}))', "mass_per_area",
               note="Summed over every product of the mix, per area of sprayed ground."),
        result("field_average", "Field average", 'IF(OR({amount}="",{pass_volumes.share}=""),"",{amount}*{pass_volumes.share})', "mass_per_area"),
        working("needed", "Limit needed", 'IF({name}="","",1)', "count"),
        working("limit_row", "Limit row",
                'IF(OR({name}="",{pass_volumes.crop}=""),"",IFERROR(MATCH({name}&"|"&{pass_volumes.crop},{ingredient_limit_facts.key:all},0),'
                'IFERROR(MATCH({name}&"|any",{ingredient_limit_facts.key:all},0),"")))'),
        working("limit_counts", "Limit counts", _LIMIT % "counts", "text"),
        working("same_basis", "Same basis", 'IF({limit_row}="","",IF(OR({counts}="",{limit_counts}="",{counts}={limit_counts}),1,0))', "count",
                note="0 when the content is in ae and the limit in ai, or the other way round."),
        result("pass_limit", "Max per application", 'IF({same_basis}=1,INDEX({ingredient_limit_facts.pass_limit:all},{limit_row}),"")', "mass_per_area"),
        check("pass_status", "Pass status", _over("{amount}", "{pass_limit}")),
        check("pass_finding", "Pass finding",
              'IF({same_basis}=0,{name}&": content and limit differ in ae and ai, enter both alike",'
              + _over_text("pass_status", "limit per pass", "{amount}", "{pass_limit}", "mass_unit") + ")", "long_text"),
        working("season_key", "Field, crop and ingredient",
                'IF(OR({active_no}="",{pass_volumes.field_row}=""),"",({pass_volumes.field_row}*10000+{active_no})*10+{pass_crops.crop_no})'),
        working("season_first", "First row of it", 'IF({season_key}="","",MATCH({season_key},{season_key:all},0))'),
        working("season_at_first", "Season total at first row", 'IF({season_first}={row_no},SUMIF({season_key:all},{season_key},{mass:all}),"")', "mass_per_area"),
        result("season_amount", "Amount in the season", 'IF({season_first}="","",INDEX({season_at_first:all},{season_first}))', "mass_per_area",
               note="Full rate of the sprayed ground in every pass."),
        result("season_limit", "Max per season", 'IF({same_basis}=1,INDEX({ingredient_limit_facts.season_limit:all},{limit_row}),"")', "mass_per_area"),
        check("season_status", "Season status", _over("{season_amount}", "{season_limit}")),
        check("season_finding", "Season finding",
              'IF({same_basis}=0,{name}&": content and limit differ in ae and ai, enter both alike",'
              + _over_text("season_status", "limit per season", "{season_amount}", "{season_limit}", "mass_unit") + ")", "long_text"),
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

LIMIT_TABLES = (PRODUCT_LIMITS, PASS_INGREDIENTS)
