"""What the JSON tells of it: the rows of each log with what follows from them."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.quantities import quantity
from workbook_builder.core.views import PlainRow, Planned, View, plain, table_view

#: Keys in the JSON, each with the table it comes from; a column of the typed table where none is named.
_PASSES = (
    "pass field machine day field_area_drawn area_driven area_overlap area_unknown volume_logged "
    "sprayed_logged log_kind rows_read rows_used drift "
    "map_checks.sprayed_area map_checks.rests_on map_checks.share map_checks.share_low map_checks.share_high "
    "map_checks.planned_share map_checks.not_driven "
    "map_checks.volume map_checks.planned_volume map_checks.more_volume map_checks.more_cost "
    "map_checks.not_driven_cost map_checks.twice_cost clumping dead_sections map_checks.status "
    "map_checks.finding"
)
_SPOTS = (
    "pass field log_kind rank area sprayed_area background_share hot_spot_facts.extra_sprayed "
    "hot_spot_facts.cost hot_spot_facts.share_of_extra lat lon map_row map_column to_edge "
    "length_over_width bearing_to_runs hot_spot_facts.lies z stands_out seen_before overlay overlay_cover "
    "hot_spot_facts.scout_on hot_spot_facts.going_in cause looked_on found"
)
_OVERLAYS = ("pass field log_kind layer share_inside share_outside area_inside r effective_n p p_adjusted "
             "overlay_says.says")


def joined(name: str, about: str, keys: str) -> View:
    """Declare a view of a typed table together with columns of tables beside it.

    Parameters
    ----------
    name, about : str
        Key of the table, and a sentence on what the view holds.
    keys : str
        Columns, ``table.column`` for those of a table beside it.
    """
    places = [(table or name, key) for table, _, key in (each.rpartition(".") for each in keys.split())]

    def rows(plan: Planned) -> list[PlainRow]:
        columns: list[tuple[str, Any, str]] = [
            (key, plan.tables[table], quantity(plan.declared[table].by_key[key].quantity).form)
            for table, key in places
        ]
        return [{key: plain(cells[at][key], form) for key, cells, form in columns}
                for at, row in enumerate(plan.tables[name]) if row["field"] != ""]

    return View(name, about, rows)


VIEWS = (
    joined("map_passes", "What each log says of a pass on a field, against the plan.", _PASSES),
    joined("hot_spots",
           "Hot spots of every log: what they took, where they lie, when to look, and what was found.",
           _SPOTS),
    joined("map_overlays", "Whether overlays go together with spraying.", _OVERLAYS),
    table_view("map_recurrence", "Passes or years of a field beside one another.",
               "field first second jaccard r effective_n p hot_in_both", "field"),
)
