"""``map``: from the log of a spot pass to shares, hot spots and what lies there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from workbook_builder.commands.exits import Misused, in_plain_words
from workbook_builder.commands.json_files import (
    STANDARD_OUTPUT,
    file_outputs,
    refuse_one_place,
    refuse_strange,
    write_streams,
)
from workbook_builder.commands.messages import print_problems, result, say
from workbook_builder.commands.progress import progress_shown
from workbook_builder.commands.themes import chosen_theme

if TYPE_CHECKING:
    from workbook_builder.check import Problem
    from workbook_builder.maps.files import LogOutcome, LogTask
    from workbook_builder.maps.shapes import Shape
    from workbook_builder.maps.told import Told
    from workbook_builder.theme import Theme


@dataclass(frozen=True)
class Wanted:
    """What is asked of a map, beside where it goes."""

    logs: tuple[Path, ...]
    fields: Path
    overlays: tuple[Path, ...] = ()
    earlier: tuple[Path, ...] = ()
    headers: Path | None = None
    passed: str = ""
    zone: str = ""
    boom: float | None = None
    drift: float | None = None
    gate: tuple[float, float] | None = None
    behind: float | None = None
    jobs: int = 0
    scheduler: str = ""


#: More than this many bytes of logs are mapped by several processes [bytes].
LARGE = 30_000_000
#: What a map is written as: file name by option.
FILES = {"json": "spray_map.json", "geojson": "spray_map.geojson", "kml": "spray_map.kml",
         "html": "spray_map.html", "sheet": "scouting_page.html",
         "loads": "load_log.csv"}


@in_plain_words
def map_logs(
    logs: Annotated[list[Path],
                    typer.Argument(metavar="LOG",
                                   help="Log of a spot pass: CSV, GeoJSON, GPX or zipped shapefile.",
                                   show_default=False)],
    fields: Annotated[Path, typer.Option("--fields", metavar="FILE",
                                         help="Field boundaries: GeoJSON, KML or zipped shapefile.",
                                         show_default=False)],
    book: Annotated[Path, typer.Option("--book", metavar="BOOK",
                                       help="Workbook, input workbook or folder of CSV files.",
                                       show_default=False)],
    out: Annotated[Path, typer.Option("--out", "-o", metavar="OUT",
                                      help="Workbook to write, with the tab Spray map, or folder.",
                                      show_default=False)],
    overlays: Annotated[list[Path] | None,
                        typer.Option("--overlays", metavar="FILE",
                                     help="Drainage, soil or replant as polygons; may be repeated.")] = None,
    earlier: Annotated[list[Path] | None,
                       typer.Option("--earlier", metavar="LOG",
                                    help="Log of an earlier pass or year; may be repeated.")] = None,
    pass_name: Annotated[str,
                         typer.Option("--pass", metavar="NAME",
                                      help="Which pass it is, where its day does not tell.",
                                      show_default=False)] = "",
    headers: Annotated[Path | None,
                       typer.Option("--headers", metavar="FILE",
                                    help="Your own table of headers: theirs, ours, unit.")] = None,
    zone: Annotated[str, typer.Option("--zone", metavar="NAME",
                                      help="Zone of the log's clock; the farm's when left out.",
                                      show_default=False)] = "",
    boom: Annotated[float | None, typer.Option("--boom", metavar="WIDTH", min=0.1,
                                               help="Width of the boom, where the log has none.")] = None,
    drift: Annotated[float | None, typer.Option("--drift", metavar="LENGTH", min=0.0,
                                                help="How far the receiver wanders.")] = None,
    behind: Annotated[float | None, typer.Option(
        "--behind", metavar="LENGTH",
        help="How far the boom is behind the antenna; by the book if not said.")] = None,
    jobs: Annotated[int | None,
                    typer.Option("--jobs", "-j", metavar="N", min=1,
                                 help="Logs read at a time; one per processor for large ones.")] = None,
    scheduler: Annotated[str, typer.Option("--scheduler", metavar="ADDRESS",
                                           help="Map many logs on a Dask cluster (extra: dask).")] = "",
    gate: Annotated[str, typer.Option("--gate", metavar="LAT,LON", help="Where the walk to the spots begins.",
                                      show_default=False)] = "",
    geojson: Annotated[bool,
                       typer.Option("--geojson", help="Write boundaries and hot spots as GeoJSON.")] = False,
    kml: Annotated[bool, typer.Option("--kml", help="Write them as KML.")] = False,
    html: Annotated[bool, typer.Option("--html", help="Write the map as a page.")] = False,
    sheet: Annotated[bool, typer.Option("--sheet", help="Write the page to walk to the spots with.")] = False,
    theme: Annotated[Path | None, typer.Option("--theme", metavar="FILE",
                                               help="Theme file: name, colours, logo, footer.")] = None,
    json: Annotated[Path | None, typer.Option("--json", metavar="PATH",
                                              help="Write the tables as JSON here; - for stdout.")] = None,
    replace: Annotated[bool,
                       typer.Option("--replace",
                                    help="Write over an earlier map; a workbook that was there is kept "
                                         "beside it.")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")] = False,
) -> None:
    """Map what a spot sprayer logged: shares, hot spots, what lies there.

    Tells which share of each field was sprayed, where clearly more was sprayed than elsewhere,
    whether drainage, soil or replant go together with it, and whether it comes back.
    Lengths are in the units of the book.  A log of on and off alone gives no share.

    A name that ends in .xlsx gets a copy of the book with the map on its tab Spray map, and
    what --geojson, --kml, --html and --sheet ask for beside it.  Notes on hot spots of an
    earlier map are kept.  A folder gets all pages and files unless an option asks for less;
    with --json - nothing else is written.

    \b
    Examples:
      workbook-builder map spot-pass.csv --fields fields.geojson --book farm-2026.xlsx -o farm-2026-map.xlsx
      workbook-builder map spot-pass.csv --fields fields.geojson --book farm-2026.xlsx -o map
      workbook-builder map log.csv --fields fields.kml --book my-farm/ --overlays drains.geojson -o map
      workbook-builder map log.csv --fields fields.kml --book my-farm/ --earlier last-year.csv -o map
    """
    from workbook_builder.commands.build import WORKBOOK_ENDING, refuse_taken, target_file
    from workbook_builder.finish import Output, write_together

    refuse_strange(json)
    chosen = {"geojson": geojson, "kml": kml, "html": html, "sheet": sheet}
    in_book = out.suffix.lower() == WORKBOOK_ENDING
    names = ([name for name in FILES if chosen.get(name)] if any(chosen.values())
             or str(json) == STANDARD_OUTPUT or in_book else list(FILES))
    paths = {name: out.with_name(f"{out.stem}_{FILES[name]}") if in_book else out / FILES[name]
             for name in names}
    if in_book:
        refuse_taken(target_file(book, out), replace)
        refuse_one_place(out, json)
    if not in_book and out.exists() and not out.is_dir():
        raise Misused(f"{out} is a file. Give the name of a folder with -o, or of a workbook that ends in "
                      f".xlsx.")
    holder, taken = out.parent if in_book else out, [path.name for path in paths.values() if path.exists()]
    if taken and not replace:
        raise Misused(f"{holder} holds {taken[0]} already. Choose another name, or add --replace (the map "
                      f"that is there is written over).")
    look = chosen_theme(theme)
    wanted = Wanted(
        tuple(logs), fields, tuple(overlays or ()), tuple(earlier or ()), headers, pass_name, zone, boom,
        drift, _gate(gate), behind, jobs or 0, scheduler
    )
    with progress_shown(quiet):
        found = mapped(wanted, book)
        texts = {paths[name]: text for name in names if (text := found.text(name, look))}
        books = [Output(out, found.workbook(look), replace, keep=True)] if in_book else []
    told_to = [(json, found.text("json", look))]
    # An earlier map is nobody's work, so it is not kept; an earlier workbook is.
    kept = write_together([*books,
                           *(Output(path, text.encode(), make_folder=True) for path, text in texts.items()),
                           *file_outputs(told_to)])
    write_streams(told_to)
    if quiet:
        return
    print_problems(found.problems)
    speak = say if str(json) == STANDARD_OUTPUT else result
    for made in found.told.analysis.passes:
        speak(f"{found.told.in_words(made)}.")
    for line in found.added(in_book, paths.get("loads") in texts):
        speak(line)
    if books and kept[0] is not None:
        say(f"The workbook that was there is kept as {kept[0]}.")
    if books:
        speak(f"Wrote {out}, with the tab Spray map.")
    if texts:
        speak(f"Wrote {', '.join(path.name for path in texts)} to {holder}.")


def _gate(text: str) -> tuple[float, float] | None:
    if not text:
        return None
    try:
        latitude, longitude = (float(part) for part in text.split(","))
    except ValueError:
        raise Misused(f"--gate {text} is not a place. Write latitude and longitude, for instance --gate "
                      f"41.01,-102.03") from None
    if not (abs(latitude) <= 90 and abs(longitude) <= 360):
        raise Misused(f"--gate {text} is not on the earth. Write latitude first, then longitude.")
    return latitude, longitude


@dataclass(frozen=True)
class Mapped:
    """A map with the plan it belongs to."""

    told: Told
    problems: list[Problem]
    overlays: list[Shape]
    gate: tuple[float, float] | None

    def text(self, name: str, theme: Theme) -> str:
        """Return one of `FILES`; blank for a page that there is no reason for."""
        from workbook_builder.maps.exports import as_geojson, as_kml
        from workbook_builder.maps.pages import map_page, scouting_page

        if name == "json":
            # The tables of a map as JSON, a row a line, and what is doubtful about the logs.
            from workbook_builder.export.json_text import plain_problem, tables_text

            return tables_text({**self.told.tables(),
                                "problems": [plain_problem(problem) for problem in self.problems]})
        if name == "geojson":
            return as_geojson(self.told)
        if name == "kml":
            return as_kml(self.told)
        if name == "loads":
            return self.told.loads_text()
        if name == "html":
            return map_page(self.told, self.overlays, theme)
        return scouting_page(self.told, self.overlays, self.gate, theme)

    def workbook(self, theme: Theme) -> bytes:
        """Return the book with its maps as a workbook."""
        from workbook_builder.build import build_inputs

        return build_inputs(self.told.plan.inputs, theme=theme).data

    def added(self, in_book: bool, beside: bool) -> Iterator[str]:
        """Yield what a map adds to the typed tables, beside its own."""
        before, after = self.told.before.inputs, self.told.plan.inputs
        for table, title in (("load_log", "Load log"), ("spot_history", "Spot history")):
            more = sum(1 for _ in after.filled(table)) - sum(1 for _ in before.filled(table))
            if more and in_book:
                yield f"{title}: {more} row{'s' if more > 1 else ''} added for what nobody had typed."
        if beside:
            yield (f"No load is typed for some of these passes: {FILES['loads']} holds rows for the table "
                   f"Load log.")


def mapped(wanted: Wanted, book: Path) -> Mapped:
    """Read logs, boundaries and book, and work the map out.

    Raises
    ------
    ProblemsFound
        When a file cannot be used.
    """
    from workbook_builder.check import ProblemsFound
    from workbook_builder.commands.print_sheets import planned
    from workbook_builder.core.units import factor, length_unit
    from workbook_builder.maps.fields import named_fields
    from workbook_builder.maps.files import LogTask, analysed_files
    from workbook_builder.maps.headers import header_table
    from workbook_builder.maps.into_book import book_of
    from workbook_builder.maps.passes import Farm
    from workbook_builder.maps.shapes import read_shapes
    from workbook_builder.maps.told import Told
    from workbook_builder.read.text_files import BadFile
    from workbook_builder.steps import tell

    tell("Reading the book", 0)
    plan, _ = planned(book)
    held = book_of(plan)
    metre = factor(length_unit(plan.system), "m")
    width = wanted.boom * metre if wanted.boom else held.boom
    zone = wanted.zone or held.zone
    try:
        tell("Reading boundaries", 0.2)
        shapes, found = read_shapes(wanted.fields)
        layers = []
        for path in wanted.overlays:
            more, doubts = read_shapes(path)
            layers += more
            found += doubts
        fields, strangers = named_fields(shapes, dict.fromkeys(each.field for each in held.planned),
                                         wanted.fields.name)
        found += strangers
        tell("Mapping logs", 0.25)
        farm = Farm(tuple(fields), held.planned, zone, tuple(layers), wanted.passed,
                    None if wanted.behind is None else wanted.behind * metre)
        # Whole paths, as a worker of a cluster stands in a folder of its own.
        logs = tuple(dict.fromkeys((path.absolute(), old)
                                   for paths, old in ((wanted.logs, False), (wanted.earlier, True))
                                   for path in paths))
        analysis, bad = analysed_files(LogTask(logs, farm, header_table(wanted.headers), plan.system, width),
                                       lambda tasks: _run(tasks, wanted))
    except BadFile as refused:
        raise ProblemsFound([refused.problem]) from refused
    if bad:
        raise ProblemsFound(bad)
    told = Told(analysis, plan, wanted.drift * metre if wanted.drift is not None else None)
    return Mapped(told, [*found, *analysis.problems, *told.merged[1]], layers, wanted.gate)


def _run(tasks: Sequence[LogTask], wanted: Wanted) -> Iterable[LogOutcome]:
    from workbook_builder.many.runners import ClusterMissing, usual_jobs, work_here, work_on_cluster
    from workbook_builder.maps.files import lost_task, map_task

    if wanted.scheduler:
        try:
            return list(work_on_cluster(tasks, wanted.scheduler, map_task, lost_task))
        except ClusterMissing as missing:
            raise Misused.of(missing) from missing
    size = sum(path.stat().st_size for task in tasks for path, _ in task.logs if path.is_file())
    return work_here(tasks, wanted.jobs or (usual_jobs() if size > LARGE else 1), map_task, lost_task)
