"""What a spreadsheet program reads: no repair predicted, and names, drop-downs, pages,
guards and values as meant.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from cli_help import SMALL
from farms_strategy import build_small
from format_limits import (
    check_cell_text,
    check_choice_list,
    check_defined_name,
    check_sheet_titles,
    check_validation_text,
)
from openpyxl import load_workbook
from openpyxl.utils import FORMULAE, get_column_letter
from printing_help import demo_tables
from test_theme import png, theme_file

from workbook_builder.build import Built, build_inputs, read_and_check
from workbook_builder.core.formula_rules import functions_in
from workbook_builder.core.inputs import Inputs
from workbook_builder.engines import read_formulas
from workbook_builder.finish.package import pack
from workbook_builder.finish.parts import read_parts
from workbook_builder.theme import read_theme

#: Rows of a sheet that the file checker reads; those below repeat the same columns.
ROWS_CHECKED = 30


@pytest.fixture(scope="module")
def spot_heavy(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The metric farm with nothing but spot passes, in a consultant's colours and with a logo."""
    folder = tmp_path_factory.mktemp("theme")
    (folder / "logo.png").write_bytes(png(40, 20))
    theme = read_theme(theme_file(folder, 'name = "Invented Advice & Sons"\nlogo = '
                                          '"logo.png"\n[colours]\nmain = "#5B1A1A"\n'))
    tables = demo_tables("demo_metric")
    for row in tables["passes"]:
        row.update({"method": "spot", "sprayed_share": 0.2})
    return build_inputs(Inputs(tables), (), theme=theme)


@pytest.fixture(scope="module")
def small() -> Built:
    """A farm of two fields and three passes."""
    return build_small(read_and_check(SMALL)[0])


def shortened(data: bytes) -> bytes:
    """Return a workbook whose sheets end after the rows that are checked."""
    parts = read_parts(data)
    for name, part in parts.items():
        if name.startswith("xl/worksheets/sheet"):
            parts[name] = re.sub(rb'<row r="(\d+)".*?</row>', lambda row: row[0]
                                 if int(row[1]) <= ROWS_CHECKED else b"", part, flags=re.DOTALL)
    return pack(parts)


@pytest.mark.nightly
@pytest.mark.parametrize("which", ["small", "demo", "metric", "spot_heavy"])
def test_no_repair_is_predicted(which: str, request: pytest.FixtureRequest, tmp_path: Path) -> None:
    """The file checker finds no error, in a small farm, the demo farms and a themed workbook full of spot
    passes.
    """
    audit = pytest.importorskip("openxml_audit")
    path = tmp_path / "book.xlsx"
    path.write_bytes(shortened(request.getfixturevalue(which).data))
    assert [f"{error}" for error
            in audit.OpenXmlValidator(security_validation=True).validate(path).errors] == []


def test_the_page_of_programs_names_every_newer_function(metric: Built) -> None:
    """Functions that the format's own list lacks are those of the page, by their first versions,
    and the oldest programs follow from them.
    """
    page = (Path(__file__).parents[1] / "docs" / "programs.md").read_text("utf-8")
    since = {name: (float(excel), float(office))
             for name, excel, office in re.findall(r"\| ([A-Z]+) \| ([0-9]+) \| ([0-9.]+) \|", page)}
    used = {name for cells in read_formulas(metric.data).values() for text in cells.values()
            for name in functions_in(text)}

    assert len(used) > 40
    assert used - FORMULAE == {f"_xlfn.{name}" for name in since}
    assert f"| Excel | {max(excel for excel, _ in since.values()):.0f}, or Microsoft 365 |" in page
    assert f"| LibreOffice | {max(office for _, office in since.values())} |" in page


def test_nothing_leads_outside(metric: Built) -> None:
    """Links are places in the book, so no part has an outside target,
    and parts name each other from where they stand.
    """
    links = {name: part for name, part in read_parts(metric.data).items() if name.endswith(".rels")}
    assert len(links) > 5
    assert not [name for name, part in links.items() if b"External" in part or b'Target="/' in part]


def test_drawings_and_charts_are_prefixed(metric: Built, metric_book: Any) -> None:
    """Every tag of a drawing or chart carries a prefix, as readers expect that know no default namespace,
    and the library still finds each chart.
    """
    parts = {name: part for name, part in read_parts(metric.data).items()
             if re.match(r"xl/(drawings|charts)/[^/]+\.xml", name)}
    assert {name.split("/")[1] for name in parts} == {"drawings", "charts"}
    for name, part in parts.items():
        assert part.startswith((b"<xdr:wsDr ", b"<c:chartSpace ")), name
        assert not re.findall(rb"</?[A-Za-z]+[ />]", part), name
    charts = [chart for sheet in metric_book.worksheets for chart in sheet._charts]
    assert len(charts) == sum(name.startswith("xl/charts/") for name in parts)


@pytest.fixture
def book(farm: Built, request: pytest.FixtureRequest) -> Any:
    """The workbook as a program reads it."""
    return request.getfixturevalue("metric_book" if farm.plan.inputs.system == "metric" else "demo_book")


def test_names_lead_to_their_cells(farm: Built, book: Any) -> None:
    """Every defined name stands for the one cell of its assumption,
    and that cell holds the value planned with.
    """
    forms = [spot for spot in farm.placement.spots.values() if spot.table.is_form and spot.table.named]
    assert {name for spot in forms for name in spot.places} == set(book.defined_names)
    for spot in forms:
        for key in spot.places:
            assert book.defined_names[key].attr_text == spot.absolute(key)
            planned = farm.plan.tables[spot.table.key][0][key]
            if not spot.table.by_key[key].calculated:
                assert book[spot.sheet_of(key)][spot.cell(key)].value == (planned if planned != "" else None)


def test_inputs_are_open_and_explained_and_formulas_guarded(farm: Built, book: Any) -> None:
    """Every typed cell is unlocked and has a message.

    Every formula cell is locked; no sheet has a password.
    """
    for spot in farm.placement.spots.values():
        for column in spot.table.columns:
            sheet = book[spot.sheet_of(column.key)]
            assert sheet.protection.sheet
            assert sheet.protection.password is None
            rules = [(str(rule.sqref), rule) for rule in sheet.data_validations.dataValidation]
            first = sheet[spot.cell(column.key)]
            assert first.protection.locked != column.typed, (spot.table.key, column.key)
            assert column.calculated == (first.data_type == "f"), (spot.table.key, column.key)
            if column.typed:
                rule = next(rule for area, rule in rules if area.split(":")[0] == first.coordinate)
                assert rule.prompt.startswith(("Required.", "May be blank."))
                assert not column.choices or rule.type == "list"


def test_drop_downs_lead_to_the_lists_they_name(farm: Built, book: Any) -> None:
    """A drop-down from a range offers what stands in that range."""
    for spot in farm.placement.spots.values():
        for column in spot.table.columns:
            if column.typed and isinstance(column.choices, str) and column.choices:
                table, key = column.choices.split(".")
                first = spot.cell(column.key)
                rule = next(rule for rule in book[spot.sheet_of(column.key)].data_validations.dataValidation
                            if str(rule.sqref).split(":")[0] == first)
                assert rule.formula1 == farm.placement.spots[table].absolute(key)


def test_titles_names_and_texts_keep_to_the_limits_of_the_format(book: Any) -> None:
    """No title, name, message, typed list or text is longer or other than a program takes."""
    found = [*check_sheet_titles(book.sheetnames),
             *(wrong for name in book.defined_names for wrong in check_defined_name(name))]
    for sheet in book:
        for rule in sheet.data_validations.dataValidation:
            found += check_validation_text(rule.promptTitle or "", rule.prompt or "")
            found += check_validation_text(rule.errorTitle or "", rule.error or "")
            found += check_choice_list(rule.formula1) if str(rule.formula1).startswith('"') else []
        found += [wrong for cell in sheet._cells.values() if cell.data_type == "s"
                  for wrong in check_cell_text(cell.value)]

    assert book.defined_names
    assert found == []


def tables_of(built: Built) -> Iterator[tuple[Any, list[Any]]]:
    """Yield place and rows of some tables people read often."""
    for key in ("passes", "pass_volumes", "mix_lines", "open_points", "cost_passes", "spot_passes",
                "volume_choices"):
        yield built.placement.spots[key], built.plan.tables[key]


def test_pandas_reads_what_a_person_sees(farm: Built) -> None:
    """Read as a data frame, a sheet has the printed headers, and its columns hold the plan's values."""
    sheets = {spot.sheet_of(column.key) for spot, _ in tables_of(farm) for column in spot.table.columns}
    frames = pd.read_excel(BytesIO(farm.data), sheet_name=sorted(sheets), header=None, engine="openpyxl")
    for spot, rows in tables_of(farm):
        for column in spot.table.columns:
            frame = frames[spot.sheet_of(column.key)].iloc[spot.header_row - 1 :]
            read = frame.iloc[1:, spot.numbers[column.key]
                              - 1].reset_index(drop=True).reindex(range(spot.rows))
            assert str(frame.iloc[0, spot.numbers[column.key] - 1]).startswith(column.header[:20])
            if column.quantity == "volume":
                wanted = [row[column.key] if row[column.key] != "" else float("nan") for row in rows]
                assert pd.to_numeric(read).to_numpy() == pytest.approx(wanted, nan_ok=True)
            if column.quantity == "name":
                assert (["" if pd.isna(value) else str(value) for value in read]
                        == [str(row[column.key] or "") for row in rows])


def test_values_stand_without_recalculating(farm: Built) -> None:
    """Opened for its values alone, no formula cell is blank where the plan has a value,
    and none holds an error.
    """
    values = load_workbook(BytesIO(farm.data), data_only=True)
    for spot, rows in tables_of(farm):
        for column in spot.table.columns:
            sheet = values[spot.sheet_of(column.key)]
            letter = get_column_letter(spot.numbers[column.key])
            for index, row in enumerate(rows):
                seen = sheet[f"{letter}{spot.first_row + index}"].value
                assert (seen in (None, "")) == (row[column.key] in (None, "")), (
                    spot.table.key, column.key, index)
                assert not str(seen).startswith("#")
