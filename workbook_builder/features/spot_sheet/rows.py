"""One spot pass on one page, and the points of its two charts."""

from __future__ import annotations

from workbook_builder.core.adding import added
from workbook_builder.core.columns import OK
from workbook_builder.core.draft import Cells, Draft, at, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import shown
from workbook_builder.features.loads.rows import pour_text
from workbook_builder.features.shares.beta import share_quantile
from workbook_builder.features.shares.rows import is_known, shapes
from workbook_builder.features.spot_volumes import definitions as newsvendor

PICKED = ("carrier", "share_mean", "next_fill", "a", "b", "leftover_cost")
SHOWN = (
    "pass", "field", "share_mean", "remaining_area", "in_tank", "chance_enough", "low_volume", "high_volume", "advice", "advised_volume",
    "next_fill", "next_area", "fills_to_come", "expected_total",
)


def _chosen(draft: Draft) -> Cells:
    place = draft.form("spot_pick")["slot_row"]
    return draft["spot_passes"][place - 1] if place != "" else Cells()


def spot_pick(draft: Draft) -> list[Cells]:
    """The chosen spot pass, or the first one."""
    choice, out = draft.form("spot_load_choice"), Cells(slot_row=1)
    if choice["pass"] != "":
        wanted = folded(f"{choice['pass']}|{choice['field']}")
        out["slot_row"] = next((n for n, spot in enumerate(draft["spot_passes"], 1) if folded(spot["key"]) == wanted), "")
    spot = draft["spot_passes"][out["slot_row"] - 1] if out["slot_row"] != "" else Cells()
    out["row"], out["full"] = spot["row"], spot["full_volume"]
    out["liquid_part"] = at(draft["pass_water"], out["row"], "liquid_part")
    for key in PICKED:
        out[key] = spot[key]
    if out["a"] != "":
        out["top"] = share_quantile(0.995, out["a"], out["b"])
    return [out]


def spot_sheet(draft: Draft) -> list[Cells]:
    """Where the chosen spot pass stands and what to put into the tank now."""
    spot, row, out = _chosen(draft), draft.form("spot_pick")["row"], Cells()
    for key in SHOWN:
        out[key] = spot[key]
    for key in ("mix", "sprayer"):
        out[key] = at(draft["passes"], row, key)
    out["setting"] = at(draft["passes"], row, "detection_setting")
    out["limits"] = at(draft["spot_checks"], row, "status")
    for key in ("share_p80", "loads_logged", "area_covered"):
        out[key] = at(draft["share_estimates"], row, key)
    out["found"] = OK if row != "" else "Review: no such spot pass on that field"
    liquid_part = draft.form("spot_pick")["liquid_part"]
    if out["next_fill"] != "" and liquid_part != "":
        out["water"] = out["next_fill"] * (1 - liquid_part)
        out["first_water"] = out["water"] * draft.form("assumptions")["first_fill"]
    return [out]


def spot_options(draft: Draft) -> list[Cells]:
    """The candidates of the chosen spot pass."""
    place, slots = draft.form("spot_pick")["slot_row"], draft.slots("choices")
    rows = []
    for slot in range(1, slots + 1):
        source = draft["volume_choices"][(place - 1) * slots + slot - 1] if place != "" else Cells()
        keys = ("choice", "volume", "chance_short", "expected_leftover", "expected_cost", "advised")
        rows.append(Cells({key: source[key] for key in keys}, slot=slot))
    return rows


def spot_line_facts(draft: Draft) -> list[Cells]:
    """Where the products of the next fill stand."""
    pick, slots = draft.form("spot_pick"), draft.slots("products")
    mix_no = at(draft["pass_volumes"], pick["row"], "mix_no")
    rows = []
    for slot in range(1, slots + 1):
        out = Cells(slot=slot, mix_no=mix_no)
        if mix_no != "" and pick["next_fill"] != "":
            out["order_row"] = (mix_no - 1) * slots + slot
            order = draft["adding_order"][out["order_row"] - 1]
            if order["product"] != "":
                out["item"] = order["item"]
                out["line_row"] = (pick["row"] - 1) * slots + order["item"]
                _amount(draft, out, pick)
        rows.append(out)
    return rows


def _amount(draft: Draft, out: Cells, pick: Cells) -> None:
    line = draft["mix_lines"][out["line_row"] - 1]
    out["poured"], out["phase"] = line["poured"], line["phase"]
    if out["poured"] != "":
        out["base"] = shown(out["poured"] * pick["next_fill"] / pick["carrier"], 1)
        out["pour"] = pour_text(out["base"], out["phase"], draft.form("factors"))


def spot_lines(draft: Draft) -> list[Cells]:
    """Products of the next fill in mixing order."""
    rows = []
    for fact in draft["spot_line_facts"]:
        out = Cells(pour=fact["pour"])
        if fact["line_row"] != "":
            line = draft["mix_lines"][fact["line_row"] - 1]
            out.update(product=line["product"], unit=line["amount_unit"])
            out["done"] = "[  ]" if out["product"] else ""
            if fact["base"] != "":
                out["amount"] = fact["base"] / line["pour_base"]
        rows.append(out)
    return rows


def step_facts(draft: Draft) -> list[Cells]:
    """Evidence added step by step to the estimate of the chosen spot pass."""
    row = draft.form("spot_pick")["row"]
    own = ((place, load) for place, load in enumerate(draft["load_facts"], 1) if load["used"] and load["pass_row"] == row)
    loads: dict[object, tuple[int, Cells]] = {load["nth"]: (place, load) for place, load in own}
    frames = number(at(draft["scout_shares"], row, "frames"))
    rows: list[Cells] = []
    for slot in range(1, draft.slots("steps") + 1):
        out = Cells(slot=slot, area=0, sprayed=0, scouted=0, scouted_share=0, pooled=0)
        found = loads.get(slot - 2) if row != "" and slot > 2 else None
        out["shown"] = int(row != "" and (slot == 1 or (slot == 2 and frames > 0) or found is not None))
        if found:
            _load_step(out, found, rows[-1])
        if out["shown"]:
            _step(draft, out, row, frames)
        _drawn(draft, out, loads, rows[-1] if rows else Cells())
        rows.append(out)
    return rows


def _drawn(draft: Draft, out: Cells, loads: dict[object, tuple[int, Cells]], before: Cells) -> None:
    """Set the points of the chart; steps not reached repeat the last one."""
    out["first_load"] = loads[1][0] if 1 in loads else ""
    if out["shown"]:
        a, b = out["a"], out["b"]
        out.update(chart_step=out["slot"], chart_p10=share_quantile(0.1, a, b), chart_mean=a / (a + b), chart_p90=share_quantile(0.9, a, b))
    else:
        for key in ("chart_step", "chart_p10", "chart_mean", "chart_p90"):
            out[key] = before[key]
    if out["load_row"] != "":
        out["chart_load"], out["chart_logged"] = out["slot"], at(draft["load_facts"], out["load_row"], "share")
    elif out["slot"] > 2:
        out["chart_load"], out["chart_logged"] = before["chart_load"], before["chart_logged"]
    elif out["first_load"] != "":
        out["chart_load"], out["chart_logged"] = 3, at(draft["load_facts"], out["first_load"], "share")
    else:
        out["chart_load"], out["chart_logged"] = out["chart_step"], out["chart_mean"]


def _load_step(out: Cells, found: tuple[int, Cells], before: Cells) -> None:
    out["load_row"], load = found
    out["area"] = before["area"] + load["area"]
    out["sprayed"] = before["sprayed"] + load["area"] * load["share"]
    out["pooled"] = min(1, out["sprayed"] / out["area"])


def _step(draft: Draft, out: Cells, row: int, frames: float) -> None:
    estimate, slot = draft["share_estimates"][row - 1], out["slot"]
    if slot >= 2 and frames > 0:
        scouted = draft["scout_shares"][row - 1]
        out["scouted"], out["scouted_share"] = scouted["weight"], scouted["scouting_share"]
    out["prior"], out["prior_share"] = estimate["prior_weight"], estimate["expected_share"]
    parts = (
        (out["prior"], out["prior_share"]), (out["scouted"], out["scouted_share"]),
        (out["area"] / draft.form("spot_figures")["patch_size"], out["pooled"]),
    )
    out["patches_sprayed"] = added(weight * share for weight, share in parts)
    out["patches_left"] = added(weight * (1 - share) for weight, share in parts)
    evidence = out["evidence_patches"] = added((estimate["experience"], *(weight for weight, _ in parts[1:])))
    out["known"] = int(is_known(evidence, out["patches_sprayed"], out["patches_left"]))
    out["a"], out["b"] = shapes(evidence, out["patches_sprayed"], out["patches_left"])


def estimate_steps(draft: Draft) -> list[Cells]:
    """How the estimate of the chosen spot pass narrows."""
    rows = []
    for fact in draft["step_facts"]:
        out = Cells()
        if fact["shown"]:
            a, b, slot = fact["a"], fact["b"], fact["slot"]
            out["step"] = {1: "experience", 2: "scouting"}.get(slot, f"load {slot - 2}")
            out.update(p10=share_quantile(0.1, a, b), mean=a / (a + b), p90=share_quantile(0.9, a, b))
            out["logged"] = at(draft["load_facts"], fact["load_row"], "share")
        rows.append(out)
    return rows


def cost_curve(draft: Draft) -> list[Cells]:
    """Expected cost of volumes from little to nearly certain to be enough."""
    sheet, refill = draft.form("spot_pick"), draft.form("spot_figures")["refill_cost"]
    points = draft.slots("curve")
    rows = []
    for slot in range(1, points + 1):
        out = Cells(slot=slot)
        if sheet["a"] != "" and number(sheet["full"]) > 0:
            share = out["share"] = sheet["top"] * slot / points
            out["volume"] = share * sheet["full"]
            short = out["chance_short"] = newsvendor.chance_short(share, sheet["a"], sheet["b"])
            left = out["expected_leftover"] = newsvendor.expected_leftover(out["volume"], sheet["full"], sheet["a"], sheet["b"])
            out["expected_cost"] = refill * newsvendor.extra_trips(short) + left * sheet["leftover_cost"]
        rows.append(out)
    return rows
