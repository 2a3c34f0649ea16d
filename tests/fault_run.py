"""The program stopped by force or starved, again and again: ``python -m tests.fault_run --tries 200``.

Each try starts the real program over files of an earlier run, and kills it at a random moment, lets no
file grow beyond a random size, gives it too little memory, or a place nobody may write to.  Afterwards
every file must be the old one or a whole new one, nothing half written may stand under a name of ours,
no process may be left, and whatever is said must be a sentence.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
import zipfile
from collections import Counter
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from test_read_builders import farm, write_folder

TOP = Path(__file__).parents[1]
#: A place of the system where even its owner may make no file.
READ_ONLY = Path("/sys/kernel")
FAULTS = ("kill", "full disk", "memory", "read-only")
#: What stands under each name before a try, of the kind that may be replaced.
OLD = {".xlsx": b"old", ".json": b'{"old": 1}', ".ics": b"BEGIN:VCALENDAR old", ".html": b"old"}
COMMANDS: dict[str, Callable[[str, Path], list[str]]] = {
    "build": lambda source, out: ["build", source, "-o", f"{out}/out.xlsx", "--json", f"{out}/plan.json", "--ics", f"{out}/season.ics", "--replace"],
    "print": lambda source, out: ["print", source, "-o", f"{out}"],
    "many": lambda source, out: ["build", source, f"{source}2", "-o", f"{out}", "--jobs", "2", "--replace"],
}
NAMES = {"build": ("out.xlsx", "plan.json", "season.ics"), "print": ("mix-cards.html", "pick-list.html"), "many": ("farm.xlsx", "farm2.xlsx")}
MEGABYTE = 2**20


def limits(fault: str, chance: random.Random) -> Callable[[], None] | None:
    """Return what a program does before it starts, so that it runs short of room or memory."""
    if fault == "full disk":
        most = chance.randrange(0, 400_000)
        return lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    if fault == "memory":
        held = chance.randrange(60, 500) * MEGABYTE
        return lambda: resource.setrlimit(resource.RLIMIT_AS, (held, held))
    return None


def is_whole(path: Path) -> bool:
    """Return whether a file is the old one, or a whole new one of its kind."""
    data = path.read_bytes()
    if data == OLD.get(path.suffix):
        return True
    if path.suffix == ".xlsx":
        return zipfile.is_zipfile(BytesIO(data)) and zipfile.ZipFile(BytesIO(data)).testzip() is None
    if path.suffix == ".json":
        return bool(json.loads(data))
    ends = {".ics": b"END:VCALENDAR", ".html": b"</html>"}
    return path.suffix in ends and data.rstrip().endswith(ends[path.suffix])


def faults_after(command: str, fault: str, out: Path, code: int, said: str) -> list[str]:
    """Return what is not as promised after a try."""
    files = [path for path in out.rglob("*") if path.is_file()] if fault != "read-only" else []
    found = [f"{path.name} is neither old nor whole" for path in files if not path.name.startswith(".") and not is_whole(path)]
    if fault != "kill":
        found += [f"{path.name} is left" for path in files if ".part" in path.name]
        # The loader of the system may have had no memory to begin with; nobody of ours was there to speak then.
        found += ["a traceback"] * ("Traceback" in said and "workbook_builder" in said)
        found += [f"exit code {code}"] * (code not in (0, 1, 2) and fault != "memory")
        new = [name for name in NAMES[command] if files and (out / name).read_bytes() != OLD[Path(name).suffix]]
        found += [f"only {new} are new"] * (command == "build" and 0 < len(new) < len(NAMES["build"]))
    return found


def one_try(command: str, fault: str, source: Path, room: Path, chance: random.Random, seconds: float) -> tuple[str, list[str]]:
    """Run a command into a fault; return how it ended, and what was not as promised."""
    out = room / "out"
    out.mkdir()
    for name in NAMES[command]:
        (out / name).write_bytes(OLD[Path(name).suffix])
    call = [sys.executable, "-m", "workbook_builder", *COMMANDS[command](str(source), READ_ONLY if fault == "read-only" else out)]
    program = subprocess.Popen(call, cwd=TOP, text=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, start_new_session=True, preexec_fn=limits(fault, chance))
    if fault == "kill":
        time.sleep(chance.uniform(0.1, seconds))
        program.send_signal(signal.SIGKILL)
    said = program.communicate(timeout=600)[1]
    until = time.monotonic() + 5
    left = True
    while left and time.monotonic() < until:
        try:
            os.killpg(program.pid, 0)
            time.sleep(0.1)
        except ProcessLookupError:
            left = False
    found = faults_after(command, fault, out, program.returncode, said)
    return ("done" if program.returncode == 0 else "stopped"), found + ["a process is left"] * left


def main() -> int:
    """Make the tries and say how they ended."""
    parser = argparse.ArgumentParser(description="Stop and starve the program, and look at what it leaves.")
    parser.add_argument("--tries", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    chance, ended, wrong = random.Random(asked.seed), Counter[tuple[str, str, str]](), 0
    with tempfile.TemporaryDirectory() as folder:
        sources = [write_folder(Path(folder) / name, farm()) for name in ("farm", "farm2")]
        started = time.monotonic()
        subprocess.run([sys.executable, "-m", "workbook_builder", "build", sources[0], "-o", f"{folder}/sound.xlsx"], cwd=TOP, check=True, capture_output=True)
        seconds = time.monotonic() - started
        for number in range(asked.tries):
            command, fault = list(COMMANDS)[number % 3], FAULTS[number // 3 % 4]
            with tempfile.TemporaryDirectory() as room:
                how, found = one_try(command, fault, sources[0], Path(room), chance, seconds)
            ended[command, fault, how] += 1
            wrong += bool(found)
            if found:
                print(f"try {number}, {command}, {fault}: {'; '.join(found)}", flush=True)
    for (command, fault, how), count in sorted(ended.items()):
        print(f"{command}, {fault}: {count} {how}")
    print(f"{asked.tries} tries, {wrong} faults")
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
