"""A declared formula turned into Python source, once, so that each cell costs a call."""

from __future__ import annotations

from collections.abc import Callable

from workbook_builder.core.formula_tree import CALL, CELL, COMPARISONS, NAME, OMITTED, Node
from workbook_builder.core.functions import PASS_OVER_TEXTS

_COMPARED = dict(zip(COMPARISONS, ("equal", "unequal", "below", "above", "at_most", "at_least"), strict=True))
_ARITHMETIC = {"+": "({} + {})", "-": "({} - {})", "*": "({} * {})", "/": "divided({}, {})"}
#: Ways of a token that lead to one cell.
_SINGLE = ("", "above")
Leads = Callable[[str], str]


class FormulaSource:
    """Says one formula in Python.

    Parameters
    ----------
    formula : Node
        The formula as a tree.
    cell : callable
        Returns the source of a token, told without its braces.
    span : callable
        Returns the source of a range from one token to another.
    name : callable
        Returns the source of a defined name.
    """

    def __init__(self, formula: Node, cell: Leads, span: Callable[[str, str], str], name: Leads) -> None:
        self._tree, self._in_rows = formula, False
        self._kinds: dict[str, str] = {}
        self._cell, self._span, self._name = cell, span, name

    def source(self) -> str:
        """Return the whole formula as a Python expression."""
        return self._of(self._tree)

    def _said(self, pattern: str, *operands: str, kind: str = "") -> str:
        """Return an operation on cells or, within SUMPRODUCT, on every row of columns.

        `kind` is what it is sure to give.
        """
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

    def _of(self, node: Node) -> str:
        match node.kind:
            case "number":
                self._kinds[node.said] = "number"
                return node.said
            case "text":
                return repr(node.said)
            case "cell":
                return self._cell(node.said)
            case "span":
                return self._span(node.parts[0].said, node.parts[1].said)
            case "name":
                return node.said.title() if node.said in ("TRUE", "FALSE") else self._name(node.said)
            case "sign":
                return self._joined(self._of(node.parts[0]), node.said, self._of(node.parts[1]))
            case "minus":
                return self._said("(-number({}))", self._of(node.parts[0]), kind="number")
            case "group":
                inner = self._of(node.parts[0])
                self._kinds[f"({inner})"] = self._kinds.get(inner, "")
                return f"({inner})"
            case "blank":
                return "None"
        return self._called(node.said.upper().removeprefix("_XLFN."), node.parts)

    def _joined(self, left: str, sign: str, right: str) -> str:
        if sign in _COMPARED:
            if right == "''" and sign in ("=", "<>") and not self._in_rows:
                return self._said("({} " + ("in" if sign == "=" else "not in") + " BLANKS)",
                                  f"({left})", kind="truth")
            return self._said(_COMPARED[sign] + "({}, {})", left, right, kind="truth")
        if sign == "&":
            return self._said("(text({}) + text({}))", left, right)
        if self._in_rows:
            return self._said(_ARITHMETIC[sign].format("number({})", "number({})"), left, right)
        return self._said(_ARITHMETIC[sign], self._as("number", left), self._as("number", right),
                          kind="number")

    def _called(self, function: str, arguments: tuple[Node, ...]) -> str:
        around, self._in_rows = self._in_rows, self._in_rows or function == "SUMPRODUCT"
        given = ["None" if each.kind == OMITTED
                 else f"One({self._of(each)})" if function in PASS_OVER_TEXTS and _is_a_cell(each)
                 else self._of(each) for each in arguments]
        self._in_rows = around
        if function == "IF":
            return (f"(({given[1]}) if {self._as('truth', given[0])} else "
                    f"({given[2] if len(given) > 2 else 'False'}))")
        if function in ("OR", "AND"):
            # Every part is worked out, as engines do: an error in one is an error of the whole.
            out = ("(" + (" | " if function == "OR" else " & ").join(self._as("truth", each)
                                                                     for each in given) + ")")
            self._kinds[out] = "truth"
            return out
        if function == "IFERROR":
            return f"unless_error(lambda: {given[0]}, lambda: {given[1]})"
        if function == "ISNUMBER":
            return f"is_number(unless_error(lambda: {given[0]}, lambda: ''))"
        if function == "CHOOSE":
            return f"chosen({given[0]}, [{', '.join(f'lambda: {each}' for each in given[1:])}])"
        return f"{function}({', '.join(given)})"


def _is_a_cell(node: Node) -> bool:
    """Whether a part of a formula is one cell: a token, a name, or an INDEX."""
    if node.kind == CELL:
        return node.said.partition(":")[2] in _SINGLE
    return node.kind == NAME or (node.kind == CALL and node.said == "INDEX")
