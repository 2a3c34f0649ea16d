"""Experience, scouting and loads of every spot pass joined into one beta estimate."""

from __future__ import annotations

import math
import statistics
from collections import Counter, defaultdict
from typing import Any

from workbook_builder.core.adding import added
from workbook_builder.core.columns import LOOK, NOT_ENTERED, OK
from workbook_builder.core.draft import Cells, Draft, at, find, first_rows, number
from workbook_builder.core.room import folded
from workbook_builder.core.rounding import number_text, rounded, shown, whole_above
from workbook_builder.features.shares.beta import share_quantile
from workbook_builder.features.shares.columns import NOTHING_KNOWN
from workbook_builder.features.weeds import definitions as weeds

LEAST_SHAPE = 0.05


def is_known(evidence: float, sprayed: float, left: float) -> bool:
    """Return whether the evidence is worth a patch, and holds one of either kind.

    Parameters
    ----------
    evidence : float
        Experience, scouting and loads together [patches].
    sprayed, left : float
        Shapes of the estimate: ground that is sprayed and ground that is left out [patches].
    """
    return rounded(evidence, 9) >= 1 and (rounded(sprayed, 9) >= 1 or rounded(left, 9) >= 1)


def shapes(evidence: float, sprayed: float, left: float) -> tuple[float, float]:
    """Return the shapes of the Beta estimate.

    Where nothing is known any share is as likely as another (1, 1): with both shapes under 1 the curve
    would turn into a U, which takes none and all for likelier than anything between.

    Parameters
    ----------
    evidence, sprayed, left : float
        As for `is_known` [patches].
    """
    if not is_known(evidence, sprayed, left):
        return 1.0, 1.0
    return max(LEAST_SHAPE, sprayed), max(LEAST_SHAPE, left)


def pass_keys(draft: Draft) -> dict[object, int]:
    """Return (pass and field, as the lookup key) -> first pass row."""
    keys = [Cells(key="" if row["pass"] == "" else f"{row['pass']}|{row['field']}") for row in draft["passes"]]
    return first_rows(keys, "key")


def pass_row(keys: dict[object, int], row: Cells) -> int | str:
    """Return the pass row that a typed row speaks of, blank when there is none."""
    return "" if row["pass"] == "" or row["field"] == "" else find(keys, f"{row['pass']}|{row['field']}")


def scouting_facts(draft: Draft) -> list[Cells]:
    """What each frame adds."""
    keys = pass_keys(draft)
    return [_frame(row, pass_row(keys, row)) for row in draft["scouting"]]


def _frame(row: Cells, found: int | str) -> Cells:
    frame = found != "" and number(row["frame_area"]) != 0 and (row["count"] != "" or row["seen"] != "")
    counted = frame and row["count"] != ""
    seen = row["count"] > 0 if counted else frame and folded(row["seen"]) == "yes"
    weeds_in = row["count"] if counted else 0
    wide = frame and row["weed_width"] != ""
    return Cells(
        pass_row=found, frame=int(frame), counted=int(counted), infested=int(seen), number=weeds_in, square=weeds_in**2,
        area=row["frame_area"] if frame else 0, counted_area=row["frame_area"] if counted else 0,
        widths=int(wide), width=row["weed_width"] if wide else 0,
    )


def load_facts(draft: Draft) -> list[Cells]:
    """What each logged load adds."""
    keys, seen = pass_keys(draft), Counter[object]()
    facts = []
    for row in draft["load_log"]:
        found = pass_row(keys, row)
        carrier = number(at(draft["passes"], found, "carrier"))
        used = found != "" and number(row["area_covered"]) > 0 and row["volume_sprayed"] != "" and carrier > 0
        fact = Cells(pass_row=found, used=int(used))
        _load(row, fact, carrier)
        if used:
            seen[found] += 1
            fact.update(nth=seen[found], key=int(found) * 1000 + seen[found])
        facts.append(fact)
    return facts


def _load(row: Cells, fact: Cells, carrier: float) -> None:
    used = fact["used"] == 1
    area, volume = (row["area_covered"], row["volume_sprayed"]) if used else (0, 0)
    mixed = row["volume_mixed"] if row["volume_mixed"] != "" else volume
    share = volume / (area * carrier) if used else 0
    sprayed = area * share
    fact.update(
        area=area, volume=volume, mixed=mixed if used else 0, share=share, area_square=area**2, sprayed_square=sprayed**2,
        area_product=area * sprayed, share_square=share**2,
    )


def grouped(draft: Draft, table: str) -> dict[object, list[Cells]]:
    """Return the rows of a facts table by the pass row they speak of."""
    found: dict[object, list[Cells]] = defaultdict(list)
    for row in draft[table]:
        if row["pass_row"] != "":
            found[row["pass_row"]].append(row)
    return found


def scout_shares(draft: Draft) -> list[Cells]:
    """What the frames say of every spot pass."""
    frames = grouped(draft, "scouting_facts")
    rows = []
    for row_no, (typed, use) in enumerate(zip(draft["passes"], draft["spot_uses"], strict=True), 1):
        out = Cells(row_no=row_no)
        if use["on"]:
            own = [frame for frame in frames[row_no] if frame["frame"]] if row_no in frames else []
            out["pass"], out["field"], out["frames"] = typed["pass"], typed["field"], len(own)
            if own:
                _scouted(draft, out, own, use)
        rows.append(out)
    return rows


def _scouted(draft: Draft, out: Cells, own: list[Cells], use: Cells) -> None:
    assumed, figures = draft.form("spot_assumptions"), draft.form("spot_figures")
    out["counted"] = added(frame["counted"] for frame in own)
    out["infested_share"] = added(frame["infested"] for frame in own) / len(own)
    out["capped"] = min(out["infested_share"], 1 - 0.5 / len(own))
    out["frame_area"] = added(frame["area"] for frame in own) / len(own)
    out["weight"] = len(own) / figures["frames_effect"]
    k = _density(out, own, assumed["clump_k"])
    _carry(draft, out, own, use["term_row"], k)
    _error(out, k, figures["frames_effect"], assumed)
    out["finding"] = scouting_note(out, assumed)
    out["status"] = LOOK if out["finding"] else OK


def _density(out: Cells, own: list[Cells], clump_k: float) -> float | None:
    """Work out the density from counts, or else from present and absent; return k."""
    counts = [frame["number"] for frame in own if frame["counted"]]
    if len(counts) < 2:
        out["k"] = clump_k
        out["density"] = weeds.mean_from_share(out["capped"], clump_k) / out["frame_area"]
        return clump_k
    found = weeds.moments(counts)
    out.update(weeds=added(counts), mean_count=found.mean, variance=found.variance, k="" if found.k is None else found.k)
    out["density"] = out["weeds"] / added(frame["counted_area"] for frame in own)
    return found.k


def _carry(draft: Draft, out: Cells, own: list[Cells], term_row: object, k: float | None) -> None:
    widths = [frame["width"] for frame in own if frame["widths"]]
    out["widths"] = len(widths)
    out["weed_width"] = statistics.fmean(widths) / draft.form("spot_factors")["spacing_per_length"] if widths else 0
    for key, source in (("wide", "footprint_width"), ("long", "footprint_length"), ("lead", "lead_and_lag_length")):
        out[key] = at(draft["spot_terms"], term_row, source)
    if out["wide"] != "" and out["long"] != "":
        # A footprint of no area says nothing, like one that was not entered.
        out["footprint"] = weeds.footprint_area(out["wide"], out["long"], number(out["lead"]), out["weed_width"]) or ""
    if out["footprint"] != "":
        out["frame_ratio"] = out["frame_area"] / out["footprint"]
    cell = out["cell"] = out["footprint"] if out["footprint"] != "" else out["frame_area"]
    out["load_per_k"] = out["density"] * cell / (1 if k is None else k)
    out["scouting_share"] = weeds.sprayed_share(out["density"], cell, k)
    out["share_slope"] = weeds.share_slope(out["density"], cell, k)


def _error(out: Cells, k: float | None, effect: float, assumed: Cells) -> None:
    cv = assumed["wanted_error"]
    if out["weeds"] == "":
        missing = 1 - out["capped"]
        clump = assumed["clump_k"]
        spread = math.sqrt(out["capped"] * missing * effect / out["frames"])
        out["density_error"] = spread * missing ** (-1 / clump - 1) / out["frame_area"]
        wanted = missing / out["capped"] / cv**2 if out["capped"] else None
    else:
        out["density_error"] = math.sqrt(out["variance"] * effect / out["counted"]) / out["frame_area"]
        wanted = weeds.frames_for_count(out["mean_count"], k, cv) if out["mean_count"] else None
    out["standard_error"] = out["share_slope"] * out["density_error"]
    if wanted is not None:
        out["frames_wanted"] = whole_above(wanted)


def scouting_note(out: Cells, assumed: Cells) -> str:
    """Say what makes the scouted share doubtful, blank when nothing does."""
    parts = []
    if out["weeds"] != "" and out["k"] != "" and out["k"] < assumed["least_k"]:
        parts.append(f"k of {number_text(shown(out['k'], 2))} is too small to trust; ")
    far, ratio = assumed["farthest_frame"], out["frame_ratio"]
    if ratio == "":
        parts.append("footprint not entered: share taken at frame size; ")
    elif ratio > far or ratio * far < 1:
        parts.append(f"frame is {number_text(shown(ratio, 2))} times the footprint: k may not carry over; ")
    if out["frames_wanted"] != "" and out["frames"] < out["frames_wanted"]:
        parts.append(f"{number_text(out['frames_wanted'])} frames wanted; ")
    return "".join(parts)


def share_estimates(draft: Draft) -> list[Cells]:
    """The estimate of every spot pass."""
    loads, classes = grouped(draft, "load_facts"), first_rows(draft["pressure_classes"], "pressure_class")
    fields = first_rows(draft["fields"], "field")
    rows = []
    for typed, scouted in zip(draft["passes"], draft["scout_shares"], strict=True):
        out = Cells(row_no=scouted["row_no"], field=scouted["field"])
        out["pass"] = scouted["pass"]
        if out["pass"] != "":
            own = [load for load in loads.get(out["row_no"], []) if load["used"]]
            _experience(draft, out, typed, classes)
            _loads(draft, out, own, typed["carrier"])
            _join(out, scouted)
            _rest(out, at(draft["fields"], find(fields, typed["field"]), "area"), typed["carrier"])
            out["evidence"] = int(out["basis"] == "class" or scouted["frames"] > 0 or bool(own))
            _status(out, at(draft["fields"], find(fields, typed["field"]), "area"), typed["carrier"])
        rows.append(out)
    return rows


def _experience(draft: Draft, out: Cells, typed: Cells, classes: dict[object, int]) -> None:
    row = out["class_row"] = find(classes, typed["pressure_class"])
    out["class_share"] = at(draft["pressure_classes"], row, "expected_share")
    if row != "":
        out["class_weight"] = number(at(draft["pressure_classes"], row, "evidence_area")) / draft.form("spot_figures")["patch_size"]
    if out["class_share"] != "" and number(out["class_weight"]) > 0:
        out["basis"], out["expected_share"], out["prior_weight"] = "class", out["class_share"], out["class_weight"]
    elif typed["sprayed_share"] != "":
        weight = draft.form("spot_assumptions")["typed_patches"]
        out["basis"], out["expected_share"], out["prior_weight"] = "typed share", typed["sprayed_share"], weight
    else:
        out["basis"], out["expected_share"], out["prior_weight"] = "none", 0.5, 2


def _loads(draft: Draft, out: Cells, own: list[Cells], carrier: float) -> None:
    area, volume = added(load["area"] for load in own), added(load["volume"] for load in own)
    out.update(loads_logged=len(own), area_covered=area, volume_sprayed=volume, volume_mixed=added(load["mixed"] for load in own))
    out["log_weight"] = area / draft.form("spot_figures")["patch_size"]
    if area:
        out["logged_share"] = volume / (area * carrier)
    if len(own) > 1:
        sprayed, covered = [load["area"] * load["share"] for load in own], [load["area"] for load in own]
        out["logged_error"] = weeds.ratio_error(sprayed, covered)
        out["log_residual"] = (out["logged_error"] * area) ** 2 * (len(own) - 1) / len(own)
        out["load_spread"] = statistics.stdev(load["share"] for load in own)


def _join(out: Cells, scouted: Cells) -> None:
    """Add the three kinds of evidence: patches sprayed and patches left out."""
    out["scouting_share"], out["scouting_weight"] = scouted["scouting_share"], scouted["weight"]
    evidence = [(out["prior_weight"], out["expected_share"])]
    if scouted["weight"] != "":
        evidence.append((scouted["weight"], scouted["scouting_share"]))
    if out["logged_share"] != "":
        evidence.append((out["log_weight"], min(1, out["logged_share"])))
    sprayed = out["patches_sprayed"] = added(weight * share for weight, share in evidence)
    left = out["patches_left"] = added(weight * (1 - share) for weight, share in evidence)
    out["experience"] = 0 if out["basis"] == "none" else out["prior_weight"]
    patches = out["evidence_patches"] = out["experience"] + number(scouted["weight"]) + out["log_weight"]
    out["known"] = int(is_known(patches, sprayed, left))
    out["a"], out["b"] = shapes(patches, sprayed, left)
    out["share_mean"] = out["a"] / (out["a"] + out["b"])
    for key, chance in (("p50", 0.5), ("p80", 0.8), ("p95", 0.95)):
        out[f"share_{key}"] = share_quantile(chance, out["a"], out["b"])


def _rest(out: Cells, area: Any, carrier: Any) -> None:
    if area == "":
        return
    rest = out["remaining_area"] = max(0, area - out["area_covered"])
    if carrier != "":
        for key in ("mean", "p50", "p80", "p95"):
            out[f"volume_{key}"] = out[f"share_{key}"] * rest * carrier
    if area:
        done = min(1, number(out["logged_share"])) * out["area_covered"]
        out["field_share"] = min(1, (done + out["share_mean"] * rest) / area)


def _status(out: Cells, area: Any, carrier: Any) -> None:
    if out["remaining_area"] == "" or number(carrier) == 0:
        out["status"], out["finding"] = NOT_ENTERED, "Field, area or carrier is missing"
        return
    if number(out["logged_share"]) > 1:
        out["finding"] = "More was sprayed than the area logged can take: check the load log"
    elif not out["evidence"] and out["basis"] != "typed share":
        out["finding"] = "No pressure class, share, scouting or load to go by"
    elif not out["known"]:
        out["finding"] = NOTHING_KNOWN
    elif out["area_covered"] > area:
        out["finding"] = "More area logged than the field has"
    out["status"] = LOOK if out["finding"] else OK
