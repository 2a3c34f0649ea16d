"""The functions a formula may use, and the limits of the workbook format for it.

Each check returns sentences saying what is wrong, none when all is well.  The limits
are those Excel states for ``.xlsx``; past them it offers to repair the file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

LONGEST_FORMULA = 8192
LONGEST_LITERAL = 255
DEEPEST_NESTING = 64
MOST_ARGUMENTS = 255

#: Functions on which IronCalc, LibreOffice and Gnumeric give the same answer, spelled as
#: a file stores them.  A test asks all three engines about every one of them.
#: One difference is left: when no row fits, _xlfn.MAXIFS and _xlfn.MINIFS give 0 in two
#: engines and an error in Gnumeric, so guard them with COUNTIFS.
_FUNCTIONS = """
    SUM SUMIF SUMIFS SUMPRODUCT COUNT COUNTA COUNTIF COUNTIFS AVERAGE AVERAGEIF MIN MAX SMALL LARGE RANK
    PERCENTILE MEDIAN VAR STDEV INDEX MATCH CHOOSE ROW ROWS
    IF IFERROR AND OR NOT ISNUMBER ISTEXT ISBLANK ISERROR
    ROUND ROUNDUP INT MOD ABS SIGN SQRT POWER EXP LN PI SIN COS TAN ASIN ACOS ATAN ATAN2 RADIANS DEGREES
    DATE YEAR MONTH DAY EDATE EOMONTH WEEKDAY
    TRIM LEFT MID RIGHT LEN FIND SUBSTITUTE LOWER UPPER EXACT REPT
    BETAINV BETADIST NORMSINV NORMSDIST PMT NPV IRR
    _xlfn.MAXIFS _xlfn.MINIFS _xlfn.IFNA
    """
ALLOWED_FUNCTIONS = frozenset(_FUNCTIONS.split())

#: Functions left out because the engines disagree in a case that farm tables meet daily,
#: with what to write in their place.
AVOIDED_FUNCTIONS = {
    "N": "Gnumeric gives an error for a blank cell; write SUM(cell)",
    "TEXTJOIN": "IronCalc does not leave out empty text; join the parts with &",
    "LOOKUP": "engines differ when the list is not sorted; write INDEX and MATCH",
    "ROUNDDOWN": "engines differ in the last bit; write INT(ROUND(x,6))",
    "CEILING": "engines differ in the last bit; write ROUNDUP(ROUND(x,6),0)",
    "FLOOR": "engines differ in the last bit; write INT(ROUND(x,6))",
    "TEXT": "its codes change with the program's language; use a number format",
    "OFFSET": "it is volatile; write INDEX",
    "INDIRECT": "it is volatile; write INDEX",
    "TODAY": "it is volatile; ask for the date in an input cell",
    "NOW": "it is volatile; ask for the date in an input cell",
}

_TOKEN = re.compile(
    r'(?P<literal>"(?:[^"]|"")*")'
    r"|(?P<quoted>'(?:[^']|'')*')"
    r"|(?P<function>[A-Za-z_][A-Za-z0-9_.]*)\("
    r"|(?P<error>\#(?:REF!|N/A|NAME\?|VALUE!|DIV/0!|NUM!|NULL!))"
    r"|(?P<mark>[(),\[\]{}])"
)
#: Ways of writing that engines read differently, and why.
_STEPS = {
    re.compile(r"ROUNDUP\((?!ROUND\()"): "ROUNDUP of a number that was not rounded before steps up at its "
                                         "last bit; write ROUNDUP(ROUND(x,6),0)",
    re.compile(r"-\s*INT\((?:0?-)"): "INT of a negative number is cut toward nothing by some engines; write "
                                     "ROUNDUP(ROUND(x,6),0)",
    re.compile(r'"\?\*"|(?:COUNTIFS?|SUMIFS?|AVERAGEIF|MAXIFS|MINIFS|MATCH)\((?:[^"()]*,)?"[^"]*\?'):
        'some engines count empty text as "?*", and let ? stand for no sign as well; write '
        'SUMPRODUCT((cells<>"")*1), or look for letters of places: "*bc*"',
    re.compile(r'FIND\((?:(?:"[^"]*"|[^(),"])*,){2}'): "FIND from a place on is found wrong by some engines; "
                                                       "write FIND in a MID",
    re.compile(r"[(,=](?:TRUE|FALSE)[,)]"): "a condition that never changes is no condition",
}


def check_formula(text: str) -> list[str]:
    """Return what is wrong with a formula.

    Parameters
    ----------
    text : str
        The formula as the file stores it, with or without its equals sign.
    """
    found = []
    body = text.removeprefix("=")
    if not body:
        found.append("the formula is blank")
    if len(body) + 1 > LONGEST_FORMULA:
        found.append(f"the formula has {len(body) + 1} characters; the limit is {LONGEST_FORMULA}")
    tokens = list(_tokens(body))
    for kind, token in tokens:
        found += _check_token(kind, token)
    found += [why for pattern, why in _STEPS.items() if pattern.search(body)]
    # Brackets, nesting and the number of arguments.
    shape = _shape(tokens)
    if not shape.balanced:
        found.append("the brackets of the formula do not match")
    if shape.depth > DEEPEST_NESTING:
        found.append(f"functions are nested {shape.depth} deep; the limit is {DEEPEST_NESTING}")
    if shape.arguments > MOST_ARGUMENTS:
        found.append(f"the function {shape.widest} has {shape.arguments} arguments; the limit is "
                     f"{MOST_ARGUMENTS}")
    return found


def functions_in(text: str) -> set[str]:
    """Return the names of the functions a formula uses, in capitals except the stored prefix."""
    return {_spelled(token) for kind, token in _tokens(text) if kind == "function"}


def _spelled(name: str) -> str:
    """Return a function name as files spell it."""
    return "_xlfn." + name[6:].upper() if name.lower().startswith("_xlfn.") else name.upper()


def _tokens(text: str) -> Iterator[tuple[str, str]]:
    """Yield (kind, text) of every part of a formula that a limit is about."""
    for match in _TOKEN.finditer(text):
        kind = match.lastgroup or ""
        yield kind, match[kind]


def _check_token(kind: str, token: str) -> list[str]:
    """Return what is wrong with one part of a formula by itself."""
    if kind == "literal" and (length := len(token[1:-1].replace('""', '"'))) > LONGEST_LITERAL:
        return [f"a text in the formula has {length} characters; the limit is {LONGEST_LITERAL}"]
    if kind == "function" and _spelled(token) not in ALLOWED_FUNCTIONS:
        bare = token.upper().removeprefix("_XLFN.")
        hint = (f": write _xlfn.{bare}" if f"_xlfn.{bare}" in ALLOWED_FUNCTIONS
                else f": {AVOIDED_FUNCTIONS[bare]}" if bare in AVOIDED_FUNCTIONS else "")
        return [f"the function {token} is not one that all engines agree on{hint}"]
    if kind == "error":
        return [f"the formula contains the error {token}"]
    if kind == "mark" and token in "[]{}":
        return [f"the formula contains {token}: links to other files, table references and lists are not "
                f"portable"]
    return []


@dataclass
class _Call:
    """An open bracket: the function it belongs to (blank for plain brackets) and its commas so far."""

    name: str
    commas: int = 0


@dataclass
class _Shape:
    """What a walk through the brackets of a formula found."""

    depth: int = 0
    arguments: int = 0
    widest: str = ""
    balanced: bool = True


def _shape(tokens: list[tuple[str, str]]) -> _Shape:
    """Walk through the brackets of a formula."""
    shape, calls = _Shape(), list[_Call]()
    for kind, token in tokens:
        if kind == "function" or token == "(":
            calls.append(_Call(token if kind == "function" else ""))
            shape.depth = max(shape.depth, sum(bool(call.name) for call in calls))
        elif kind == "mark" and token == ")":
            shape.balanced = shape.balanced and bool(calls)
            calls = calls[:-1]
        elif kind == "mark" and token == "," and calls:
            calls[-1].commas += 1
            if calls[-1].commas >= shape.arguments:
                shape.arguments, shape.widest = calls[-1].commas + 1, calls[-1].name
    shape.balanced = shape.balanced and not calls
    return shape
