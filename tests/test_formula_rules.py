"""Format limits, and the functions all engines agree on."""

from __future__ import annotations

import math
import re
from pathlib import Path

import format_limits as limits
import pytest
from engine_help import every_engine, finished_workbook, need_engine

from workbook_builder.core import formula_rules as rules
from workbook_builder.engines import Cells, compare_cells
from workbook_builder.engines.compare import same_value
from workbook_builder.features import TABLES

#: Two columns of data that the trial formulas refer to.
DATA = {
    **{f"A{row}": number for row, number in enumerate((4, 1, 3, 2, 3), 1)},
    **{f"B{row}": text for row, text in enumerate(("pea", "wheat", "pea", "fallow", "wheat"), 1)},
    **{f"C{row}": number for row, number in enumerate((-100, 10, 20, 30, 70), 1)},
    # 100 lent at 10 %: interest each year and the loan back at the end.
    **{f"C{row}": number for row, number in enumerate((-100, 10, 10, 110), 7)},
    "D1": "  Two  Words ",
}

#: Function -> formulas with the answer worked out by hand or from a mathematical constant.
TRIALS: dict[str, list[tuple[str, float | str | bool]]] = {
    "SUM": [("SUM(A1:A5)", 13)], "SUMIF": [('SUMIF(B1:B5,"pea",A1:A5)', 7), ('SUMIF(A1:A5,">2")', 10)],
    "SUMIFS": [('SUMIFS(A1:A5,B1:B5,"wheat",A1:A5,">1")', 3)],
    "SUMPRODUCT": [("SUMPRODUCT(A1:A5,C1:C5)", -400 + 10 + 60 + 60 + 210)], "COUNT": [("COUNT(A1:B5)", 5)],
    "COUNTA": [("COUNTA(A1:B6)", 10)], "COUNTIF": [('COUNTIF(B1:B5,"PEA")', 2), ('COUNTIF(A1:A6,"")', 1)],
    "COUNTIFS": [('COUNTIFS(B1:B5,"wheat",A1:A5,"<=2")', 1)], "AVERAGE": [("AVERAGE(A1:A6)", 2.6)],
    "MIN": [("MIN(A1:A6)", 1)], "MAX": [("MAX(A1:A6)", 4)], "SMALL": [("SMALL(A1:A5,2)", 2)],
    "LARGE": [("LARGE(A1:A5,3)", 3)], "RANK": [("RANK(3,A1:A5)", 2), ("RANK(3,A1:A5,1)", 3)],
    "PERCENTILE": [("PERCENTILE(A1:A5,0.9)", 3.6)], "VAR": [("VAR(A1:A5)", 1.3)],
    "STDEV": [("STDEV(A1:A5)", math.sqrt(1.3))],
    "INDEX": [("INDEX(B1:B5,4)", "fallow"), ("INDEX(A1:C5,2,3)", 10)],
    "MATCH": [('MATCH("WHEAT",B1:B5,0)', 2), ("MATCH(2.5,C2:C4,1)", "#N/A"), ("MATCH(25,C2:C5,1)", 2)],
    "CHOOSE": [('CHOOSE(2,"a","b","c")', "b")],
    "IF": [('IF(A1>3,"more","less")', "more"), ('IF(A6="","blank","full")', "blank")],
    "IFERROR": [('IFERROR(1/0,"none")', "none")], "AND": [("AND(A1>3,A2>3)", False)],
    "OR": [("OR(A1>3,A2>3)", True)],
    "NOT": [("NOT(A1>3)", False)],
    "ISNUMBER": [("ISNUMBER(B1)", False), ("ISNUMBER(A1)", True), ("ISNUMBER(A6)", False)],
    "ROUND": [("ROUND(2.675,2)", 2.68), ("ROUND(-2.5,0)", -3), ("ROUND(1234.5,-2)", 1200)],
    "ROUNDUP": [("ROUNDUP(2.1,0)", 3), ("ROUNDUP(2,0)", 2)], "INT": [("INT(2.9)", 2), ("INT(-2.1)", -3)],
    "MOD": [("MOD(17,5)", 2), ("MOD(-1,12)", 11)], "ABS": [("ABS(-2.5)", 2.5)],
    "SQRT": [("SQRT(2)", math.sqrt(2))],
    "EXP": [("EXP(1)", math.e)], "LN": [("LN(10)", math.log(10))], "PI": [("PI()", math.pi)],
    "SIN": [("SIN(1)", math.sin(1))], "COS": [("COS(1)", math.cos(1))], "TAN": [("TAN(1)", math.tan(1))],
    "ACOS": [("ACOS(0.5)", math.pi / 3)], "ATAN": [("ATAN(1)", math.pi / 4)],
    "RADIANS": [("RADIANS(180)", math.pi)],
    "DEGREES": [("DEGREES(PI())", 180)], "DATE": [("DATE(2026,3,1)", 46082), ("DATE(2026,14,1)", 46419)],
    "YEAR": [("YEAR(46082)", 2026)], "MONTH": [("MONTH(46081)", 2)], "DAY": [("DAY(46081)", 28)],
    "EDATE": [("EDATE(46053,1)", 46081), ("EDATE(46082,-12)", 45717)], "TRIM": [("TRIM(D1)", "Two Words")],
    "LEFT": [("LEFT(B2,3)", "whe")], "MID": [("MID(B2,2,3)", "hea")], "RIGHT": [("RIGHT(B2,2)", "at")],
    "LEN": [("LEN(D1)", 13)], "FIND": [('FIND("e",B2)', 3), ('IFERROR(FIND("E",B2),0)', 0)],
    "SUBSTITUTE": [('SUBSTITUTE(B2,"e","a")', "whaat")], "LOWER": [("LOWER(D1)", "  two  words ")],
    "BETAINV": [("BETAINV(0.5,2,2)", 0.5), ("BETAINV(0.95,1,3)", 1 - 0.05 ** (1 / 3))],
    "BETADIST": [("BETADIST(0.25,1,3)", 1 - 0.75**3), ("BETADIST(0.5,2,2)", 0.5)],
    "NORMSINV": [("NORMSINV(0.975)", 1.959963984540054)], "NORMSDIST": [("NORMSDIST(1)", 0.8413447460685429)],
    "PMT": [("PMT(0.06,10,-1000)", 1000 * 0.06 / (1 - 1.06**-10))],
    "NPV": [("NPV(0.1,C2:C3)", 10 / 1.1 + 20 / 1.21)],
    "IRR": [("IRR(C7:C10)", 0.1)], "_xlfn.MAXIFS": [('_xlfn.MAXIFS(A1:A5,B1:B5,"pea")', 4)],
    "_xlfn.MINIFS": [('_xlfn.MINIFS(A1:A5,B1:B5,"wheat")', 1)], "ASIN": [("ASIN(0.5)", math.pi / 6)],
    "ATAN2": [("ATAN2(1,2)", math.atan(2))], "AVERAGEIF": [('AVERAGEIF(A1:A5,">2")', 10 / 3)],
    "EOMONTH": [("EOMONTH(46053,1)", 46081)], "EXACT": [('EXACT("a","A")', False)],
    "ISBLANK": [("ISBLANK(A6)", True), ("ISBLANK(B1)", False)], "ISERROR": [("ISERROR(1/0)", True)],
    "ISTEXT": [("ISTEXT(B1)", True), ("ISTEXT(A1)", False)], "MEDIAN": [("MEDIAN(A1:A5)", 3)],
    "POWER": [("POWER(2,0.5)", math.sqrt(2))], "REPT": [('REPT("ab",3)', "ababab")], "ROW": [("ROW(A3)", 3)],
    "ROWS": [("ROWS(A1:A5)", 5)], "SIGN": [("SIGN(-2)", -1)], "UPPER": [("UPPER(B1)", "PEA")],
    "WEEKDAY": [("WEEKDAY(46082)", 1)], "_xlfn.IFNA": [('_xlfn.IFNA(MATCH("oat",B1:B5,0),-1)', -1)],
}
CELLS = {
    (name, formula): f"H{row}"
    for row, (name, formula) in enumerate(((name, pair[0]) for name, pairs in TRIALS.items()
                                           for pair in pairs), 1)
}


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Cells]:
    """Hold the answers of each engine, filled when the engine is first asked."""
    return {}


@pytest.fixture(scope="module")
def trial_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Write a workbook with every trial formula, each with a wrong cached value."""
    path = tmp_path_factory.mktemp("trial") / "trial.xlsx"
    formulas = {cell: f"={formula}" for (_name, formula), cell in CELLS.items()}
    path.write_bytes(finished_workbook({"Trial": DATA | formulas}, {"Trial": dict.fromkeys(formulas, 999)}))
    return path


@every_engine
@pytest.mark.parametrize("function", sorted(TRIALS))
def test_engines_agree(function: str, engine_name: str, trial_book: Path, answers: dict[str, Cells]) -> None:
    """Every allowed function gives the answer worked out by hand in every engine."""
    engine = need_engine(engine_name)
    if engine_name not in answers:
        answers[engine_name] = engine.recalculate(trial_book)
    for formula, expected in TRIALS[function]:
        found = answers[engine_name]["Trial"].get(CELLS[function, formula])
        same = str(found) == expected if expected == "#N/A" else same_value(expected, found, 1e-8)

        assert same, f"{formula}: expected {expected!r}, {engine_name} gives {found!r}"


def test_every_allowed_function_is_tried() -> None:
    """No function is allowed without a trial, and none is tried without being allowed."""
    assert set(TRIALS) == rules.ALLOWED_FUNCTIONS


def test_avoided_functions_are_not_allowed() -> None:
    """A function with a stated reason against it is on the other list in no spelling."""
    assert (not {name.removeprefix("_xlfn.") for name in rules.ALLOWED_FUNCTIONS}
            & set(rules.AVOIDED_FUNCTIONS))


@every_engine
def test_replacements_agree(engine_name: str, tmp_path: Path) -> None:
    """What is written in place of an avoided function gives the right answer in every engine."""
    engine = need_engine(engine_name)
    trials = {
        "SUM(A1)": 0, "SUM(A2)": 0, 'A2&A3&", "&A4': "x, y", "ROUNDUP(ROUND(4.000000000000001,6),0)": 4,
        "ROUNDUP(ROUND(3*1.1/0.3,6),0)": 11, "ROUNDUP(ROUND(4.2,6),0)": 5, "INT(ROUND(0.57*100,6))": 57,
        "SUM(INDEX(A1:A9,7))": 0, "INDEX(A1:A9,MATCH(5,A5:A6,0)+4)": 5,
    }
    cells = {"A2": '=""', "A3": "x", "A4": "y", "A5": 4, "A6": 5}
    cells |= {f"B{row}": f"={formula}" for row, formula in enumerate(trials, 1)}
    path = tmp_path / "trial.xlsx"
    path.write_bytes(
        finished_workbook({"Trial": cells}, {"Trial": {c: 999 for c, v in cells.items() if "=" in str(v)}})
    )

    found = engine.recalculate(path)["Trial"]

    expected = {f"B{row}": value for row, value in enumerate(trials.values(), 1)}
    assert compare_cells({"Trial": expected}, {"Trial": found}) == []


def test_good_formulas_pass() -> None:
    """Formulas within the limits have no problems, with the equals sign or without."""
    for formula in ("=SUM(A1:A5)", "IF('It''s (a) sheet'!A1>0,\"brackets ) ( and , are text\",\"\")",
                    "A1*(B1+C1)"):
        assert rules.check_formula(formula) == []


@pytest.mark.parametrize(
    ("formula", "word"),
    [
        ("=" + "+".join(["A1"] * 3000), "8192"), ('="' + "x" * 256 + '"', "255"),
        ("=" + "IF(A1," * 65 + "1" + ")" * 65, "65 deep"),
        ("=SUM(" + ",".join(["A1"] * 256) + ")", "256 arguments"),
        ("=OFFSET(A1,1,1)", "OFFSET"), ("=MAXIFS(A:A,B:B,1)", "_xlfn.MAXIFS"),
        ("=_xlfn.TEXTJOIN(1,2,3)", "join the parts with &"), ("=N(A1)", "SUM"), ("=SUM(A1", "brackets"),
        ("=SUM(A1))", "brackets"), ("=#REF!+1", "#REF!"), ("=[1]Sheet!A1", "portable"), ("=", "blank"),
    ],
)
def test_bad_formulas_are_named(formula: str, word: str) -> None:
    """Each limit has a sentence of its own that states it."""
    problems = rules.check_formula(formula)

    assert len(problems) in (1, 2)
    assert word in " ".join(problems)


def test_limits_are_inclusive() -> None:
    """A formula exactly at a limit is allowed."""
    assert rules.check_formula("=" + "A" * 8191) == []
    assert rules.check_formula('="' + "x" * 255 + '"') == []
    assert rules.check_formula("=" + "IF(A1," * 64 + "1" + ")" * 64) == []
    assert rules.check_formula("=SUM(" + ",".join(["A1"] * 255) + ")") == []


def test_functions_in_a_formula() -> None:
    """Function names are found outside texts and spelled as files store them."""
    assert (rules.functions_in('=if(A1="SUM(",_xlfn.maxifs(A:A,B:B,1),Sum(A1))')
            == {"IF", "_xlfn.MAXIFS", "SUM"})


@pytest.mark.parametrize("title", ["", "x" * 32, "a/b", "a[b", "'a", "a'", "History", "what?"])
def test_bad_sheet_titles(title: str) -> None:
    """A title the format refuses has exactly one problem."""
    assert len(limits.check_sheet_title(title)) == 1


def test_sheet_titles_are_unique() -> None:
    """Two titles that differ only in capitals are a problem; a plain set of titles is none."""
    assert limits.check_sheet_titles(["Loads", "Farmer's fields", "x" * 31]) == []
    assert len(limits.check_sheet_titles(["Loads", "loads"])) == 1


@pytest.mark.parametrize("name", ["T1", "AB12", "R1C1", "r", "C", "1a", "a b", "a-b", "", "TRUE", "x" * 256])
def test_bad_names(name: str) -> None:
    """A name that reads like a cell, or that the format refuses, has exactly one problem."""
    assert len(limits.check_defined_name(name)) == 1


@pytest.mark.parametrize("name", ["look_back_seasons", "_a", "passes.table", "ABCD1", "rate"])
def test_good_names(name: str) -> None:
    """An ordinary name has no problem."""
    assert limits.check_defined_name(name) == []


def test_messages_and_texts() -> None:
    """Messages, their titles, typed lists and cell texts are measured against their limits."""
    assert limits.check_validation_text("t" * 32, "x" * 255) == []
    assert len(limits.check_validation_text("t" * 33, "x" * 256)) == 2
    assert limits.check_choice_list('"' + "x" * 255 + '"') == []
    assert len(limits.check_choice_list("x" * 256)) == 1
    assert limits.check_cell_text("x" * 32767) == []
    assert len(limits.check_cell_text("\n" * 254)) == 1
    assert len(limits.check_cell_text("x" * 32768)) == 1


def test_length_counts_as_the_format_does() -> None:
    """A character outside the basic plane counts as two, as spreadsheet programs count it."""
    assert len(limits.check_validation_text("", "\U0001f33e" * 128)) == 1


def test_numbers_in_texts_are_rounded_twice() -> None:
    """A number worked out and joined into a sentence is rounded to six digits first,
    or a tie would read differently in two engines.
    """
    texts = [(table.key, column.key, text) for table in TABLES for column in table.columns if column.formula
             for text in column.formulas]
    joined = [(table, column, found) for table, column, text in texts
              for found in re.findall(r"&(ROUND\((?!ROUND\().{0,40})", text)]

    assert sum("&ROUND(ROUND(" in text for _, _, text in texts) > 15
    # The rest of an amount already rounded to its step, and a part of a key that nobody reads.
    assert [each for each in joined
            if not each[2].startswith(("ROUND(MOD(", "ROUND({passes.carrier}*1000000,0)"))] == []


@pytest.mark.parametrize(("formula", "instead"), [
    ("ROUNDUP(A1/A2,0)", "ROUNDUP(ROUND(A1/A2,6),0)"),
    ("0-INT(0-ROUND(A1/A2,6))", "ROUNDUP(ROUND(A1/A2,6),0)"), ("-INT(-A1)", "ROUNDUP(ROUND(A1,6),0)"),
    ('COUNTIF(A1:A9,"?*")', 'SUMPRODUCT((A1:A9<>"")*1)'), ('COUNTIF(A1:A9,"s?1*")', 'COUNTIF(A1:A9,"*bc*")'),
    ('FIND("-",A1,4)', 'FIND("-",MID(A1,4,99))'), ('FIND(",",A1&",",2)', 'FIND(", "&A1,", "&A2&", ")'),
    ('IF(FALSE,"",A1)', "A1"), ("IF(AND(A1=1,FALSE),2,3)", "3"),
])
def test_ways_of_writing_that_engines_read_differently_are_refused(formula: str, instead: str) -> None:
    """A whole number above, a count of texts and a place in a text are written in one way only,
    and a condition that never changes is none.
    """
    assert len(rules.check_formula(formula)) == 1
    assert rules.check_formula(instead) == []
