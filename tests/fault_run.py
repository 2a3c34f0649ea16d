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
from contextlib import suppress
from io import BytesIO
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from map_help import csv_text, shape, simulated, spot_farm
from test_read_builders import farm, write_folder

from workbook_builder.build import build_inputs

TOP = Path(__file__).parents[1]
#: A place of the system where even its owner may make no file.
READ_ONLY = Path("/sys/kernel")
FAULTS = ("kill", "full disk", "memory", "read-only")
#: What stands under each name before a try, of the kind that may be replaced.
OLD = {".xlsx": b"old", ".json": b'{"old": 1}', ".ics": b"BEGIN:VCALENDAR old", ".html": b"old",
       ".geojson": b"{}", ".kml": b"<kml/>", ".csv": b"old"}
COMMANDS: dict[str, Callable[[str, Path], list[str]]] = {
    "build": lambda source, out: ["build", source, "-o", f"{out}/out.xlsx", "--json", f"{out}/plan.json",
                                  "--ics", f"{out}/season.ics", "--replace"],
    "print": lambda source, out: ["print", source, "-o", f"{out}"],
    "many": lambda source, out: ["build", source, f"{source}2", "-o", f"{out}", "--jobs", "2", "--replace"],
    "map": lambda source, out: ["map", f"{source}_log.csv", "--fields", f"{source}_fields.geojson", "--book",
                                f"{source}_book.xlsx", "-o", f"{out}", "--replace"],
}
NAMES = {
    "build": ("out.xlsx", "plan.json", "season.ics"), "print": ("mix-cards.html", "pick-list.html"),
    "many": ("farm.xlsx", "farm2.xlsx"),
    "map": ("spray_map.json", "spray_map.geojson", "spray_map.kml", "spray_map.html", "scouting_page.html",
            "load_log.csv"),
}
#: Commands whose files appear all together or not at all.
TOGETHER = ("build", "map")
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


def is_whole(name: str, data: bytes, sound: dict[str, bytes]) -> bool:
    """Return whether a file is the old one, or a whole new one: as a run with nothing in its way wrote it,
    or, where a clock is in it, sound by itself.
    """
    suffix = Path(name).suffix
    if data in (OLD[suffix], sound.get(name)):
        return True
    if suffix == ".xlsx":
        return zipfile.is_zipfile(BytesIO(data)) and zipfile.ZipFile(BytesIO(data)).testzip() is None
    if suffix == ".json":
        return bool(json.loads(data))
    ends = {".ics": b"END:VCALENDAR", ".html": b"</html>"}
    return suffix in ends and data.rstrip().endswith(ends[suffix])


def written(out: Path) -> dict[str, bytes]:
    """Return every file below a folder that stands under a name of ours."""
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in out.rglob("*") if path.is_file()
            and not path.name.startswith(".")}


def faults_after(command: str, fault: str, out: Path, code: int, said: str,
                 sound: dict[str, bytes]) -> list[str]:
    """Return what is not as promised after a try.

    `sound` is what the command writes when nothing is in its way.
    """
    files = written(out)
    found = [f"{name} is neither old nor whole" for name, data in files.items()
             if not is_whole(name, data, sound)]
    if fault != "kill":
        found += [f"{path.name} is left" for path in out.rglob("*") if ".part" in path.name]
        # The loader of the system may have had no memory to begin with; nobody of ours was there to speak
        # then.
        found += ["a traceback"] * ("Traceback" in said and "workbook_builder" in said)
        found += [f"exit code {code}"] * (code not in (0, 1, 2) and fault != "memory")
        new = [name for name in NAMES[command] if files[name] != OLD[Path(name).suffix]]
        found += [f"only {new} are new"] * (command in TOGETHER and 0 < len(new) < len(NAMES[command]))
    return found


def sources_in(folder: Path) -> Path:
    """Write two farms, and a third with the log and the boundary of a spot pass; return the first."""
    write_folder(folder / "farm2", farm())
    (folder / "farm_book.xlsx").write_bytes(build_inputs(spot_farm()).data)
    (folder / "farm_log.csv").write_text(csv_text(simulated()), "utf-8")
    field = {"type": "Polygon", "coordinates": [[*shape().rings[0].tolist(), shape().rings[0][0].tolist()]]}
    (folder / "farm_fields.geojson").write_text(json.dumps({"type": "Feature",
                                                            "properties": {"field": "North"},
                                                            "geometry": field}), "utf-8")
    return write_folder(folder / "farm", farm())


def prepared(command: str, out: Path) -> None:
    """Let files of an earlier run stand where a command writes."""
    out.mkdir()
    for name in NAMES[command]:
        (out / name).write_bytes(OLD[Path(name).suffix])


def sound_run(command: str, source: Path, out: Path) -> tuple[float, dict[str, bytes]]:
    """Run a command with nothing in its way; return its seconds and what it wrote."""
    prepared(command, out)
    started = time.monotonic()
    subprocess.run([sys.executable, "-m", "workbook_builder", *COMMANDS[command](str(source), out)], cwd=TOP,
                   check=True, capture_output=True)
    seconds, files = time.monotonic() - started, written(out)
    assert all(files[name] != OLD[Path(name).suffix] for name in NAMES[command]), (
        f"{command} did not write {NAMES[command]}")
    return seconds, files


def one_try(command: str, fault: str, source: Path, room: Path, chance: random.Random,
            usual: tuple[float, dict[str, bytes]]) -> tuple[str, list[str]]:
    """Run a command into a fault; return how it ended, and what was not as promised."""
    out, (seconds, sound) = room / "out", usual
    prepared(command, out)
    call = [sys.executable, "-m", "workbook_builder",
            *COMMANDS[command](str(source), READ_ONLY if fault == "read-only" else out)]
    program = subprocess.Popen(call, cwd=TOP, text=True, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
                               start_new_session=True, preexec_fn=limits(fault, chance))
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
    found = faults_after(command, fault, out, program.returncode, said, sound)
    return ("done" if program.returncode == 0 else "stopped"), found + ["a process is left"] * left


def main() -> int:
    """Make the tries and say how they ended."""
    parser = argparse.ArgumentParser(description="Stop and starve the program, and look at what it leaves.")
    parser.add_argument("--tries", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    chance, ended, wrong = random.Random(asked.seed), Counter[tuple[str, str, str]](), 0
    with tempfile.TemporaryDirectory() as folder:
        source = sources_in(Path(folder))
        usual = {command: sound_run(command, source, Path(folder, f"sound {command}"))
                 for command in COMMANDS}
        with suppress(KeyboardInterrupt):
            for number in range(asked.tries):
                command, fault = list(COMMANDS)[number % 4], FAULTS[number // 4 % 4]
                with tempfile.TemporaryDirectory() as room:
                    how, found = one_try(command, fault, source, Path(room), chance, usual[command])
                ended[command, fault, how] += 1
                wrong += bool(found)
                if found:
                    print(f"try {number}, {command}, {fault}: {'; '.join(found)}", flush=True)
    for (command, fault, how), count in sorted(ended.items()):
        print(f"{command}, {fault}: {count} {how}")
    print(f"{ended.total()} tries, {wrong} faults")
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
