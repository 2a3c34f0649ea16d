"""The consultant's name and logo in the workbook."""

from __future__ import annotations

import io
from typing import Any

from openpyxl.drawing.image import Image

from workbook_builder.layout.cells import Writer
from workbook_builder.layout.look import Look
from workbook_builder.logo import Logo
from workbook_builder.place import Spot
from workbook_builder.theme import Theme

#: Height of the logo on the first sheet, in pixels: two lines.
LOGO_HEIGHT = 38
MOST_WIDTH = 260


class LogoPicture(Image):  # type: ignore[misc]
    """A checked PNG that needs no imaging library to be placed."""

    def __init__(self, logo: Logo) -> None:
        scale = min(LOGO_HEIGHT / logo.height, MOST_WIDTH / logo.width)
        self.ref = io.BytesIO(logo.data)
        self.width, self.height = round(logo.width * scale), round(logo.height * scale)
        self.format = "png"
        self._logo = logo

    def _data(self) -> Any:
        return self._logo.data


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
