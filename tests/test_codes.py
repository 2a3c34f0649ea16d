"""Codes of sheets: read as typed or scanned, changed by what is mixed and by nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli_help import METRIC, run
from hypothesis import given
from hypothesis import strategies as st
from printing_help import demo_tables, plan_of

from workbook_builder.printing.choice import Choice
from workbook_builder.printing.codes import SIGNS, Code, code_in, code_of, picture
from workbook_builder.printing.sheets import titles


@given(st.text(SIGNS, min_size=4, max_size=4), st.text(SIGNS, min_size=5, max_size=5),
       st.sampled_from(["{}-{}", " {}-{} ", "{}{}", "see {}-{} Burndown: North"]))
def test_a_code_is_read_however_it_is_typed(sheet: str, content: str, form: str) -> None:
    """Small letters, spaces, a missing dash, O for 0 and I or L for 1, or the whole text of the picture:
    the same code.
    """
    wanted = Code(sheet, content)

    assert code_in(form.format(sheet, content)) == wanted
    assert code_in(form.format(sheet.lower(), content.lower()).replace("0", "o").replace("1", "l")) == wanted


def test_what_holds_no_code() -> None:
    """A name, a word of nine letters with a U in it, nothing: no code."""
    assert [code_in(text) for text in ("", "Burndown", "UUUUUUUUU", "AB-CD")] == [None] * 4


def test_a_code_names_the_sheet_and_what_is_on_it() -> None:
    """The first part is the sheet's, the second what stands on it; few of many collide."""
    many = [code_of([n // 10], [n]) for n in range(2000)]

    assert len({each.sheet for each in many}) >= 199
    assert len({each.content for each in many}) == 2000
    assert code_of(["a"], ["b"]) == code_of(["a"], ["b"])


def test_the_code_changes_with_what_is_mixed_and_not_with_the_log() -> None:
    """Another rate changes the code of its cards and of no other.

    A logged load and a price leave all of them; a field gone makes another sheet.
    """
    def codes(change: str) -> dict[str, Code]:
        tables = demo_tables()
        if change == "rate":
            next(row for row in tables["mixes"] if row["mix"] == "Sunflower preemerge")["rate"] = 4.7
        elif change == "log":
            tables["load_log"].append({"pass": "Preemerge", "field": "School Section", "load": 1,
                                       "area_covered": 63, "volume_sprayed": 891})
            next(row for row in tables["products"]
                 if row["product"] == "Pendimethalin 2.9 CS")["package_price"] = 1.0
        elif change == "field":
            tables["passes"] = [row for row in tables["passes"]
                                if not (row["pass"] == "Preemerge" and row["field"] == "Creek 80")]
        return {title: code for code, title in titles(plan_of(tables), Choice())}

    before, rate, log, gone = (codes(change) for change in ("", "rate", "log", "field"))
    card = "Sunflower preemerge, Preemerge"
    assert {title for title in before if before[title] != rate[title]} == {card}
    assert rate[card].sheet == before[card].sheet
    assert {title for title in before if before[title] != log[title]} == set()
    assert gone[card].sheet != before[card].sheet


def test_the_picture_is_a_code_of_its_own() -> None:
    """The picture is drawn in the page, loads nothing, and has the quiet zone that ISO/IEC 18004 asks for."""
    drawn = picture("ZBTX-SC2X1 Burndown: North")

    assert drawn.startswith("<svg")
    assert "href" not in drawn
    assert "M4 4.5h7" in drawn


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Print the metric farm, and return the first code on its cards."""
    folder = tmp_path_factory.mktemp("sheets")
    assert run("print", METRIC, "-o", folder, "--quiet").exit_code == 0
    text = (Path(folder) / "mix-cards.html").read_text("utf-8")
    found = code_in(text.split('aria-label="Code ')[1].split(" to scan")[0])
    assert found is not None
    return str(found)


def test_print_check_tells_a_changed_plan(shown: str) -> None:
    """The code on a sheet is right as long as the plan is: exit code 0; a changed one, and one of no sheet,
    1; no code at all, 2.
    """
    right = run("print", METRIC, "--check", shown)
    other = f"{shown[:-1]}{'0' if shown[-1] != '0' else '1'}"
    changed, strange, none = (run("print", METRIC, "--check", other),
                              run("print", METRIC, "--check", f"0000{shown[4:]}"),
                              run("print", METRIC, "--check", "Burndown"))

    assert (right.exit_code, changed.exit_code, strange.exit_code, none.exit_code) == (0, 1, 1, 2)
    assert "still says what stands" in right.stdout.replace("\n", " ")
    assert shown in changed.stdout
    assert "no such sheet" in strange.stdout.replace("\n", " ")
