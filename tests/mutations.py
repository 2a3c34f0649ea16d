"""Mutants of the method: one broken place in a formula column or in a function of a feature."""

from __future__ import annotations

import ast
import importlib
import inspect
import pkgutil
import re
import zlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from types import CodeType, FunctionType

import workbook_builder.features as features
from workbook_builder import planning
from workbook_builder.features import TABLES, shipped
from workbook_builder.features.reference import data as reference

#: How a formula is broken; the first that applies is taken, so that each column has one mutant.
#: Adding nought is left whole: it turns text into a number, and taking nought away does the same.
SWAPS: tuple[tuple[str, str], ...] = (
    (r"\*(?=[A-Z(0-9$'a-z_])", "/"), (r"(?<=[)0-9a-z])/(?=[A-Z(0-9$'a-z_])", "*"),
    (r"(?<=[)0-9a-z])\+(?!0[,)])(?=[A-Z(0-9$'a-z_])", "-"),
    (r"(?<=[)0-9a-z])-(?=[A-Z(0-9$'a-z_])", "+"), (r">=|<=", "="), (r"(?<!<)>(?!=)", "<"),
    (r"<(?![=>])", ">"), (r"<>", "="),
    (r"\bMIN\(", "MAX("), (r"\bMAX\(", "MIN("), (r"\bOR\(", "AND("), (r"\bAND\(", "OR("),
    (r'"OK"', '"Review"'),
    (r'(?<=[,"])=(?!")', "<>"), (r'=""', '<>""'), (r",0\)", ",1)"), (r"^(?=.)", "1&"),
)


@dataclass(frozen=True)
class Mutant:
    """One broken place.

    Parameters
    ----------
    table, key : str
        Column of a formula mutant, or module and function of the other kind.
    what : str
        What was changed into what.
    pattern, replacement : str
        Of a formula mutant.
    function, code : object
        Of a function mutant: the function and its broken code.
    """

    table: str
    key: str
    what: str
    pattern: str = ""
    replacement: str = ""
    function: FunctionType | None = field(default=None, compare=False, repr=False)
    code: CodeType | None = field(default=None, compare=False, repr=False)

    def __str__(self) -> str:
        """Name the place and the change."""
        return f"{self.name}: {self.what}"

    def changed(self, text: str) -> str:
        """Return a formula with the last place of its kind broken, outside quoted texts when it can."""
        found = list(re.finditer(self.pattern, without_words(text)))
        if not found:
            return text
        last = found[-1]
        return text[: last.start()] + self.replacement + text[last.end() :]

    @property
    def name(self) -> str:
        """Return the broken column or function."""
        return f"{self.table}.{self.key}"

    @contextmanager
    def in_place(self) -> Iterator[None]:
        """Run with the broken function."""
        assert self.function is not None
        assert self.code is not None
        whole = self.function.__code__
        self.function.__code__ = self.code
        _forget()
        try:
            yield
        finally:
            self.function.__code__ = whole
            _forget()


def _forget() -> None:
    """Have what is made once for all farms made anew."""
    for module in (planning, reference, shipped):
        for kept in vars(module).values():
            if hasattr(kept, "cache_clear") and kept is not planning.workings:
                kept.cache_clear()


def one_in(mutants: Iterable[Mutant], every: int) -> list[Mutant]:
    """Return about one mutant in so many, chosen by name: a new column or function adds itself at most and
    shifts no other.
    """
    return [each for each in mutants if zlib.crc32(each.name.encode()) % every == 0]


def without_words(text: str) -> str:
    """Return a formula with quoted words and sheet names blotted out, at the same length."""
    named = r"""(?:'[^']*'|\b[A-Za-z_]\w*)!|"(?!OK")[^"]+"(?!")"""
    return re.sub(named, lambda found: "_" * len(found[0]), text)


def formula_mutants() -> Iterator[Mutant]:
    """Yield one mutant of every formula column."""
    for table in TABLES:
        for column in table.columns:
            texts = column.formulas
            text = next((text for text in texts if text), "")
            plain = without_words(re.sub(r"\{[^}]*\}", "A1", text))
            for pattern, replacement in SWAPS:
                if text and re.search(pattern, plain):
                    yield Mutant(table.key, column.key, f"{pattern} -> {replacement}", pattern, replacement)
                    break


OPERATORS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Gt: ast.Lt, ast.Lt: ast.Gt,
    ast.GtE: ast.Lt,
    ast.LtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.And: ast.Or, ast.Or: ast.And,
    ast.In: ast.NotIn, ast.Is: ast.IsNot,
}


def broken(tree: ast.FunctionDef) -> str:
    """Break the last operator of a function in place and say what was done; blank when there is none."""
    for node in reversed(list(ast.walk(tree))):
        if isinstance(node, (ast.BinOp, ast.BoolOp)) and type(node.op) in OPERATORS:
            before, node.op = type(node.op).__name__, OPERATORS[type(node.op)]()  # type: ignore[assignment]
            return f"line {node.lineno}: {before} -> {type(node.op).__name__}"
        if isinstance(node, ast.Compare) and type(node.ops[0]) in OPERATORS:
            before, node.ops[0] = type(node.ops[0]).__name__, OPERATORS[type(node.ops[0])]()
            return f"line {node.lineno}: {before} -> {type(node.ops[0]).__name__}"
    return ""


#: Annotations stay text, as in the modules themselves.
FUTURE = ast.parse("from __future__ import annotations").body


def declares(module: str, node: ast.FunctionDef) -> bool:
    """Whether a function writes formulas or columns when the program starts:
    what it wrote is broken among the formulas.
    """
    gives = ast.unparse(node.returns) if node.returns else ""
    return (node.name.endswith("_formula")
            or (module.endswith((".columns", ".inputs"))
                and gives.startswith(("str", "Column", "Table", "tuple[Column", "tuple[Table"))))


def function_mutants() -> Iterator[Mutant]:
    """Yield one mutant of every function of a feature that has an operator and is called while a farm is
    planned.
    """
    found = [info.name for info in pkgutil.walk_packages(features.__path__, f"{features.__name__}.")]
    for name in ("workbook_builder.planning", *found):
        module = importlib.import_module(name)
        for node in ast.parse(inspect.getsource(module)).body:
            if isinstance(node, ast.FunctionDef):
                mutant = _function_mutant(module, node,
                                          name.removeprefix(f"{features.__name__}.").removeprefix("workbook_builder."))
                if mutant is not None:
                    yield mutant


def _function_mutant(module: object, node: ast.FunctionDef, name: str) -> Mutant | None:
    what, function = broken(node), getattr(module, node.name)
    if not what or not isinstance(function, FunctionType) or function.__closure__ or declares(name, node):
        return None
    tree = ast.fix_missing_locations(ast.Module([*FUTURE, node], []))
    compiled = compile(tree, inspect.getfile(function), "exec")
    code = next(const for const in compiled.co_consts if isinstance(const, CodeType)
                and const.co_name == node.name)
    return Mutant(name, node.name, what, function=function, code=code)


@cache
def all_mutants() -> tuple[Mutant, ...]:
    """Return every mutant of both kinds."""
    return (*function_mutants(), *formula_mutants())
