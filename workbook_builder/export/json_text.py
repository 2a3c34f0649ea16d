"""A plan as JSON text: the named views, then every other table, then the problems."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from workbook_builder.core.quantities import quantity
from workbook_builder.core.units import tidy
from workbook_builder.core.views import plain
from workbook_builder.features import TABLES, VIEWS

if TYPE_CHECKING:
    from workbook_builder.check.problems import Problem
    from workbook_builder.planning import Plan


#: Number of the form of the JSON, and what each form changed; tables and columns keep their names where their
#: meaning stays.
FORMATS: Mapping[int, tuple[str, ...]] = {
    2: (
        "`intervals.reentry_at` is the moment the field opens as of that pass, in elapsed hours: "
        "the latest end of all intervals on the field that run into one another. "
        "`intervals.because_of_pass` names the pass that sets it; it is null while an interval is not "
        "entered.",
        "`intervals.earliest_harvest`, `earliest_grazing` and `rain_free_until` are null while an interval "
        "they need is not entered.",
        "`limit_checks.status` may also be `Review`: a label rate of a liquid in oz, or an ingredient limit "
        "of a crop nearly named beside one of any crop.",
        "`intervals.posting` may also be `Word of mouth` or `Signs and word of mouth`.",
        "`field_intervals` is new: `field`, `back_in_from`, `because_of_pass`, `earliest_harvest`, "
        "`harvest_because_of_pass`, `status`.",
        "`pass_volumes.crop` and all that reads it is the crop that stands on the day of the pass or comes "
        "next, or the one typed.",
        "`pass_times.hours` and `work_rates.hours` are the same hours, with filling and hauling where they "
        "are typed.",
        "`cost_passes` and `cost_farm` hold everything: `fee` is new and part of `total_cost`, "
        "`application_cost` holds owning and own time too, "
        "and one trip is paid once. `cost_farm.cost_per_field_area` is the cost per area; `cost_per_area` "
        "stays as another name of it. "
        "New beside it: `holds`, `assumed`, `left_out`.",
        "`full_costs.hours` are the hours paid for the pass, none for a spot pass in the trip of its "
        "partner; `sprayer_costs` counts a trip once and the "
        "cost per area as own cost.",
        "`to_fix` is new: `cause`, `count`, `example`, `status`, `finding`, `where`. `open_points` holds "
        "checks of the farm as a whole too, whose `pass` and "
        "`field` are null. `first_points` is gone; `point_choice`, `points_found`, `farm_checks` and "
        "`causes` are new.",
        "`order_list` holds `expected`, `missing`, `delivery_days` and `order_by`; `wanted` leaves out what "
        "is logged. `pick_list` does so too.",
        "`share_estimates` has `a` and `b` of 1 where the evidence holds less than one patch of either kind, "
        "and says so.",
        "`crop_on_label` is new: `pass`, `field`, `product`, `crop`, `status`, `finding`. "
        "`label_limits.allowed` may be typed, yes or no.",
        "`limit_checks.amount` is what lands in one trip: lines of one product or registration, and of a "
        "spot pass with its partner, add up; salts, esters "
        "and resolved forms count with their parent. `limit_checks.counts` says ae or ai, into which all "
        "were turned. The basis `passes` counts trips.",
        "`plant_back_checks` holds rows of this season's crop, where it is planted after the pass, and of "
        "`earlier_sprays`, whose `pass` is null; "
        "`planting_date`, `interval` and `interval_unit` are new. `earlier_sprays` is a new table to type, "
        "filled by the next season.",
        "`limit_checks.amount` of a logged pass is the rate that landed by its log, and findings that rest "
        "on it end in `as logged`. `records.finding` names "
        "what in the log contradicts itself or the field, and what is left to spray; the `calendar` leaves "
        "such a pass open.",
        "`pass_weather.status` of a pass that was sprayed is that of its log, and of the reading for what "
        "the log does not say. "
        "`cost_passes`, `full_costs` and the totals of a logged pass are what was done; `cost_farm.left_out` "
        "names what is left to spray.",
        "`map_passes`, `hot_spots`, `map_overlays` and `map_recurrence` are new, as the command `map` writes "
        "them; `follow_up.spots` counts hot spots "
        "to look at, for which `early_look` is a day too. `sprayers.antenna_to_boom` may be typed.",
        "`clean_warnings` is gone: `clean_out` holds the same rows in the order of the clock. "
        "`field_average` of both tables of limits, `pass_times.work_rate` "
        "(see `work_rates.rate`), `full_costs.herbicides` (see `cost_passes`), `share_estimates.load_spread` "
        "and `pass_runs.left_in_load` are gone too.",
    ),
}


def plan_as_json(plan: Plan | None, problems: Sequence[Problem] = ()) -> str:
    """Return the views of a plan, every other table with its filled rows, and the problems.

    Numbers are in the farm's units, dates in ISO form, blank is null.
    """
    content: dict[str, list[dict[str, Any]]] = {}
    if plan:
        content |= {name: view(plan) for name, view in VIEWS.items()}
        for table in TABLES:
            if table.key not in content and table.kind != "reference" and not table.shows:
                # Rows in which anything stands beside numbering.
                forms = {column.key: quantity(column.quantity).form for column in table.columns}
                telling = [column.key for column in table.columns if column.role != "fixed"] or list(forms)
                rows = [row for row in plan.tables[table.key] if any(row[name] != "" for name in telling)]
                content[table.key] = [{name: plain(row[name], form) for name, form in forms.items()}
                                      for row in rows]
    content["problems"] = [plain_problem(problem) for problem in problems]
    return tables_text(content)


def tables_text(content: Mapping[str, list[dict[str, Any]]]) -> str:
    """Return tables of plain values as JSON, a row a line: small enough to send, readable in a comparison."""
    written = []
    for name, rows in content.items():
        # Numbers come without the dust of binary fractions.
        lines = [json.dumps({key: tidy(value) if isinstance(value, float) else value
                             for key, value in row.items()}, ensure_ascii=False, allow_nan=False)
                 for row in rows]
        body = "[\n" + ",\n".join(lines) + "\n]" if lines else "[]"
        written.append(f"{json.dumps(name)}: {body}")
    return "{\n" + ",\n".join(written) + "\n}\n"


def plain_problem(problem: Problem) -> dict[str, Any]:
    """Return a problem with its place, plain enough for JSON."""
    keys = ("severity", "code", "file", "sheet", "row", "column", "message", "fix")
    return {key: getattr(problem, key) or None for key in keys}
