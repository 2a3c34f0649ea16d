"""Every problem code with one sentence on what it means; the documentation prints this list."""

from __future__ import annotations

#: Problems of the file or folder as a whole.
SOURCE_CODES = {
    "missing-source": "The file or folder does not exist.",
    "unreadable-file": "The file exists but could not be opened or decoded.",
    "newer-format": "The workbook was written by a newer release.",
    "own-formula": "A formula in a column of the user's own cannot be carried along as a formula.",
    "odd-parts": "Another program saved the workbook in a way that had to be put right before it could be "
                 "read.",
    "locked-file": "The file is locked with a password, or is a workbook of the old binary kind.",
    "not-a-workbook": "The file is not a workbook that can be opened, or is damaged.",
    "not-a-source": "The path is neither a folder of CSV files nor a workbook.",
    "file-too-large": "The file, or what it unpacks to, is larger than any input needs to be.",
    "suspicious-file": "The file is packed or written in a way that honest workbooks are not, so it is left "
                       "unopened.",
    "doubtful-encoding": "A CSV file is not in UTF-8, so that its letters are guessed.",
    "broken-csv": "A CSV file has a quote that never closes or a line that cannot be split.",
    "missing-table": "A table that every plan needs is not there.",
    "duplicate-table": "Two sheets or files hold the same table.",
    "unknown-sheet": "A sheet or file is no known table; an error where its header row is that of a table "
                     "which is not there.",
    "empty-table": "A table that every plan needs has no rows.",
}

#: Problems of a table's header or shape.
SHAPE_CODES = {
    "missing-header": "No row of the table looks like its header row.",
    "missing-column": "A column that must be filled in is not there.",
    "duplicate-column": "Two columns, or two lines of a form, have the same header.",
    "unknown-column": "A column is not known, and is carried along unread.",
    "no-header": "Cells stand in a column that has no header.",
    "unit-converted": "The unit in a header is another one than the column's, and every number is converted.",
    "unit-mismatch": "The unit in a header measures something else than the column does.",
    "unknown-unit": "What stands in brackets in a header is no unit that is known.",
    "currency-assumed": "Headers still count in the sign that a book starts with, and the farm in its own.",
    "too-many-cells": "A line of a CSV file has more cells than its header, so values may have slipped.",
    "too-many-rows": "A table has more rows than are read.",
    "too-many-columns": "A sheet has cells further right than is read.",
}

#: Problems of one cell.
CELL_CODES = {
    "required-blank": "A cell that must be filled in is blank.",
    "several-fields": "A pass is typed for several fields in one row, and each of them gets a row of "
                      "its own.",
    "not-a-number": "A number was expected.",
    "ambiguous-number": "A number may be read in two ways: decimal sign or thousands separator.",
    "not-finite": "A number is too large to be held, or what is stored as a number is none, such as NaN or "
                  "infinity.",
    "not-whole": "A whole number was expected.",
    "share-over-one": "A share is larger than 1, which is 100 %.",
    "below-minimum": "A number is smaller than the column allows.",
    "above-maximum": "A number is larger than the column allows.",
    "percent-shown": "The cell shows its number as a percentage, and stores a hundredth of it.",
    "currency-mismatch": "Money carries another currency sign than the farm's.",
    "not-a-date": "A date was expected.",
    "date-too-early": "A date lies before March 1900, where spreadsheets disagree about the calendar.",
    "date-too-late": "A date lies further ahead than anybody plans.",
    "date-with-time": "A date carries a time of day, which is dropped.",
    "not-a-time": "A time of day was expected.",
    "not-text": "Text was expected, but the cell holds a date, or true or false.",
    "control-character": "Text holds a hidden character that no cell may hold or no eye can see.",
    "garbled-text": "Text was saved in one encoding and opened in another, or lost letters on its way.",
    "too-long": "Text is longer than the cell or a lookup allows.",
    "wildcard-in-name": "A name holds a character that lookups read as a wildcard or a separator.",
    "looks-like-formula": "Text begins like a formula; it is kept as text.",
    "excel-error": "The cell holds an error value.",
    "boolean": "The cell holds true or false where a number or a date belongs.",
    "formula-in-input": "An input cell holds a formula; its last result is used.",
    "formula-without-value": "An input cell holds a formula whose result was never stored.",
    "not-a-choice": "The text is not one of the words the column allows.",
}

#: Problems that only show when tables are seen together.
CROSS_CODES = {
    "unknown-name": "A name is not in the table it refers to.",
    "duplicate-key": "Two rows of a table describe the same thing.",
    "wrong-unit-system": "A rate unit belongs to the other system of units.",
    "unknown-rate-unit": "The text is not a rate unit.",
    "needs-density": "A weight meets a volume, and the product's density is not entered.",
    "ounces-of-liquid": "A rate or limit of a liquid is in oz, which counts weight; fl oz counts volume.",
    "missing-rate-unit": "A limit has no unit.",
    "limit-per-area": "A limit for the season, or a rate by soil, is not given per area.",
    "shared-registration": "Two products bear one registration number, so they count as one.",
    "active-not-listed": "An active ingredient is not in the list, though its name is near one that is.",
    "unknown-group": "The number or code is not a group of its list, new or old.",
    "limit-of-active": "A label limit of a product is told in a unit that counts its active ingredient.",
    "group-blank": "The group of an insecticide or fungicide is blank, though the list knows it.",
    "group-otherwise": "The list knows the active ingredient under another group.",
    "unreadable-groups": "The groups a weed is resistant to are not a list of numbers, so none of them would "
                         "count.",
    "content-too-high": "An ingredient weighs more than the product that holds it.",
    "rate-too-high": "A rate is more than the whole spray volume.",
    "zero-rate": "A product stands in a mix with a rate of nothing.",
    "mix-exceeds-carrier": "The products of a mix take more room than the carrier rate.",
    "unusable-exceeds-tank": "The unusable volume is as large as the tank.",
    "range-turned": "The low share or figure of a range is above the likely or the high one.",
    "no-sprayed-share": "A spot pass has no share of field sprayed, so its volume is not known.",
    "own-partner": "A pass is named as its own partner.",
    "share-ignored": "A broadcast pass has a share of field sprayed, which is not used.",
    "crop-not-on-field": "The crop typed for a pass is neither this season's nor the next one of its field.",
    "crop-not-grown": "A crop in a label table is spelled nearly like one that a field grows, and is taken "
                      "for another.",
    "dates-out-of-order": "Dates of a field, of a bloom or of a record do not follow one another.",
    "pass-after-next-planting": "A pass is planned after the field's next crop is planted.",
    "outside-season": "A date lies far from the farm's season.",
    "group-by-active": "A past use stands under an old group number that says no group of today.",
    "past-use-not-past": "A row of past use belongs to this season or a later one.",
    "end-before-start": "A logged application ends before it starts.",
    "time-not-on-clock": "A clock time does not exist on its day, because the clock is put forward over it.",
    "no-such-pass": "A record, amount or reading names a pass and field that are not planned.",
    "load-too-large": "More was sprayed with a load than its area can take.",
    "log-contradicts": "An area, volume, hour or amount of the log contradicts the field, the mix or another "
                       "figure of the log.",
    "product-not-in-mix": "An amount used names a product that is not in the mix of its pass.",
    "unknown-time-zone": "The time zone is not one the computer knows.",
}

#: Problems of logs of spot passes, boundaries and overlays.
MAP_CODES = {
    "map-file": "A log, boundary or overlay cannot be read as CSV, GeoJSON, GPX, KML or zipped shapefile.",
    "map-shape": "A boundary has no name of a field, or encloses nothing.",
    "map-projected": "Coordinates are not latitude and longitude in WGS84.",
    "map-headers": "The columns of a log are not known by its headers.",
    "log-kind": "A log says only where something was on, or nothing about spraying, so no share is made "
                "of it.",
    "log-values": "Values of a log are counted in another way than their header says, or cannot be.",
    "log-width": "Rows of a log have no width.",
    "log-zone": "Times of a log have no offset from UTC, or are none.",
    "log-order": "Time runs backwards in a log, and its rows are sorted.",
    "log-rows": "Rows of a log are not used: without position, standing twice, jumping, parked.",
    "log-gaps": "A log has gaps, across which nothing is drawn.",
    "log-machines": "Two machines are mixed in a log.",
    "log-swapped": "Latitude and longitude of a log stood in each other's columns.",
    "log-outside": "Rows of a log lie outside every field.",
    "log-split": "A log covers several fields and is split by their boundaries.",
    "map-spot-gone": "A note was typed at a hot spot where a new map finds none; its row is kept.",
    "log-antenna": "Nobody says how far the boom is behind the antenna of a log.",
    "log-pass": "Neither log nor day tell which pass of the plan a log is of.",
}

PROBLEM_CODES: dict[str, str] = {**SOURCE_CODES, **SHAPE_CODES, **CELL_CODES, **CROSS_CODES, **MAP_CODES}
