"""What a build from an earlier workbook kept, what it changed and what it could not place."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from workbook_builder.build import Built
from workbook_builder.core.inputs import Inputs
from workbook_builder.core.own import NOTES_SHEET, own_columns, own_sheets
from workbook_builder.core.place import has_room_for_lines
from workbook_builder.features import BY_KEY, TYPED_TABLES
from workbook_builder.features.tabs import TAB_OF

#: Differences listed one by one before the rest is only counted.
LISTED = 8
#: Figures of the first sheet that are compared with those the earlier workbook showed.
FIGURES = ("not_allowed", "not_entered", "look", "passes", "total_cost")


@dataclass
class Kept:
    """Sentences on what became of an earlier workbook's contents."""

    kept: list[str] = field(default_factory=list)
    changed: list[str] = field(default_factory=list)
    not_placed: list[str] = field(default_factory=list)

    def lines(self) -> list[str]:
        """Return the sentences, each under its word."""
        words = (("Kept", self.kept), ("Changed", self.changed), ("Could not place", self.not_placed))
        return [f"{word}: {sentence}" for word, sentences in words for sentence in sentences]


def what_was_kept(built: Built, before: Mapping[str, object]) -> Kept:
    """Compare a finished build with the source it was read from.

    Parameters
    ----------
    built : Built
        From `build_source`.
    before : mapping of str to object
        Figures the earlier workbook showed on its first sheet, by column key.
    """
    read = built.read or built.plan.inputs
    filled = [count for table in TYPED_TABLES if (count := sum(1 for _ in read.filled(table.key)))]
    report = Kept([f"{sum(filled):,} rows in {len(filled)} tables"])
    for key, columns in own_columns(read.extras).items():
        table, title = BY_KEY[key], TAB_OF[key]
        pieces = built.placement.sheets[title].pieces
        if (table.is_form and not all(has_room_for_lines(piece, pieces) for piece in pieces
                                      if piece.table.key == key)):
            report.not_placed += [f"the line {label!r} of your own in {table.title}; keep it on a sheet of "
                                  f"your own" for label in columns]
        else:
            what = "line" if table.is_form else "column"
            report.kept.append(f"{what}s of your own in {table.title}: {', '.join(columns)}")
    for title, sheet in own_sheets(read.extras).items():
        report.kept.append(f"notes that hung on cells, on the sheet {title}" if title == NOTES_SHEET
                           else f"your own sheet {title}")
        if sheet.formulas:
            report.changed.append(f"formulas on your own sheet {title} became their last results, since they "
                                  f"read other sheets: {', '.join(sheet.formulas)}")
        if sheet.lost:
            cells = ", ".join(sheet.lost)
            report.not_placed.append(f"formulas on your own sheet {title} that had no stored result; save "
                                     f"the file in a spreadsheet program first: {cells}")
        if sheet.gone:
            report.not_placed.append(f"of your own sheet {title}: {', '.join(sheet.gone)}")
    sentences = list(_respelt(read, built.plan.inputs))
    more = len(sentences) - LISTED
    report.changed += sentences[:LISTED] + ([f"and {more} more spellings"] if more > 0 else [])
    report.changed += list(_figures(built, before))
    return report


def _respelt(read: Inputs, written: Inputs) -> Iterator[str]:
    for table in TYPED_TABLES:
        for number, (old, new) in enumerate(zip(read.rows(table.key), written.rows(table.key), strict=False),
                                            1):
            for column in table.columns:
                if old.get(column.key) != new.get(column.key) and old.get(column.key) is not None:
                    yield (f"{table.title}, row {number}, {column.header}: {old[column.key]!r} is now "
                           f"{new.get(column.key)!r}")


def _figures(built: Built, before: Mapping[str, object]) -> Iterator[str]:
    glance = built.plan.tables["glance"][0]
    for key in FIGURES:
        old, new = before.get(key), glance[key]
        if isinstance(old, (int, float)) and isinstance(new, (int, float)) and abs(old - new) > 0.005:
            yield f"{BY_KEY['glance'].by_key[key].header}: {old:,.10g} before, {new:,.10g} now"
