"""Imports point one way: a room may use only the rooms named here,
and no two modules use each other in a circle.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "workbook_builder"

#: The bottom: small records that everything may use.
BASE = {"core", "file_format", "theme", "logo", "steps", "interruption", "text_widths", "__init__"}
DECLARED = BASE | {"features"}

#: Room -> rooms it may use besides itself.
ALLOWED: dict[str, set[str]] = {
    **dict.fromkeys(BASE, BASE),
    "features": BASE,
    "frames": DECLARED,
    "planning": DECLARED | {"frames"},
    "check": DECLARED,
    "read": DECLARED | {"check"},
    "roll_over": DECLARED | {"planning"},
    # The one picture that both the workbook and a printed sheet carry.
    "logo_picture": {"logo"},
    "layout": DECLARED | {"planning", "logo_picture"},
    "finish": set(),
    "marks": {"core", "file_format", "finish"},
    "engines": {"finish"},
    "export": DECLARED | {"planning", "check"},
    "printing": DECLARED | {"planning", "export", "check", "logo_picture"},
    "maps": DECLARED | {"planning", "check", "read", "printing"},
}
#: Rooms that tell a story or talk to people; they may use everything below them, in this order.
STORIES = ("build", "kept", "verify", "input_book", "many", "commands", "cli", "docs_reference", "__main__")


def room_of(module: str) -> str:
    """Return the room of a module named from the package down."""
    return module.split(".")[0]


@cache
def modules() -> dict[str, Path]:
    """Return the modules of the package and their files."""
    return {".".join(path.relative_to(PACKAGE).with_suffix("").parts).removesuffix(".__init__"): path
            for path in PACKAGE.rglob("*.py")}


@cache
def imports() -> dict[str, set[str]]:
    """Return module -> modules of ours it imports at run time, late imports included."""
    return {name: imported(path, set(modules())) for name, path in modules().items()}


def statements(body: list[ast.stmt]) -> Iterator[ast.stmt]:
    """Yield all statements of a file, those inside others included, apart from those for type checking only.
    """
    for node in body:
        yield node
        inner = [node, *getattr(node, "handlers", ()), *getattr(node, "cases", ())]
        for part in inner:
            for name in ("body", "orelse", "finalbody"):
                if (name != "body" or not isinstance(part, ast.If)
                    or "TYPE_CHECKING" not in ast.dump(part.test)):
                    yield from statements(getattr(part, name, []))


def imported(path: Path, known: set[str]) -> set[str]:
    """Return the modules of ours one file imports, apart from those for type checking only."""
    found: set[str] = set()
    for node in statements(ast.parse(path.read_text("utf-8")).body):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("workbook_builder"):
            base = (node.module or "").removeprefix("workbook_builder").removeprefix(".")
            for alias in node.names:
                whole = f"{base}.{alias.name}".removeprefix(".")
                found.add(whole if whole in known else base or "__init__")
    return found


@pytest.mark.parametrize("module", sorted(modules()))
def test_module_uses_only_allowed_rooms(module: str) -> None:
    """Every arrow is one the plan of the program has."""
    room = room_of(module)
    allowed = ALLOWED[room] if room in ALLOWED else set(ALLOWED) | set(STORIES[: STORIES.index(room)])

    assert {room_of(other) for other in imports()[module]} - allowed - {room} == set()


def test_no_circles() -> None:
    """No module comes back to itself through what it imports."""
    done: set[str] = set()

    def visit(module: str, path: tuple[str, ...]) -> None:
        assert module not in path, " -> ".join((*path, module))
        if module not in done:
            for other in imports().get(module, set()):
                visit(other, (*path, module))
            done.add(module)

    for module in imports():
        visit(module, ())
