"""What the fourth judge is asked in another way: the other engines read the plain way as the format does."""

from __future__ import annotations

from pathlib import Path

import pytest
from engine_help import engines_at_length, need_engine
from hyperformula_judge import (
    FAULTS,
    STAND_IN,
    Fault,
    HyperFormulaEngine,
    contents,
    least_book,
    placed,
    respelled,
)

from workbook_builder.engines import EngineFailed
from workbook_builder.finish.parts import read_parts


@pytest.fixture(params=FAULTS.values(), ids=FAULTS.keys())
def fault(request: pytest.FixtureRequest) -> Fault:
    """One of the declared faults."""
    found: Fault = request.param
    return found


@engines_at_length
def test_other_engines_read_the_plain_way(fault: Fault, engine_name: str, tmp_path: Path) -> None:
    """The least sheet of each fault comes to its value in every other engine, as it stands in a file."""
    path = tmp_path / "least.xlsx"
    path.write_bytes(least_book(fault))

    assert need_engine(engine_name).recalculate(path)["S"]["F1"] == fault.value


def test_each_fault_is_asked_in_its_own_way(tmp_path: Path) -> None:
    """Leaving one fault unminded changes what the library is asked, or its settings, for that fault alone."""
    path = tmp_path / "least.xlsx"
    for name in FAULTS.keys() - {"bars"}:
        path.write_bytes(least_book(FAULTS[name]))
        parts = read_parts(path)
        alike = {other for other in FAULTS if contents(parts, {other}) == contents(parts)}

        assert name not in alike
        assert alike >= FAULTS.keys() - {name, "blank results"}


def test_formulas_are_spelled_anew_outside_texts() -> None:
    """Functions and names are put right where they are used, and left alone in texts,
    titles of sheets and longer words.
    """
    assert (respelled('_xlfn.IFNA(BETADIST(A1,MAX(2,B1),3)&"NORMSDIST(1)",NORMSDIST(0))')
            == 'IFNA(BETA.DIST(A1,MAX(2,B1),3,TRUE())&"NORMSDIST(1)",NORM.S.DIST(0,TRUE()))')
    assert (placed("IF(rate=\"rate\",'rate'!A1,rate+usual_rate+rate.x+rate(1))", {"rate": "'S'!$A$1"})
            == "IF('S'!$A$1=\"rate\",'rate'!A1,'S'!$A$1+usual_rate+rate.x+rate(1))")


def test_a_workbook_with_the_sign_that_stands_in_is_refused(tmp_path: Path) -> None:
    """Nothing is judged where the sign put in place of the bar would mean two things."""
    path = tmp_path / "signed.xlsx"
    path.write_bytes(least_book(Fault("", {"A1": f"1{STAND_IN}2", "F1": "=A1"}, "")))

    with pytest.raises(EngineFailed, match="itself"):
        HyperFormulaEngine(tmp_path).recalculate(path)
