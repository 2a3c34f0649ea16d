"""The consultant's name and logo in the workbook."""

from __future__ import annotations

from workbook_builder.core.place import Spot
from workbook_builder.layout.cells import Writer
from workbook_builder.layout.look import Look
from workbook_builder.logo_picture import LogoPicture
from workbook_builder.theme import Theme


def sign(writer: Writer, theme: Theme, look: Look, spot: Spot | None) -> None:
    """Put the name into the page header, and name and logo on the first sheet.

    Parameters
    ----------
    writer : Writer
    theme : Theme
    look : Look
    spot : Spot or None
        On the first sheet, the table whose last column stands below the logo.
    """
    if theme.name:
        writer.sheet.oddHeader.right.text = theme.name.replace("&", "&&")
    if spot is None:
        return
    last = spot.first_column + len(spot.table.columns) - 1
    if theme.name:
        writer.value(spot.heading_row + 2, last, theme.name, look.heading())
    if theme.workbook_logo:
        writer.sheet.add_image(LogoPicture(theme.workbook_logo), writer.sheet.cell(spot.heading_row, last).coordinate)
