"""A logo as a picture on a sheet."""

from __future__ import annotations

import io
from typing import Any

from openpyxl.drawing.image import Image

from workbook_builder.logo import Logo

#: Height of a logo in pixels: two lines.
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
