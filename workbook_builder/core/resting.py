"""What a workbook leaves out for a farm that does not use it.

Where nobody types into a table, its cells are blank, and much of what leans on them is the same
in every row of every farm.  Such columns are worked out here, left out of the workbook, and put
as plain values into the formulas that read them.  What people are shown stays, and so does every
column that a formula still needs.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from workbook_builder.core.columns import Column, Table
from workbook_builder.core.draft import serial
from workbook_builder.core.evaluate import WORDS, Place, Workings
from workbook_builder.core.formula_source import FormulaSource
from workbook_builder.core.formula_tree import (
    CALL,
    CELL,
    GROUP,
    MINUS,
    NAME,
    NUMBER,
    SIGN,
    TEXT,
    TOKEN,
    Node,
    place_of,
    tree,
    written,
)
from workbook_builder.core.functions import FUNCTIONS, criterion
from workbook_builder.core.values import CellError

#: What stands for an error such as #N/A, and for a cell nobody types into (with what leads to it).
ERROR, BLANK = "error", "blank"
EMPTY, NOUGHT, TRUE, FALSE = Node(TEXT), Node(NUMBER, "0"), Node(NAME, "TRUE"), Node(NAME, "FALSE")
#: Ways of a token that lead to several cells.
_RANGES = ("all", "block", "upto")
#: A range is tried with so many rows: a result that depends on their number is none to count on.
_TRIED_ROWS = (2, 3)
#: Functions that pass over texts and blanks and give nought of nothing.
_OF_NOTHING = ("SUM", "MAX", "MIN", "COUNT")
_CONDITIONAL = {"COUNTIF": 0, "COUNTIFS": 0, "SUMIF": 1, "SUMIFS": 1, "MAXIFS": 1, "MINIFS": 1}
Known = frozenset[Node]


class Resting:
    """The tables of a workbook in which some typed tables stay blank.

    Parameters
    ----------
    workings : Workings
        The formulas of all tables.
    blank : collection of str
        Keys of the typed tables, and columns of others as ``table.column``, that stay blank.
    system : str
        Unit system, for what forms hold of themselves.

    Attributes
    ----------
    same : dict of (str, str) to object
        Table and column -> the value that all its cells show in every such workbook.
    """

    def __init__(self, workings: Workings, blank: Collection[str], system: str) -> None:
        self._declared, self._blank = workings.tables, frozenset(blank)
        self.same: dict[Place, Any] = {}
        self._formulas: dict[Place, tuple[Node, ...]] = {}
        for named in blank:
            key, _, only = named.partition(".")
            table = self._declared[key]
            left = [column for column in table.columns if column.typed and only in ("", column.key)]
            self.same.update(((key, column.key), serial(column.default_in(system)) if table.is_form else None)
                             for column in left)
        self._forms = workings.named
        self._names = [name for name, table in workings.named.items() if table in self._blank]
        for together in {id(found): found for found in workings.together.values()}.values():
            # Columns that lean on one another are gone through until nothing more becomes known of them.
            known = -1
            while known < len(self.same):
                known = len(self.same)
                for place in together:
                    self._work_out(place, workings)
                if len(together) == 1:
                    break

    def _work_out(self, place: Place, workings: Workings) -> None:
        formulas = self._declared[place[0]].by_key[place[1]].formulas
        # Most read nothing of what is known, and are left as they are.
        if any(name in text for text in formulas for name in self._names) or any(
               read in self.same for text in formulas for read in _places(text, place[0])):
            folder = Folder(place[0], workings, self.same)
            trees = self._formulas[place] = tuple(folder.whole(tree(text)) for text in formulas)
            if len(set(trees)) == 1 and _is_value(trees[0]):
                self.same[place] = _value(trees[0])

    def tables(self, shown: Iterable[Place], whole: Collection[str]) -> list[Table]:
        """Return the tables of the workbook: what people read or type, and what its formulas need.

        Parameters
        ----------
        shown : iterable of (str, str)
            Table and column of what people read.
        whole : collection of str
            Keys of tables of which every column comes that does not show the same everywhere.
        """
        kept = self._kept(shown, whole)
        found = []
        for key, table in self._declared.items():
            columns = [column for column in table.columns if column.key in kept.get(key, ())]
            for at, column in enumerate(columns):
                if (key, column.key) in self._formulas:
                    texts = self._texts(key, column)
                    columns[at] = replace(column, formula=texts if isinstance(column.formula, tuple)
                                          else "".join(texts), needs="")
            found += [replace(table, columns=tuple(columns))] if columns else []
        return found

    def _texts(self, table: str, column: Column) -> tuple[str, ...]:
        """Return the formulas of a column as the workbook holds them."""
        trees = self._formulas.get((table, column.key))
        return column.formulas if trees is None else tuple(map(written, trees))

    def _kept(self, shown: Iterable[Place], whole: Collection[str]) -> dict[str, set[str]]:
        kept: dict[str, set[str]] = {}
        tables = (self._declared[key] for key in whole if key not in self._blank)
        waiting = [*shown, *((table.key, column.key) for table in tables for column in table.columns
                             if (table.key, column.key) not in self.same)]
        while waiting:
            key, wanted = waiting.pop()
            table = self._declared[key]
            if key not in kept:
                # A table comes with what it holds without formulas, and with the table that gives it its
                # rows.
                kept[key] = set()
                waiting += [(key, column.key) for column in table.columns if not column.calculated
                            and f"{key}.{column.key}" not in self._blank]
                waiting += ([(table.parent, self._declared[table.parent].columns[0].key)]
                            if table.parent else [])
            if wanted not in kept[key]:
                kept[key].add(wanted)
                # The columns that it reads, by their names too, and the one its drop-down offers.
                column = table.by_key[wanted]
                for text in self._texts(key, column):
                    waiting += _places(text, key)
                    waiting += ((form, name) for name, form in self._forms.items() if name in text)
                if isinstance(column.choices, str) and column.choices:
                    target, _, offered = column.choices.partition(".")
                    waiting.append((target, offered))
        return kept


def _places(text: str, table: str) -> Iterator[Place]:
    """Yield the columns that a formula reads."""
    for first, second, _ in TOKEN.findall(text):
        yield (first, second) if second else (table, first)


def _tokens(node: Node) -> Iterator[str]:
    """Yield the tokens of a tree."""
    if node.kind == CELL:
        yield node.said
    for part in node.parts:
        yield from _tokens(part)


def _is_value(node: Node) -> bool:
    """Whether a tree is one value, whatever else a workbook holds."""
    return (node.kind in (NUMBER, TEXT, ERROR, BLANK) or node in (TRUE, FALSE)
            or (node.kind in (MINUS, GROUP) and _is_value(node.parts[0])))


def _value(node: Node) -> Any:
    match node.kind:
        case "number":
            return float(node.said) if not node.said.isdigit() else int(node.said)
        case "minus":
            return -_value(node.parts[0])
        case "group":
            return _value(node.parts[0])
        case "blank":
            return None
    return node == TRUE if node.kind == NAME else node.said


def _as_node(value: Any) -> Node:
    """Return a value as a part of a formula."""
    if isinstance(value, bool):
        return TRUE if value else FALSE
    if isinstance(value, str):
        return Node(TEXT, value)
    number = Node(NUMBER, repr(abs(value)))
    return Node(GROUP, parts=(Node(MINUS, parts=(number,)),)) if value < 0 else number


def _in_brackets(node: Node) -> Node:
    """Return what takes the place of a call so that the signs around it bind no part of it."""
    return Node(GROUP, parts=(node,)) if node.kind in (SIGN, MINUS) else node


class Folder:
    """Works out what the formulas of one table show whatever else a workbook holds.

    Parameters
    ----------
    table : str
        Key of the table.
    workings : Workings
    same : mapping of (str, str) to object
        Table and column -> the value that all its cells show.
    """

    def __init__(self, table: str, workings: Workings, same: Mapping[Place, Any]) -> None:
        self._table, self._named, self._same = table, workings.named, same

    def whole(self, node: Node) -> Node:
        """Return a whole formula; one that only points to a blank cell shows nought."""
        found = self._folded(node, frozenset())
        while found.kind == GROUP:
            found = found.parts[0]
        return NOUGHT if found.kind == BLANK else found

    def _held(self, token: str) -> tuple[Any, ...]:
        """Return the value that all cells of a token show, in a tuple; an empty one where they differ."""
        place = place_of(token, self._table)[:2]
        return (self._same[place],) if place in self._same else ()

    def _folded(self, node: Node, known: Known) -> Node:
        """Return a tree with all that is known worked out.

        `known` are parts that are sure not to be blank.
        """
        match node.kind:
            case "cell":
                return self._cell(node, node.said) if ":" not in node.said else node
            case "name":
                return (self._cell(node, f"{self._named[node.said]}.{node.said}")
                        if node.said in self._named else node)
            case "span" | "number" | "text":
                return node
            case "call":
                return self._call(node, node.said.upper().removeprefix("_XLFN."), known)
        parts = tuple(self._folded(part, known) for part in node.parts)
        if any(part.kind == ERROR for part in parts):
            return Node(ERROR)
        if node.kind == GROUP and (_is_value(parts[0]) or parts[0].kind in (CALL, CELL)):
            return parts[0]
        return self._worked_out(Node(node.kind, node.said, parts))

    def _cell(self, node: Node, token: str) -> Node:
        held = self._held(token)
        return node if not held else Node(BLANK, parts=(node,)) if held[0] is None else _as_node(held[0])

    def _call(self, node: Node, function: str, known: Known) -> Node:
        if function == "IF":
            return self._if(node, known)
        if function == "SUMPRODUCT":
            # Its signs work on whole columns, so only the whole of it can be worked out.
            return self._tried_out(node) if all(self._held(token) for token in _tokens(node)) else node
        parts = tuple(self._folded(part, known) for part in node.parts)
        if function in ("COUNTA", "AVERAGE") and any(_is_value(part) for part in parts):
            return node
        if function == "IFERROR":
            return (_in_brackets(parts[1] if parts[0].kind == ERROR else parts[0]) if _is_value(parts[0])
                    else Node(CALL, node.said, parts))
        if function in ("OR", "AND"):
            ends, goes_on = (TRUE, FALSE) if function == "OR" else (FALSE, TRUE)
            parts = tuple(part for part in parts if part != goes_on)
            if ends in parts or not parts:
                return ends if ends in parts else goes_on
        if any(part.kind == ERROR for part in parts):
            return {"ISNUMBER": FALSE, "ISERROR": TRUE}.get(function, Node(ERROR))
        if function in _OF_NOTHING:
            # Such a function passes over a text in a cell, but takes one handed over by itself for an error.
            parts = tuple(part for part in parts if part.kind not in (TEXT, BLANK))
            if not parts:
                return NOUGHT
        return (self._looked_up(Node(CALL, node.said, parts), function, known)
                or self._worked_out(Node(CALL, node.said, parts)))

    def _if(self, node: Node, known: Known) -> Node:
        condition = self._folded(node.parts[0], known)
        if condition.kind == ERROR:
            return condition
        otherwise = node.parts[2] if len(node.parts) > 2 else FALSE
        if condition in (TRUE, FALSE):
            return _in_brackets(self._folded(node.parts[1] if condition == TRUE else otherwise, known))
        yes, no = (self._folded(node.parts[1], known | set(_not_blank(condition, True))),
                   self._folded(otherwise, known | set(_not_blank(condition, False))))
        return (yes if yes == no and _is_value(yes)
                else Node(CALL, node.said, (condition, yes, no)[: len(node.parts)]))

    def _looked_up(self, node: Node, function: str, known: Known) -> Node | None:
        """Return what looks into cells that are all alike, or nothing where that is not sure."""
        if function == "SUMIF":
            # As the others have it: what is added up comes first.
            node = Node(CALL, node.said, (node.parts[-1 if len(node.parts) == 3 else 0], *node.parts[:2]))
        ranges = [self._held(part.said) if part.kind == CELL and part.said.rpartition(":")[2] in _RANGES
                  else () for part in node.parts]
        if function == "INDEX" and ranges[0]:
            return Node(BLANK, parts=(node,)) if ranges[0][0] is None else _as_node(ranges[0][0])
        if function == "MATCH" and ranges[1]:
            return Node(ERROR) if ranges[1][0] in (None, "") and _is_text(node.parts[0], known) else None
        if function in _CONDITIONAL:
            first = _CONDITIONAL[function]
            if first and ranges[0] and (not isinstance(ranges[0][0], (int, float)) or ranges[0][0] == 0):
                return NOUGHT
            pairs = zip(ranges[first::2], node.parts[first + 1 :: 2], strict=True)
            # Cells that all hold one value may never meet a criterion.
            if any(held and (not criterion(_value(wanted))(held[0]) if _is_value(wanted)
                             else held[0] in (None, "") and _is_text(wanted, known))
                   for held, wanted in pairs):
                return NOUGHT
        return None

    def _worked_out(self, node: Node) -> Node:
        """Return the value of a part that reads nothing but what is known, other parts as they are."""
        # Not all is worked out by the plan itself.
        call = node.kind == CALL
        by_plan = (node.said.upper().removeprefix("_XLFN.") in (*FUNCTIONS, "OR", "AND", "ISNUMBER", "CHOOSE")
                   if call else node.kind == MINUS or (node.kind == SIGN and node.said != "^"))
        ready = by_plan and all(_is_value(part) or (call and part.kind == CELL and self._held(part.said))
                                for part in node.parts)
        return self._tried_out(node) if ready else node

    def _tried_out(self, node: Node) -> Node:
        value, again = (self._tried(node, rows) for rows in _TRIED_ROWS)
        if value != again:
            return node
        return (Node(ERROR) if value is CellError else Node(BLANK, parts=(node,)) if value is None
                else _as_node(value))

    def _tried(self, node: Node, rows: int) -> Any:
        def held(token: str) -> str:
            return f"Cells({[*self._held(token) * rows]!r})" if ":" in token else repr(self._held(token)[0])

        source = FormulaSource(node, held, lambda first, last: "None", lambda name: "None").source()
        try:
            return eval(source, dict(WORDS))
        except CellError:
            return CellError


def _is_text(node: Node, known: Known) -> bool:
    """Whether a part is sure not to be blank."""
    if node.kind == TEXT:
        return node.said != ""
    return (node in known or (node.kind == SIGN and node.said == "&"
                              and any(_is_text(part, known) for part in node.parts)))


def _not_blank(condition: Node, holds: bool) -> Iterator[Node]:
    """Yield the cells that are sure not to be blank where a condition holds, or does not."""
    if condition.kind == SIGN and condition.said == ("<>" if holds else "=") and condition.parts[1] == EMPTY:
        yield condition.parts[0]
    if condition.kind == CALL and condition.said == ("AND" if holds else "OR"):
        for part in condition.parts:
            yield from _not_blank(part, holds)
