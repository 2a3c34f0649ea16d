"""The seasons beside each other: share sprayed of each field, and what all spot passes of a season come to.
"""

from __future__ import annotations

from operator import sub

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import or_blank, result, row_number, slot_number, working
from workbook_builder.features.shares.columns import SHEET
from workbook_builder.features.spot_seasons import definitions as seasons

#: Earlier seasons shown, by how long ago: key and title.
AGO = {1: ("last", "Last season"), 2: ("two_ago", "2 seasons ago"), 3: ("three_ago", "3 seasons ago")}

SEASON_FACTS = Table(
    "season_facts",
    "Spot history by field",
    "Which field and season each row of the spot history speaks of.",
    (
        working("field_row", "Field row", 'IFERROR(MATCH({spot_history.field},{fields.field:all},0),"")',
                needs="spot_history.field"),
        working("ago", "Seasons ago", "{farm.season}-{spot_history.season}", "count",
                needs="farm.season spot_history.season", twin=sub, takes="farm.season spot_history.season"),
        working("share", "Share", or_blank("spot_history.share"), "share"),
    ),
    rows="as:spot_history",
    kind="working",
    sheet=SHEET,
)


def _share_of(key: str, header: str, share: str, *matches: str) -> Column:
    """Declare the mean share of the rows that fit, told a column and what it must hold, one after the other.
    """
    pairs = ",".join(f"{{{column}:all}},{wanted if wanted.isdigit() else '{%s}' % wanted}"
                     for column, wanted in zip(matches[::2], matches[1::2], strict=True))
    return result(key, header,
                  f'IF(COUNTIFS({{{share}:all}},">=0",{pairs})=0,"",SUMIFS({{{share}:all}},'
                  f'{pairs})/COUNTIFS({{{share}:all}},">=0",{pairs}))', "share",
                  twin=lambda values, *cells: seasons.mean_of(values, *cells,
                                                              *(float(wanted) for wanted in matches
                                                                if wanted.isdigit())),
                  takes=" ".join([f"{share}:all",
                                  *(f"{cell}:all" if at % 2 == 0 else cell for at, cell in enumerate(matches)
                                    if not cell.isdigit())]))


SEASON_FIELDS = Table(
    "season_fields",
    "Seasons by field",
    "Mean share sprayed by the spot passes of each field, season by season; this season as the plan has it.",
    (
        row_number(),
        result("field", "Field", or_blank("fields.field"), "name"),
        _share_of("this_season", "This season", "pass_volumes.share", "spot_uses.field_row", "row_no"),
        *(_share_of(key, header, "season_facts.share", "season_facts.field_row", "row_no", "season_facts.ago",
                    str(ago)) for ago, (key, header) in AGO.items()),
        result("more", "More than last season", "{this_season}-{last}", "share", needs="this_season last",
               twin=sub, takes="this_season last"),
    ),
    rows="as:fields",
    kind="result",
)


def _total(key: str, header: str, quantity: str, this: str, column: str) -> Column:
    """Declare what all spot passes of a season come to: this one by its logs and records,
    earlier ones by the history.
    """
    return result(key, header,
                  (f"SUM({{{this}:all}})",
                   *(f"SUMIFS({{spot_history.{column}:all}},{{season_facts.ago:all}},{ago})" for ago in AGO)),
                  quantity)


SEASON_TOTALS = Table(
    "season_totals",
    "Seasons in all",
    "All spot passes of each season together: this season as far as it is logged or recorded.",
    (
        slot_number(),
        result("season", "Season", ('"This season, so far"', *(f'"{header}"' for _, header in AGO.values())),
               "text", width=20),
        result("passes", "Spot passes",
               ("COUNT({spot_actual.volume:all})",
                *(f"COUNTIFS({{season_facts.ago:all}},{ago})" for ago in AGO)), "count"),
        _total("area_driven", "Area driven", "area", "spot_actual.area_driven", "area_driven"),
        _total("area_sprayed", "Area sprayed", "area", "spot_actual.area_sprayed", "area_sprayed"),
        result("share", "Share sprayed", 'IF({area_driven}=0,"",{area_sprayed}/{area_driven})', "share",
               twin=seasons.ratio, takes="area_sprayed area_driven"),
        _total("volume", "Volume sprayed", "volume", "spot_actual.volume", "volume"),
        _total("product_cost", "Products", "money", "spot_actual.product_cost", "product_cost"),
        _total("saved", "Saved against broadcast, fee paid", "money", "spot_actual.saved", "saved"),
    ),
    rows="list:seasons",
    kind="result",
)

TABLES: tuple[Table, ...] = (SEASON_FIELDS, SEASON_TOTALS, SEASON_FACTS)
