"""The consultant's name and logo in the workbook."""

from __future__ import annotations

from workbook_builder.core.place import BANNER_ROW, TO_DO_ROW
from workbook_builder.layout.cells import Writer
from workbook_builder.layout.look import Look
from workbook_builder.logo_picture import LogoPicture
from workbook_builder.theme import Theme


def sign(writer: Writer, theme: Theme, look: Look, last: int) -> None:
    """Put the name into the page header, and name and logo on the first sheet.

    Parameters
    ----------
    writer : Writer
    theme : Theme
    look : Look
    last : int
        On the first sheet, the last column that holds something; else 0.
    """
    if theme.name:
        writer.sheet.oddHeader.right.text = theme.name.replace("&", "&&")
    if not last:
        return
    if theme.name:
        writer.value(TO_DO_ROW, last, theme.name, look.heading())
    if theme.workbook_logo:
        writer.sheet.add_image(LogoPicture(theme.workbook_logo),
                               writer.sheet.cell(BANNER_ROW, last).coordinate)
