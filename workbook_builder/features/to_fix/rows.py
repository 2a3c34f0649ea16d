"""What to fix, by cause; checks of the farm; and the lines of a chosen pass or field."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from workbook_builder.core.columns import NOT_ENTERED, OK, OPEN_STATUSES
from workbook_builder.core.draft import Cells, Draft, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text
from workbook_builder.features.overview.columns import CHECK_KINDS
from workbook_builder.features.to_fix.columns import FARM_RULES, KINDS, cause_of

ONLY_SPOT = ("pressure_class", "partner_pass")


def _orders(draft: Draft, status: str) -> str:
    state = draft.form("order_totals")["state"]
    lacking = any(row["status"] == NOT_ENTERED for row in draft["order_list"])
    return "" if state.startswith(OK) or lacking != (status == NOT_ENTERED) else str(state)


def _seasons_in_a_row(draft: Draft) -> str:
    limit, back = draft.form("assumptions")["group_seasons"], number(draft.form("farm")["look_back_seasons"])
    if limit <= back + 1:
        return ""
    seen = f"{number_text(back)} season{'' if back == 1 else 's'}"
    return f"A limit of {number_text(limit)} seasons in a row never shows: the plan looks back {seen}"


def _between(form: str, low: str, high: str, said: str) -> Callable[[Draft], str]:
    return lambda draft: said if draft.form(form)[low] >= draft.form(form)[high] else ""


def _labor(draft: Draft) -> str:
    unused = number(draft.form("farm")["labor_rate"]) > 0 and not any(row["in_parts"] for row in draft["sprayer_costs"])
    return "The labor rate is not used: no sprayer is counted in parts, by fuel or by price and years" if unused else ""


def _fuel(draft: Draft, priced: bool, said: str) -> str:
    burnt, price = any(number(row["fuel_per_hour"]) for row in draft["sprayers"]), number(draft.form("farm")["fuel_price"]) > 0
    return said if price == priced and burnt != priced else ""


def _cost_per_hour(draft: Draft) -> str:
    left = any(cost["in_parts"] == 1 and row["cost_per_hour"] != "" for cost, row in zip(draft["sprayer_costs"], draft["sprayers"], strict=True))
    return "The cost per hour of a sprayer is not used: it is counted in parts, by fuel or by price and years" if left else ""


def _broadcast_extras(draft: Draft) -> str:
    found = 0
    for row in draft["passes"]:
        extra = row["sprayed_share"] not in ("", 1) or any(row[key] != "" for key in ONLY_SPOT)
        found += folded(row["method"]) == "broadcast" and extra
    return f"{found} broadcast passes hold a share, pressure class or partner, which only a spot pass uses" if found else ""


def _past_use(draft: Draft) -> str:
    unknown = [row["mode_group"] for row, fact in zip(draft["past_use"], draft["past_facts"], strict=True) if fact["unknown"]]
    return "" if not unknown else f"Past use of old group {number_text(unknown[0])}: type the group of today of its active ingredient"


#: What each rule of the farm says, blank when there is nothing to say; in the order of `FARM_RULES`.
RULES: tuple[Callable[[Draft], str], ...] = (
    lambda draft: _orders(draft, NOT_ENTERED),
    lambda draft: _orders(draft, ""),
    _seasons_in_a_row,
    _between("assumptions", "wind_low", "wind_high", "No wind lies between the two figures: advised wind, from and to"),
    _between("assumptions", "delta_t_low", "delta_t_high", "Nothing lies between the two figures: delta T, from and to"),
    _between("agronomy_settings", "ph_low", "ph_high", "Nothing lies between the two figures: usual water pH, from and to"),
    _labor,
    lambda draft: _fuel(draft, True, "The fuel price is not used: no sprayer has fuel per hour"),
    lambda draft: _fuel(draft, False, "Fuel per hour is typed without a fuel price: fuel is counted as free"),
    _cost_per_hour,
    _broadcast_extras,
    _past_use,
)


def farm_checks(draft: Draft) -> list[Cells]:
    """Settings that cannot act as they are typed, and the orders."""
    found = [(rule, says(draft)) for rule, says in zip(FARM_RULES, RULES, strict=True)]
    return [
        Cells(check=rule.name, where=draft.declared[rule.table].sheet_title, status=rule.status if said else OK, finding=said) for rule, said in found
    ]


def causes(draft: Draft) -> list[Cells]:
    """Every way a check can be open, worst first, with its count and first place."""
    first, counts = _first_of_each(draft)
    rows: list[Cells] = []
    running = 0
    for status in OPEN_STATUSES:
        for no, name in enumerate(KINDS, 1):
            farm = no > len(CHECK_KINDS)
            out = Cells(slot=len(rows) + 1, status=status, cause=cause_of(name, status), count=counts.get((no, status), 0))
            out["where"] = draft["farm_checks"][no - len(CHECK_KINDS) - 1]["where"] if farm else draft["check_list"][no - 1]["where"]
            if out["count"]:
                row = out["first"] = first[no, status]
                source = draft["farm_checks" if farm else "all_checks"][row - 1]
                out["example"] = source["check"] if farm else f"{source['pass']}, {source['field']}"
                out["finding"] = source["finding"]
                running += 1
            out["running"] = running
            rows.append(out)
    return rows


def _first_of_each(draft: Draft) -> tuple[dict[tuple[int, str], int], dict[tuple[int, str], int]]:
    """Return first row and number of rows by check and status."""
    first: dict[tuple[int, str], int] = {}
    counts: dict[tuple[int, str], int] = {}
    for no, status, row in _outcomes(draft):
        first.setdefault((no, status), row)
        counts[no, status] = counts.get((no, status), 0) + 1
    return first, counts


def _outcomes(draft: Draft) -> Iterator[tuple[int, str, int]]:
    for row in draft["all_checks"]:
        yield row["check_no"], row["status"], row["row_no"]
    for no, row in enumerate(draft["farm_checks"], 1):
        yield len(CHECK_KINDS) + no, row["status"], no


def check_list(draft: Draft) -> list[Cells]:
    """How many of each check of the passes came out how."""
    counts = _first_of_each(draft)[1]
    keys = (*zip(("not_allowed", "not_entered", "look"), OPEN_STATUSES, strict=True), ("ok", OK))
    return [Cells(given, **{key: counts.get((given["check_no"], status), 0) for key, status in keys}) for given in draft["check_list"]]


def to_fix(draft: Draft) -> list[Cells]:
    """One line a cause, worst first."""
    rows, keys = [], ("status", "cause", "count", "example", "finding", "where")
    found = [row for row in draft["causes"] if row["count"]]
    for slot in range(1, len(draft["causes"]) + 1):
        out = Cells(slot=slot)
        if slot <= len(found):
            out["row"] = found[slot - 1]["slot"]
            out.update({key: found[slot - 1][key] for key in keys})
        rows.append(out)
    return rows


def chosen(draft: Draft, row: Cells) -> int:
    """Return 1 where a pass row is among those chosen on the sheet of lines; a blank choice takes all."""
    choice = draft.form("point_choice")
    fits = (choice[key] == "" or folded(choice[key]) == folded(row[key]) for key in ("pass", "field"))
    return int(row["pass"] != "" and all(fits))


def open_points(draft: Draft) -> list[Cells]:
    """Open checks of the passes chosen, worst first."""
    found: dict[str, list[int]] = {status: [] for status in OPEN_STATUSES}
    for row in draft["all_checks"]:
        if row["status"] in found and draft["pass_open"][(row["row_no"] - 1) // len(CHECK_KINDS)]["chosen"]:
            found[row["status"]].append(row["row_no"])
    listed = [(severity, place, row) for severity, status in enumerate(OPEN_STATUSES, 1) for place, row in enumerate(found[status], 1)]
    rows = []
    for slot in range(1, draft.slots("open") + 1):
        out = Cells(slot=slot)
        if slot <= len(listed):
            out["severity"], out["place"], out["row"] = listed[slot - 1]
            source = draft["all_checks"][out["row"] - 1]
            out.update({key: source[key] for key in ("status", "pass", "field", "check", "finding")})
            out["where"] = draft["check_list"][source["check_no"] - 1]["where"]
        rows.append(out)
    return rows


TO_FIX_PLANNERS: tuple[tuple[str, Callable[[Draft], list[Cells]]], ...] = (
    ("farm_checks", farm_checks),
    ("causes", causes),
    ("check_list", check_list),
)
