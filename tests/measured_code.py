"""What slipcover makes of a file before it marks its lines, made once a run:
the processes that run tests all import the package.
"""

from __future__ import annotations

import ast
import marshal
from hashlib import sha256
from importlib.machinery import SourceFileLoader
from pathlib import Path
from types import CodeType, ModuleType

from filelock import FileLock
from slipcover import branch, importer, slipcover

#: Name of the variable that says where the processes of a run keep it.
KEPT_IN = "MEASURED_CODE"


#: How long one process waits before it looks again whether another is done with a file [s].
SHORT = 0.002


def share(folder: Path) -> None:
    """Have slipcover look in a folder for what another process of this run made."""
    alone = importer.SlipcoverLoader.exec_module

    def exec_module(loader: importer.SlipcoverLoader, module: ModuleType) -> None:
        if not loader.sci.branch or not isinstance(loader.orig_loader, SourceFileLoader):
            alone(loader, module)
            return
        code, lines = prepared(loader.origin, folder)
        loader.sci.register_module(module)
        known[id(code)] = lines
        marked = loader.sci.instrument(code)
        del known[id(code)]
        exec(marked, module.__dict__)

    known: dict[int, list[int]] = {}
    by_itself = slipcover.Slipcover.lines_from_code
    slipcover.Slipcover.lines_from_code = staticmethod(lambda code: known[id(code)] if id(code) in known
                                                       else by_itself(code))
    importer.SlipcoverLoader.exec_module = exec_module


def prepared(source: Path, folder: Path) -> tuple[CodeType, list[int]]:
    """Return the code of a file with its branches marked, and the lines that count."""
    kept = folder / sha256(str(source).encode()).hexdigest()
    with FileLock(f"{kept}.lock", poll_interval=SHORT):
        if not kept.exists():
            made = compile(branch.preinstrument(ast.parse(source.read_bytes())), str(source), "exec")
            kept.write_bytes(marshal.dumps((made, sorted(set(slipcover.Slipcover.lines_from_code(made))))))
        code, lines = marshal.loads(kept.read_bytes())
    return code, lines
