"""Which crop each pass belongs to, and whether it is in the ground on that day."""

from __future__ import annotations

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.short import working
from workbook_builder.features.labels.names import crop_columns

SHEET = "Workings passes"
THIS_CROP, NEXT_CROP, OTHER_CROP = 1, 2, 3


def turn_of(day: float | str, cut: float, next_planted: float) -> int:
    """Return whose turn it is on a field: 1 for this season's crop, 2 for the next one.

    Parameters
    ----------
    day : float or ""
        Day of the pass [day number].
    cut, next_planted : float
        Harvest of this crop and planting of the next one [day number], 0 where not entered.
        On the day of the harvest the crop still stands.
    """
    if day == "":
        return THIS_CROP
    after_harvest, replanted = 0 < cut < float(day), 0 < next_planted <= float(day)
    return NEXT_CROP if after_harvest or replanted else THIS_CROP


def in_the_ground(turn: int, day: float | str, planted: float, next_planted: float) -> bool:
    """Return whether the crop that comes in this turn is planted by that day.

    Parameters
    ----------
    turn : int
    day : float or ""
        Day of the pass [day number].
    planted, next_planted : float
        [day number], 0 where not entered: this season's crop is then taken to be planted, the next one not.
    """
    if day == "":
        return True
    return float(day) >= planted if turn == THIS_CROP else 0 < next_planted <= float(day)


def _field_date(key: str, header: str, typed: str) -> Column:
    """Declare a date of the pass's field, 0 where none is entered."""
    return working(key, header,
                   f'IF({{pass_volumes.field_row}}="",0,SUM({{fields.{typed}@pass_volumes.field_row}}))',
                   "date")


def _same_as(key: str, other: str) -> str:
    """Which crop of the field the pass's crop is by one of its names: this season's, the next, or both,
    where the day tells.
    """
    mine = "{crop_%s}" % key
    this, following = ("{field_crops.%s_%s@pass_volumes.field_row}" % (which, key)
                       for which in ("crop", "next"))
    return (f"IF({mine}={this},IF({mine}={following},{{turn}},{THIS_CROP}),IF({mine}={following},{NEXT_CROP},"
            f"{other}))")


FIELD_CROPS = Table(
    "field_crops",
    "Crop names of fields",
    "One name for both crops of each field, whatever they were typed as.",
    (*crop_columns("{fields.crop}"), *crop_columns("{fields.next_crop}", "next", "Next crop")),
    rows="as:fields",
    kind="working",
    sheet=SHEET,
)


PASS_CROPS = Table(
    "pass_crops",
    "Crop workings",
    "Which crop each pass belongs to: the one typed, or else the one that stands on the day or comes next.",
    (
        _field_date("planted", "Planting date", "planting_date"),
        _field_date("cut", "Harvest date", "harvest_date"),
        _field_date("next_planted", "Next planting date", "next_planting_date"),
        working("turn", "Crop by the day",
                'IF({pass_times.day}="",1,IF(OR(AND({cut}>0,{pass_times.day}>{cut}),AND({next_planted}>0,'
                '{pass_times.day}>={next_planted})),2,1))', "count",
                needs="pass_volumes.field_row", twin=turn_of, takes="pass_times.day cut next_planted",
                note="1: this season's; 2: the next one, from the day after the harvest or from its "
                     "planting."),
        working("standing", "Crop is in the ground",
                'IF({pass_times.day}="",1,IF({turn}=1,IF({pass_times.day}<{planted},0,1),'
                'IF(AND({next_planted}>0,{pass_times.day}>={next_planted}),1,0)))', "count",
                needs="turn", twin=lambda *terms: int(in_the_ground(*terms)),
                takes="turn pass_times.day planted next_planted",
                note="0 before planting; a blank planting date of this season's crop counts as planted."),
        working("typed", "Crop typed", 'IF({passes.crop}="any","",{passes.crop})', "name",
                needs="passes.crop"),
        working("this_crop", "Crop of the season", '{fields.crop@pass_volumes.field_row}&""', "name",
                needs="turn"),
        working("next_crop", "Next crop", '{fields.next_crop@pass_volumes.field_row}&""', "name",
                needs="turn"),
        working("crop", "Crop", 'IF({typed}<>"",{typed},IF({turn}=1,{this_crop},{next_crop}))', "name",
                needs="turn"),
        *crop_columns("{crop}"),
        working("crop_no", "Crop counted as", 'IF({typed}="",{turn},%s)'
                % _same_as("name", _same_as("family", str(OTHER_CROP))), "count", needs="turn",
                note="Amounts of a season add up within one crop of the field: 1 this season's, 2 the next, "
                     "3 any other."),
    ),
    rows="as:passes",
    kind="working",
    sheet=SHEET,
)
