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

    def _said(self, pattern: str, *operands: str) -> str:
        """Return an operation on cells or, within SUMPRODUCT, on every row of columns."""
        if not self._in_rows:
            return pattern.format(*operands)
        names = [f"_{place}" for place in range(len(operands))]
        return f"each(lambda {', '.join(names)}: {pattern.format(*names)}, {', '.join(operands)})"

    def _comparison(self) -> str:
        left = self._joined()
        while sign := self._sign(*_COMPARISONS):
            right = self._joined()
            if right == "''" and sign in ("=", "<>") and not self._in_rows:
                left = f"(({left}) {'in' if sign == '=' else 'not in'} BLANKS)"
            else:
                left = self._said(_COMPARISONS[sign] + "({}, {})", left, right)
        return left

    def _joined(self) -> str:
        left = self._added()
        while self._sign("&"):
            left = self._said("(text({}) + text({}))", left, self._added())
        return left

    def _added(self) -> str:
        left = self._multiplied()
        while sign := self._sign("+", "-"):
            left = self._said("(number({}) + number({}))" if sign == "+" else "(number({}) - number({}))", left, self._multiplied())
        return left

    def _multiplied(self) -> str:
        left = self._raised()
        while sign := self._sign("*", "/"):
            pattern = "(number({}) * number({}))" if sign == "*" else "divided(number({}), number({}))"
            left = self._said(pattern, left, self._raised())
        return left

    def _raised(self) -> str:
        left = self._signed()
        while self._sign("^"):
            left = self._said("POWER({}, {})", left, self._signed())
        return left

    def _signed(self) -> str:
        if self._sign("-"):
            return self._said("(-number({}))", self._signed())
        return self._single()

    def _single(self) -> str:
        kind, part = self._parts[self._at]
        self._at += 1
        if kind == "number":
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
            return f"(({given[1]}) if truth({given[0]}) else ({given[2] if len(given) > 2 else 'False'}))"
        if function in ("OR", "AND"):
            return "(" + (" | " if function == "OR" else " & ").join(f"truth({each})" for each in given) + ")"
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
