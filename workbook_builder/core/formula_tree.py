"""A declared formula read into a tree, and a tree written as a formula again."""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

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
#: A token in braces: the table where another one is meant, the column, and the way to its cells.
TOKEN = re.compile(r"\{([a-z_0-9]+)(?:\.([a-z_0-9]+))?(?::([a-z]+))?\}")
COMPARISONS = ("=", "<>", "<", ">", "<=", ">=")
#: How closely each sign binds.
_BINDS = {**dict.fromkeys(COMPARISONS, 1), "&": 2, "+": 3, "-": 3, "*": 4, "/": 4, "^": 5}

NUMBER, TEXT, CELL, SPAN, NAME, CALL, SIGN, MINUS, GROUP, OMITTED = ("number", "text", "cell", "span", "name",
                                                                     "call", "sign", "minus",
                                                                     "group", "omitted")


class Node(NamedTuple):
    """A part of a formula.

    Attributes
    ----------
    kind : str
        A number, text, cell (told by its token), span of cells of a row, defined name, call of a
        function, two parts joined by a sign, a minus, a group in brackets, or an argument left out.
    said : str
        The number, text, token, name, function or sign.
    parts : tuple of Node
        What it is made of.
    """

    kind: str
    said: str = ""
    parts: tuple[Node, ...] = ()


def place_of(token: str, table: str) -> tuple[str, str, str]:
    """Return where a token without its braces leads from a table: table, column, and the way to its cells."""
    name, _, way = token.partition(":")
    first, _, second = name.partition(".")
    return (first, second, way) if second else (table, first, way)


@cache
def tree(formula: str) -> Node:
    """Return a declared formula, without its equals sign, as a tree.

    Raises
    ------
    SyntaxError
        When it cannot be read to its end.
    """
    reader = _Reader(formula)
    found = reader.joined()
    if reader.at[0] != "end":
        raise SyntaxError(f"cannot read on in {formula!r}")
    return found


def written(node: Node) -> str:
    """Return a tree as a formula."""
    parts = [written(part) for part in node.parts]
    match node.kind:
        case "text":
            return '"' + node.said.replace('"', '""') + '"'
        case "cell":
            return "{" + node.said + "}"
        case "span":
            return ":".join(parts)
        case "call":
            return f"{node.said}({','.join(parts)})"
        case "sign":
            return node.said.join(parts)
        case "minus":
            return f"-{parts[0]}"
        case "group":
            return f"({parts[0]})"
        case "blank":
            return parts[0]
    return node.said


class _Reader:
    """Reads one formula from left to right."""

    def __init__(self, formula: str) -> None:
        self._parts: list[tuple[str, str]] = []
        at = 0
        while at < len(formula):
            found = _PART.match(formula, at)
            if not found or found.lastgroup is None:
                raise SyntaxError(f"cannot read {formula[at : at + 40]!r}")
            self._parts.append((found.lastgroup, found[found.lastgroup]))
            at = found.end()
        # Two, so that taking the end of a formula that breaks off is no error of its own.
        self._parts += [("end", "")] * 2
        self._place = 0
        #: The part that comes next.
        self.at = self._parts[0]

    def _take(self, *signs: str) -> str:
        """Return the next part and go on behind it.

        Where signs are named only one of them, and blank for others.
        """
        kind, part = self.at
        if signs and (kind != "sign" or part not in signs):
            return ""
        self._place += 1
        self.at = self._parts[self._place]
        return part

    def joined(self, least: int = 1) -> Node:
        """Read operands joined by signs that bind at least so closely."""
        left = self._single()
        while self.at[0] == "sign" and _BINDS.get(self.at[1], 0) >= least:
            sign = self._take()
            left = Node(SIGN, sign, (left, self.joined(_BINDS[sign] + 1)))
        return left

    def _single(self) -> Node:
        kind, part = self.at[0], self._take()
        if kind == "sign" and part == "-":
            return Node(MINUS, parts=(self._single(),))
        if kind == "sign" and part == "(":
            inner = self.joined()
            self._take(")")
            return Node(GROUP, parts=(inner,))
        if kind == "text":
            return Node(TEXT, part[1:-1].replace('""', '"'))
        if kind == "cell":
            first = Node(CELL, part[1:-1])
            return Node(SPAN, parts=(first, Node(CELL, self._take()[1:-1]))) if self._take(":") else first
        if kind == "function":
            given: list[Node] = []
            while not self._take(")"):
                given.append(Node(OMITTED) if self.at in (("sign", ","), ("sign", ")")) else self.joined())
                self._take(",")
            return Node(CALL, part, tuple(given))
        if kind in (NUMBER, NAME):
            return Node(kind, part)
        raise SyntaxError(f"cannot read {part!r}")
