"""A declared formula turned into Python source, once, so that each cell costs a call."""

from __future__ import annotations

import re
from collections.abc import Callable

from workbook_builder.core.functions import PASS_OVER_TEXTS

_PART = re.compile(
    r"""\s*(?:
    (?P<number>\d+\.?\d*(?:[eE][+-]?\d+)?)
  | (?P<text>"(?:[^"]|"")*")
  | (?P<cell>\{[^{}]+\})
  | (?P<function>[A-Za-z_][A-Za-z0-9_.]*)\(
  | (?P<name>[A-Za-z_][A-Za-z0-9_]*)
  | (?P<sign><>|<=|>=|[-+*/^&=<>(),:])
)""",
    re.VERBOSE,
)
_COMPARISONS = {"=": "equal", "<>": "unequal", "<": "below", ">": "above", "<=": "at_most", ">=": "at_least"}
_ARITHMETIC = {"+": "({} + {})", "-": "({} - {})", "*": "({} * {})", "/": "divided({}, {})"}
#: How closely each sign binds.
_BINDS = {**dict.fromkeys(_COMPARISONS, 1), "&": 2, "+": 3, "-": 3, "*": 4, "/": 4}
#: Ways of a token that lead to one cell.
_SINGLE = ("", "above")
Leads = Callable[[str], str]


class FormulaSource:
    """Reads one formula from left to right and says it in Python.

    Parameters
    ----------
    formula : str
        Declared formula with ``{tokens}``, without its equals sign.
    cell : callable
        Returns the source of a token, told without its braces.
    span : callable
        Returns the source of a range from one token to another.
    name : callable
        Returns the source of a defined name.
    """

    def __init__(self, formula: str, cell: Leads, span: Callable[[str, str], str], name: Leads) -> None:
        self._parts: list[tuple[str, str]] = []
        at = 0
        while at < len(formula):
            found = _PART.match(formula, at)
            if not found or found.lastgroup is None:
                raise SyntaxError(f"cannot read {formula[at : at + 40]!r}")
            self._parts.append((found.lastgroup, found[found.lastgroup]))
            at = found.end()
        self._parts.append(("end", ""))
        self._at, self._in_rows = 0, False
        self._kinds: dict[str, str] = {}
        self._cell, self._span, self._name = cell, span, name

    def source(self) -> str:
        """Return the whole formula as a Python expression."""
        out = self._comparison()
        if self._parts[self._at][0] != "end":
            raise SyntaxError(f"cannot read on at {self._parts[self._at:]}")
        return out

    def _sign(self, *wanted: str) -> str:
        kind, part = self._parts[self._at]
        if kind == "sign" and part in wanted:
            self._at += 1
            return part
        return ""

    def _said(self, pattern: str, *operands: str, kind: str = "") -> str:
        """Return an operation on cells or, within SUMPRODUCT, on every row of columns; `kind` is what it is sure to give."""
        if not self._in_rows:
            out = pattern.format(*operands)
            if kind:
                self._kinds[out] = kind
            return out
        names = [f"_{place}" for place in range(len(operands))]
        return f"each(lambda {', '.join(names)}: {pattern.format(*names)}, {', '.join(operands)})"

    def _as(self, kind: str, source: str) -> str:
        """Return a source taken as a number or a truth; what is one already needs no asking."""
        return source if self._kinds.get(source) == kind else f"{kind}({source})"

    def _comparison(self, least: int = 1) -> str:
        """Read operands joined by signs that bind at least so closely."""
        left = self._signed()
        while (sign := self._parts[self._at])[0] == "sign" and _BINDS.get(sign[1], 0) >= least:
            self._at += 1
            left = self._joined(left, sign[1], self._comparison(_BINDS[sign[1]] + 1))
        return left

    def _joined(self, left: str, sign: str, right: str) -> str:
        if sign in _COMPARISONS:
            if right == "''" and sign in ("=", "<>") and not self._in_rows:
                return self._said("({} " + ("in" if sign == "=" else "not in") + " BLANKS)", f"({left})", kind="truth")
            return self._said(_COMPARISONS[sign] + "({}, {})", left, right, kind="truth")
        if sign == "&":
            return self._said("(text({}) + text({}))", left, right)
        if self._in_rows:
            return self._said(_ARITHMETIC[sign].format("number({})", "number({})"), left, right)
        return self._said(_ARITHMETIC[sign], self._as("number", left), self._as("number", right), kind="number")

    def _signed(self) -> str:
        if self._sign("-"):
            return self._said("(-number({}))", self._signed(), kind="number")
        return self._single()

    def _single(self) -> str:
        kind, part = self._parts[self._at]
        self._at += 1
        if kind == "number":
            self._kinds[part] = kind
            return part
        if kind == "text":
            return repr(part[1:-1].replace('""', '"'))
        if kind == "cell":
            if not self._sign(":"):
                return self._cell(part[1:-1])
            self._at += 1
            return self._span(part[1:-1], self._parts[self._at - 1][1][1:-1])
        if kind == "name":
            return part.title() if part in ("TRUE", "FALSE") else self._name(part)
        if kind == "function":
            return self._called(part.upper().removeprefix("_XLFN."))
        if part == "(":
            out = self._comparison()
            self._sign(")")
            self._kinds[f"({out})"] = self._kinds.get(out, "")
            return f"({out})"
        raise SyntaxError(f"cannot read {part!r}")

    def _called(self, function: str) -> str:
        around, self._in_rows = self._in_rows, self._in_rows or function == "SUMPRODUCT"
        given: list[str] = []
        while not self._sign(")"):
            given.append(self._argument(function))
            self._sign(",")
        self._in_rows = around
        if function == "IF":
            return f"(({given[1]}) if {self._as('truth', given[0])} else ({given[2] if len(given) > 2 else 'False'}))"
        if function in ("OR", "AND"):
            # Every part is worked out, as engines do: an error in one is an error of the whole.
            out = "(" + (" | " if function == "OR" else " & ").join(self._as("truth", each) for each in given) + ")"
            self._kinds[out] = "truth"
            return out
        if function == "IFERROR":
            return f"unless_error(lambda: {given[0]}, lambda: {given[1]})"
        if function == "ISNUMBER":
            return f"is_number(unless_error(lambda: {given[0]}, lambda: ''))"
        if function == "CHOOSE":
            return f"chosen({given[0]}, [{', '.join(f'lambda: {each}' for each in given[1:])}])"
        return f"{function}({', '.join(given)})"

    def _argument(self, function: str) -> str:
        if self._parts[self._at] in (("sign", ","), ("sign", ")")):
            return "None"
        start = self._at
        out = self._comparison()
        return f"One({out})" if function in PASS_OVER_TEXTS and self._is_a_cell(start) else out

    def _is_a_cell(self, start: int) -> bool:
        """Whether what was read from a place on is one cell: a token, a name, or an INDEX."""
        kind, part = self._parts[start]
        if self._at - start == 1:
            return kind == "name" or (kind == "cell" and part[1:-1].partition(":")[2] in _SINGLE)
        if (kind, part) != ("function", "INDEX"):
            return False
        depth = 0
        for place in range(start, self._at):
            kind, part = self._parts[place]
            depth += (kind == "function") + ((kind, part) == ("sign", "(")) - ((kind, part) == ("sign", ")"))
            if depth == 0:
                return place == self._at - 1
        return False
