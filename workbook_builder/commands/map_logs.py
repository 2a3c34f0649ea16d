"""``map``: from the log of a spot pass to shares, hot spots and what lies there."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from workbook_builder.commands.exits import Misused, in_plain_words

if TYPE_CHECKING:
    from workbook_builder.check import Problem
    from workbook_builder.maps.rows import Told
    from workbook_builder.maps.shapes import Shape
    from workbook_builder.planning import Plan
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


#: What a map is written as: file name by option.
FILES = {"json": "spray_map.json", "geojson": "spray_map.geojson", "kml": "spray_map.kml", "html": "spray_map.html", "sheet": "scouting_page.html"}


@in_plain_words
def map_logs(
    logs: Annotated[list[Path], typer.Argument(metavar="LOG", help="Log of a spot pass: CSV, GeoJSON, GPX or zipped shapefile.", show_default=False)],
    fields: Annotated[Path, typer.Option("--fields", metavar="FILE", help="Field boundaries: GeoJSON, KML or zipped shapefile.", show_default=False)],
    book: Annotated[Path, typer.Option("--book", metavar="BOOK", help="Workbook, input workbook or folder of CSV files.", show_default=False)],
    out: Annotated[Path, typer.Option("--out", "-o", metavar="FOLDER", help="Where the map goes; made when it is not there.", show_default=False)],
    overlays: Annotated[list[Path] | None, typer.Option("--overlays", metavar="FILE", help="Drainage, soil or replant as polygons; may be repeated.")] = None,
    earlier: Annotated[list[Path] | None, typer.Option("--earlier", metavar="LOG", help="Log of an earlier pass or year; may be repeated.")] = None,
    pass_name: Annotated[str, typer.Option("--pass", metavar="NAME", help="Which pass it is, where its day does not tell.", show_default=False)] = "",
    headers: Annotated[Path | None, typer.Option("--headers", metavar="FILE", help="Your own table of headers: theirs, ours, unit.")] = None,
    zone: Annotated[str, typer.Option("--zone", metavar="NAME", help="Zone of the log's clock; the farm's when left out.", show_default=False)] = "",
    boom: Annotated[float | None, typer.Option("--boom", metavar="WIDTH", min=0.1, help="Width of the boom, where the log has none.")] = None,
    drift: Annotated[float | None, typer.Option("--drift", metavar="LENGTH", min=0.0, help="How far the receiver wanders.")] = None,
    gate: Annotated[str, typer.Option("--gate", metavar="LAT,LON", help="Where the walk to the spots begins.", show_default=False)] = "",
    geojson: Annotated[bool, typer.Option("--geojson", help="Write boundaries and hot spots as GeoJSON.")] = False,
    kml: Annotated[bool, typer.Option("--kml", help="Write them as KML.")] = False,
    html: Annotated[bool, typer.Option("--html", help="Write the map as a page.")] = False,
    sheet: Annotated[bool, typer.Option("--sheet", help="Write the page to walk to the spots with.")] = False,
    theme: Annotated[Path | None, typer.Option("--theme", metavar="FILE", help="Theme file: name, colours, logo, footer.")] = None,
    json: Annotated[Path | None, typer.Option("--json", metavar="PATH", help="Write the tables as JSON here; - for stdout.")] = None,
    replace: Annotated[bool, typer.Option("--replace", help="Write over an earlier map in the folder.")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")] = False,
) -> None:
    """Map what a spot sprayer logged: shares, hot spots, what lies there.

    Tells which share of each field was sprayed, where clearly more was sprayed than elsewhere,
    whether drainage, soil or replant go together with it, and whether it comes back.
    Lengths are in the units of the book.  A log of on and off alone gives no share.
    Everything is written unless one of --geojson, --kml, --html, --sheet or --json asks for less.

    \b
    Examples:
      workbook-builder map spot-pass.csv --fields fields.geojson --book farm-2026.xlsx -o map
      workbook-builder map log.csv --fields fields.kml --book my-farm/ --overlays drainage.geojson --earlier last-year.csv -o map
    """
    from workbook_builder.commands.json_files import STANDARD_OUTPUT, file_outputs, refuse_strange_target, write_streams
    from workbook_builder.commands.messages import print_problems, result, say
    from workbook_builder.commands.progress import progress_shown
    from workbook_builder.commands.themes import chosen_theme
    from workbook_builder.finish import Output, write_together
    from workbook_builder.maps.rows import in_words

    refuse_strange_target(json)
    chosen = {"geojson": geojson, "kml": kml, "html": html, "sheet": sheet}
    names = [name for name in FILES if chosen.get(name)] if any(chosen.values()) or json is not None else list(FILES)
    _refuse_folder(out, [FILES[name] for name in names], replace)
    look = chosen_theme(theme)
    wanted = Wanted(tuple(logs), fields, tuple(overlays or ()), tuple(earlier or ()), headers, pass_name, zone, boom, drift, _gate(gate))
    with progress_shown(quiet):
        found = mapped(wanted, book)
        texts = {out / FILES[name]: text for name in names if (text := found.text(name, look))}
    told_to = [(json, found.text("json", look))]
    # An earlier map is nobody's work, so it is not kept.
    write_together([*(Output(path, text.encode(), make_folder=True) for path, text in texts.items()), *file_outputs(told_to)])
    write_streams(told_to)
    if quiet:
        return
    print_problems(found.problems)
    speak = say if str(json) == STANDARD_OUTPUT else result
    for made in found.told.analysis.passes:
        speak(f"{in_words(found.told, made)}.")
    if texts:
        speak(f"Wrote {', '.join(path.name for path in texts)} to {out}.")


def _refuse_folder(folder: Path, names: list[str], replace: bool) -> None:
    if folder.exists() and not folder.is_dir():
        raise Misused(f"{folder} is a file. Give the name of a folder with -o.")
    taken = [name for name in names if (folder / name).exists()]
    if taken and not replace:
        raise Misused(f"{folder} holds {taken[0]} already. Choose another folder, or add --replace (the map that is there is written over).")


def _gate(text: str) -> tuple[float, float] | None:
    if not text:
        return None
    try:
        latitude, longitude = (float(part) for part in text.split(","))
    except ValueError:
        raise Misused(f"--gate {text} is not a place. Write latitude and longitude, for instance --gate 41.01,-102.03") from None
    if not (abs(latitude) <= 90 and abs(longitude) <= 360):
        raise Misused(f"--gate {text} is not on the earth. Write latitude first, then longitude.")
    return latitude, longitude


@dataclass(frozen=True)
class Mapped:
    """A map with the plan it belongs to."""

    told: Told
    problems: list[Problem]
    plan: Plan
    overlays: list[Shape]
    gate: tuple[float, float] | None

    def text(self, name: str, theme: Theme) -> str:
        """Return one of `FILES`; blank for a page that there is no reason for."""
        from workbook_builder.maps.exports import as_geojson, as_kml
        from workbook_builder.maps.pages import map_page, scouting_page

        if name == "json":
            return map_as_json(self.told, self.problems)
        if name == "geojson":
            return as_geojson(self.told)
        if name == "kml":
            return as_kml(self.told)
        if name == "html":
            return map_page(self.told, self.plan, self.overlays, theme)
        return scouting_page(self.told, self.plan, self.overlays, self.gate, theme)


def mapped(wanted: Wanted, book: Path) -> Mapped:
    """Read logs, boundaries and book, and work the map out.

    Raises
    ------
    ProblemsFound
        When a file cannot be used.
    """
    from workbook_builder.build import read_and_check, with_defaults
    from workbook_builder.check import ProblemsFound, errors_in
    from workbook_builder.core.units import factor
    from workbook_builder.maps.analysis import analysed
    from workbook_builder.maps.book import book_of
    from workbook_builder.maps.headers import header_table
    from workbook_builder.maps.logs import read_log
    from workbook_builder.maps.rows import Told
    from workbook_builder.maps.shapes import read_shapes
    from workbook_builder.planning import make_plan
    from workbook_builder.read.text_files import BadFile
    from workbook_builder.steps import tell

    tell("Reading the book", 0)
    inputs, problems = read_and_check(book)
    if errors_in(problems):
        raise ProblemsFound(problems)
    plan = make_plan(with_defaults(inputs))
    held = book_of(plan)
    metre = factor("ft" if inputs.system == "us" else "m", "m")
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
        tell("Reading logs", 0.25)
        table = header_table(wanted.headers)
        read = [read_log(path, table, inputs.system, zone, width) for path in wanted.logs]
        before = [read_log(path, table, inputs.system, zone, width) for path in wanted.earlier]
        tell("Mapping", 0.5)
        analysis = analysed(
            read, shapes, held.planned, zone, earlier=before, overlays=layers, passed=wanted.passed, file=wanted.fields.name,
        )
    except BadFile as refused:
        raise ProblemsFound([refused.problem]) from refused
    told = Told(analysis, inputs.system, held.expected, wanted.drift * metre if wanted.drift is not None else None, held.look_days)
    return Mapped(told, [*found, *analysis.problems], plan, layers, wanted.gate)


def map_as_json(told: Told, problems: list[Problem]) -> str:
    """Return the tables of a map as JSON, a row a line, and what is doubtful about the logs."""
    from workbook_builder.export.json_text import plain_problem, tables_text

    return tables_text({**told.tables(), "problems": [plain_problem(problem) for problem in problems]})
