"""Lists for spot passes alone: the rows of a table beside the passes, without the others."""

from __future__ import annotations

from typing import Any

from workbook_builder.core.draft import Cells
from workbook_builder.features.spot_volumes.rows import listed


def test_a_list_holds_the_rows_of_spot_passes() -> None:
    """The second and the fourth pass are spot passes, so their rows fill the first slots and the third slot stays blank."""
    draft: Any = {
        "shares": [Cells(name=name) for name in ("first", "second", "third", "fourth")],
        "spot_passes": [Cells(row=2), Cells(row=4), Cells(row="")],
    }

    found = listed("shares")(draft)

    assert [(row["slot"], row["name"]) for row in found] == [(1, "second"), (2, "fourth"), (3, "")]
