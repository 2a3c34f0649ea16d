"""The units of the package: what a plan converts with is what pint's whole list says."""

from __future__ import annotations

from importlib import resources
from itertools import pairwise, permutations

import pint
import pytest

from workbook_builder.core.units import AMOUNT_UNITS, FIELD_UNITS, declared, factor, pint_name, registry

LABELS = [*AMOUNT_UNITS, *FIELD_UNITS,
          *(f"{top}/{bottom}" for top in AMOUNT_UNITS for bottom in ("ac", "ha", "gal", "L", "m2"))]


def test_every_factor_is_that_of_the_whole_list() -> None:
    """Between all labels that measure the same, the few definitions of the package give the very factor that
    pint's whole list gives.
    """
    alike: dict[str, list[str]] = {}
    for label in LABELS:
        alike.setdefault(str(registry().Quantity(1.0, pint_name(label)).dimensionality), []).append(label)
    pairs = [pair for labels in alike.values() for pair in permutations(labels, 2)]

    assert len(pairs) > 400
    assert [(one, other) for one, other in pairs if factor(one, other)
            != registry().Quantity(1.0, pint_name(one)).to(pint_name(other)).magnitude] == []
    for (one, *_), (other, *_) in pairwise(alike.values()):
        with pytest.raises(pint.DimensionalityError):
            factor(one, other)


def test_no_unit_is_defined_twice() -> None:
    """Each of the package's two lists defines what the other does not, and the field's acre is not pint's."""
    defined = [
        line.partition("=")[0].strip()
        for name in ("base_units.txt", "units.txt")
        for line in resources.files("workbook_builder").joinpath("data", name).read_text("utf-8").splitlines()
        if line and not line.startswith("#")
    ]

    assert len(defined) == len(set(defined)) > 25
    assert (declared().Quantity(1.0, "field_acre").to("foot ** 2").magnitude
            == pytest.approx(43_560, rel=1e-12))
    assert registry().Quantity(1.0, "acre").to("foot ** 2").magnitude != pytest.approx(43_560, rel=1e-9)
