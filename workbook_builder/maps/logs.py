"""Reading what a sprayer logged: CSV, GeoJSON, GPX, zipped shapefile."""

from __future__ import annotations

import io
import re
import warnings
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from workbook_builder.check.problems import WARNING, Problem
from workbook_builder.maps.headers import told_headers
from workbook_builder.maps.shapes import features, local, opening, parsed_json, read_xml, shapefile_records
from workbook_builder.read.text_files import DELIMITERS, ZIP_MARK, BadFile, decode, read_bytes

#: What a row says about spraying, the most telling first; a share is never made of the last three.
NOZZLES, VOLUME, SECTIONS, BOOM, POSITIONS = KINDS = ("nozzles", "volume", "sections", "boom", "positions")
MEASURES_SHARE = (NOZZLES, VOLUME)

_OFFSET = re.compile(r"(?:Z|[+-]\d\d:?\d\d)$")
_ON = {"on": 1.0, "true": 1.0, "yes": 1.0, "1": 1.0, "1.0": 1.0, "off": 0.0, "false": 0.0, "no": 0.0,
       "0": 0.0, "0.0": 0.0}
#: Widths that a strip may have [m]: from a nozzle to more than any boom.
WIDTHS = (0.1, 150.0)
#: More sections than any boom has; longer texts are something else.
MOST_SECTIONS = 400
_NUMBERS = ("lat", "lon", "section_count", "nozzle_share", "volume", "width", "speed", "heading",
            "section_offset")
_OUTPUT = ("lat", "lon", "seconds", "value", "volume", "width", "heading", "machine", "section",
           "offset", "pass")


@dataclass(frozen=True)
class Log:
    """Rows of a log in one form."""

    #: `lat`, `lon` [deg], `seconds` since 1970 in UTC, `value` (share of the width that sprayed since the row
    #: before, 0 to
    #: 1; on counts as 1), `volume` since the row before [L], `width` and `offset` of its middle to the right
    #: of the position [m], `heading` [deg], `machine`, `section`, `pass`. What the log does not say is NaN or
    #: blank.
    rows: pd.DataFrame
    kind: str  # One of `KINDS`
    name: str  # File name
    zone: str = ""  # How its moments were told: blank for an offset in every row, else the time zone
    problems: tuple[Problem, ...] = field(default=())  # What is doubtful


def read_log(path: Path, table: Mapping[str, tuple[str, str]], system: str = "us", zone: str = "",
             boom: float | None = None) -> Log:
    """Read one log.

    Parameters
    ----------
    path : Path
    table : mapping
        Headers that are known, from :func:`workbook_builder.maps.headers.header_table`.
    system : str
        Unit system for numbers whose unit nobody says.
    zone : str
        Time zone of moments without an offset from UTC, such as America/Denver.
    boom : float, optional
        Width of the boom [m], for rows without a width.

    Raises
    ------
    BadFile
        When the file is no log that can be read.
    """
    frame, is_gpx = _frame(path, table, system)
    headers = told_headers(list(map(str, frame.columns)), table, system)
    frame.columns = list(map(str, frame.columns))
    known = frame[list(headers)].rename(columns={title: header.key for title, header in headers.items()})
    factors = {header.key: header for header in headers.values()}
    missing = [key for key in ("lat", "lon") if key not in known]
    if "time" not in known and not {"date", "clock"} <= set(known.columns):
        missing.append("time")
    if missing:
        seen = ", ".join(map(str, list(frame.columns)[:12]))
        fix = "Name them lat, lon and time, or say which they are in a table of headers (--headers)"
        raise BadFile(Problem("map-headers",
                              f"no column is known as {' or '.join(missing)}; the columns are {seen}",
                              path.name, fix=fix))
    if not len(known):
        raise BadFile(Problem("map-file", "the log has no rows", path.name, fix="Export it again"))
    kind, problems = (POSITIONS, []) if is_gpx else _kind(path, known)
    rows = pd.DataFrame({key: pd.to_numeric(known[key], errors="coerce").astype(float) * factors[key].factor
                         if key in known else np.nan for key in _NUMBERS}, index=known.index)
    moments, told = _moments(path, known, zone)
    rows["seconds"] = moments
    for key in ("machine", "section", "pass"):
        rows[key] = known[key].astype("string").fillna("").str.strip().astype(object) if key in known else ""
    skipped = frame.attrs.get("skipped", 0)
    if skipped:
        problems.append(Problem("log-rows", f"{skipped:,} lines cannot be split into the cells of the header",
                                path.name, severity=WARNING))
    if told:
        message = f"times without an offset from UTC are read as {told}"
        problems.append(Problem("log-zone", message, path.name, severity=WARNING,
                                fix="Give another zone with --zone if that is wrong"))
    problems += _fill_width(path, rows, boom)
    log = _told_states(path, rows.rename(columns={"section_offset": "offset"}), known, kind)
    return replace(log, zone=told, problems=(*problems, *log.problems))


def _frame(path: Path, table: Mapping[str, tuple[str, str]], system: str) -> tuple[pd.DataFrame, bool]:
    """Return the rows of a file as they stand, and whether it is GPX."""
    data = read_bytes(path)
    if not data.strip():
        raise BadFile(Problem("map-file", "the file is empty", path.name, fix="Export the log again"))
    if data.startswith(ZIP_MARK):
        rows = []
        for record in shapefile_records(path, data):
            if record.shape.shapeType in (1, 11, 21):
                lon, lat = record.shape.points[0][:2]
                rows.append({**{str(key).lower(): value for key, value in record.record.as_dict().items()},
                             "lon": lon, "lat": lat})
        return _points(path, rows), False
    start = opening(data)
    if start.startswith(b"<"):
        return _of_gpx(path, data), True
    if not start.startswith(b"{"):
        return _of_csv(path, data, table, system), False
    rows = []
    for geometry, said in features(path, parsed_json(path, data)):
        places = geometry.get("coordinates")
        if geometry.get("type") == "Point" and isinstance(places, list) and len(places) >= 2:
            rows.append({**said, "lon": places[0], "lat": places[1]})
    return _points(path, rows), False


def _of_csv(path: Path, data: bytes, table: Mapping[str, tuple[str, str]], system: str) -> pd.DataFrame:
    try:
        text, _ = decode(data)
    except UnicodeDecodeError as error:
        raise BadFile(Problem("map-file", "the file is not text in UTF-8, UTF-16 or Windows Latin", path.name,
                              fix="Save it as CSV")) from error
    if "\0" in text:
        raise BadFile(Problem("map-file", "the file is not text", path.name, fix="Save it as CSV"))
    head = text.split("\n", 1)[0]
    sign = max(DELIMITERS, key=head.count)
    some = text[:20_000].split("\n")[1:50]
    comma = (sign != "," and sum(len(re.findall(r"\d,\d", line)) for line in some)
             > sum(len(re.findall(r"\d\.\d", line)) for line in some))
    titles = [title.strip().strip('"') for title in head.strip().split(sign)]
    # Texts such as 0110 are no numbers.
    texts = {title: str for title, header in told_headers(titles, table, system).items()
             if header.key in ("sections", "machine", "section", "pass")}
    asked: dict[str, Any] = {"sep": sign, "decimal": "," if comma else ".", "skipinitialspace": True,
                             "low_memory": False, "index_col": False, "dtype": texts}
    try:
        with warnings.catch_warnings():
            # Cells beyond the last header would be dropped with a word for programmers alone.
            warnings.simplefilter("error", pd.errors.ParserWarning)
            frame = pd.read_csv(io.StringIO(text), on_bad_lines="skip", **asked)
    except pd.errors.ParserWarning as error:
        message = "its lines hold more cells than the first line names"
        raise BadFile(Problem("broken-csv", message, path.name, fix="Give every column a header")) from error
    except (ValueError, pd.errors.ParserError, pd.errors.EmptyDataError) as error:
        raise BadFile(Problem("broken-csv", f"the file cannot be split into cells ({error})", path.name,
                              fix="Check its quotes and delimiters")) from error
    lines = sum(1 for line in text.splitlines() if line.strip()) - 1
    if len(frame) < 0.95 * lines:
        message = f"only {len(frame):,} of {lines:,} lines can be split into the cells of its header"
        raise BadFile(Problem("broken-csv", message, path.name, fix="Check its quotes and delimiters"))
    frame.attrs["skipped"] = lines - len(frame)
    if comma:
        # One cell that is no number keeps a whole column from being read with its decimal commas.
        for title in [title for title, header in told_headers(titles, table, system).items()
                      if header.key in _NUMBERS and title in frame]:
            frame[title] = pd.to_numeric(frame[title].astype("string").str.replace(",", "."), errors="coerce")
    return frame


def _points(path: Path, rows: list[dict[str, Any]]) -> pd.DataFrame:
    if not rows:
        raise BadFile(Problem("map-file", "the file holds no points", path.name,
                              fix="Export the log as points, one a row"))
    return pd.DataFrame(rows)


def _of_gpx(path: Path, data: bytes) -> pd.DataFrame:
    """Return the track points of GPX 1.1; a new segment is another stretch, so nothing is drawn across."""
    rows = []
    for track in (element for element in read_xml(path, data).iter() if local(element) == "trk"):
        name = next((child.text or "" for child in track if local(child) == "name"), "")
        for at, segment in enumerate(child for child in track if local(child) == "trkseg"):
            for point in (child for child in segment if local(child) == "trkpt"):
                time = next((child.text for child in point if local(child) == "time"), None)
                rows.append({"lat": point.get("lat"), "lon": point.get("lon"), "time": time, "machine": name,
                             "section": f"stretch {at + 1}"})
    return _points(path, rows)


def _fill_width(path: Path, rows: pd.DataFrame, boom: float | None) -> list[Problem]:
    """Give rows without a width that of the boom, or of its sections where the log tells them apart."""
    wild = rows["width"].notna() & ~rows["width"].between(WIDTHS[0], WIDTHS[1])
    rows.loc[wild, "width"] = np.nan
    bare = rows["width"].isna()
    if not bare.any():
        return []
    if boom is None:
        fix = "Add a column width, or give the width of the boom with --boom or in the table of sprayers"
        raise BadFile(Problem("log-width", f"{int(bare.sum()):,} rows of the log have no width",
                              path.name, fix=fix))
    # Sections are told apart by where they are, or because they log at the same moments.
    sections = rows["section"].nunique()
    apart = rows["section_offset"].notna().any() or ((rows["section"] != "").all() and sections > 1
                                                     and rows.duplicated(["machine", "seconds"]).mean() > 0.4)
    count = max(1, sections) if apart else 1
    rows.loc[bare, "width"] = boom / count
    message = (f"{int(bare.sum()):,} rows have no width and are taken to be "
               f"{'a section of ' if count > 1 else ''}the boom of {boom:.1f} m")
    return [Problem("log-width", message, path.name, severity=WARNING,
                    fix="Add a column width if that is wrong")]


def _kind(path: Path, known: pd.DataFrame) -> tuple[str, list[Problem]]:
    """Return the most telling kind of the columns that are there and filled."""
    has = {key for key in ("nozzle_share", "volume", "sections", "state") if key in known
           and known[key].notna().any()}
    kind = next((kind for key, kind in (("nozzle_share", NOZZLES), ("volume", VOLUME), ("sections", SECTIONS),
                                        ("state", BOOM)) if key in has), "")
    if not kind:
        message = "the log says nowhere whether anything was sprayed"
        fix = ("Export it with nozzle_share, volume, sections or state; only the driven area can be told "
               "from positions")
        return POSITIONS, [Problem("log-kind", message, path.name, severity=WARNING, fix=fix)]
    if kind in MEASURES_SHARE:
        return kind, []
    message = ("the log says only when the boom was on" if kind == BOOM
               else "the log says only which sections were on")
    fix = ("No share is made of it: on means that any nozzle fired. With the volume that was sprayed the "
           "share follows")
    return kind, [Problem("log-kind", message, path.name, severity=WARNING, fix=fix)]


def _moments(path: Path, known: pd.DataFrame, zone: str) -> tuple[np.ndarray[Any, Any], str]:
    """Return seconds since 1970, and the zone that was used."""
    if "time" in known and known["time"].notna().any():
        texts = known["time"].astype("string").str.strip()
    else:
        texts = known["date"].astype("string").str.strip() + "T" + known["clock"].astype("string").str.strip()
    offset = texts.str.contains(_OFFSET).fillna(False).astype(bool)
    # One broken moment among many with an offset is no reason to ask for a zone.
    bare = texts.notna() & ~offset & texts.str.contains(":").fillna(False).astype(bool)
    if bare.mean() > 0.5 and not zone:
        fix = "Say in which zone its clock runs, for instance --zone America/Denver"
        raise BadFile(Problem("log-zone", "the times of the log have no offset from UTC", path.name, fix=fix))
    found = pd.to_datetime(texts.where(offset), utc=True, errors="coerce", format="ISO8601")
    if bare.any() and zone:
        local_time = pd.to_datetime(texts.where(bare), errors="coerce", format="ISO8601")
        try:
            told = local_time.dt.tz_localize(zone, ambiguous=np.zeros(len(local_time), bool),
                                             nonexistent="shift_forward")
        except (KeyError, ValueError, TypeError) as error:
            raise BadFile(Problem("log-zone", f"times cannot be read in the zone {zone!r}", path.name,
                                  fix="Use a name such as America/Denver")) from error
        found = found.fillna(told.dt.tz_convert("UTC"))
    if found.isna().all():
        seen = texts.dropna()
        message = f"{seen.iloc[0]!r} is no time" if len(seen) else "no row has a time"
        raise BadFile(Problem("log-zone", message, path.name, fix="Write times as 2026-06-03T07:00:00-06:00"))
    since = (found - pd.Timestamp(0, tz="UTC")) / pd.Timedelta(seconds=1)
    return np.asarray(since, float), zone if bare.any() and zone else ""


def _told_states(path: Path, rows: pd.DataFrame, known: pd.DataFrame, kind: str) -> Log:
    """Return the log with what every row says about spraying as a number from 0 to 1."""
    problems: list[Problem] = []
    rows["value"] = np.nan
    if kind == NOZZLES:
        rows["value"] = rows["nozzle_share"]
        outside = rows["value"].notna() & ~rows["value"].between(0, 1)
        if rows["value"].max() > 1.5:
            message = f"shares of nozzles go up to {rows['value'].max():.0f}, so they are read as percent"
            problems.append(Problem("log-values", message, path.name, severity=WARNING,
                                    fix="Name the column in %"))
            rows["value"] /= 100
            outside = rows["value"].notna() & ~rows["value"].between(0, 1)
        rows.loc[outside, "value"] = np.nan
        problems += _odd(path, int(outside.sum()), "share of nozzles", "between 0 and 1")
    elif kind == VOLUME:
        odd = rows["volume"] < 0
        rows.loc[odd, "volume"] = np.nan
        problems += _odd(path, int(odd.sum()), "volume", "0 or more, what was sprayed since the row before")
    elif kind == BOOM:
        rows["value"] = known["state"].astype("string").str.strip().str.casefold().map(_ON).astype(float)
        problems += _odd(path, int((rows["value"].isna() & known["state"].notna()).sum()),
                         "state", "on or off")
    elif kind == SECTIONS:
        rows, more = _of_sections(path, rows, known)
        problems += more
    rows["offset"] = rows["offset"].fillna(0.0)
    return Log(rows[list(_OUTPUT)].reset_index(drop=True), kind, path.name, problems=tuple(problems))


def _odd(path: Path, count: int, what: str, wanted: str) -> list[Problem]:
    """Return a warning about values that cannot be, which count as not known."""
    message = f"{count:,} rows have a {what} that cannot be; there nothing is known"
    return ([Problem("log-values", message, path.name, severity=WARNING, fix=f"It is {wanted}")]
            if count else [])


def _of_sections(path: Path, rows: pd.DataFrame, known: pd.DataFrame) -> tuple[pd.DataFrame, list[Problem]]:
    """Return one row a section from texts such as 001100 (left to right),
    or the share of sections from their number.
    """
    texts = known["sections"].astype("string").str.strip().str.replace(r"\.0$", "", regex=True).fillna("")
    bits = texts.str.fullmatch(f"[01]{{2,{MOST_SECTIONS}}}")
    long = int(texts[bits].str.len().max()) if bits.any() else 0
    if long and "section_count" not in known:
        fits = bits & (texts.str.len() == long)
        problems = _odd(path, int((~fits & (texts != "")).sum()), "text of sections",
                        f"{long} signs of 0 and 1")
        joined = "".join(texts.where(fits, "0" * long))
        on = np.frombuffer(joined.encode("ascii"), np.uint8).reshape(len(texts), long) == ord("1")
        spread = rows.loc[rows.index.repeat(long)].reset_index(drop=True)
        place = np.tile(np.arange(long), len(texts))
        spread["value"] = np.where(np.repeat(fits.to_numpy(), long), on.ravel().astype(float), np.nan)
        spread["section"] = np.array([f"{at + 1:0{len(str(long))}d}" for at in range(long)], object)[place]
        spread["width"] = spread["width"] / long
        spread["offset"] = (place - (long - 1) / 2) * spread["width"].to_numpy()
        return spread, problems
    number, count = pd.to_numeric(texts, errors="coerce"), rows["section_count"]
    if not count.notna().any():
        fix = "Give the states of sections as text such as 001100, or add a column section_count"
        raise BadFile(Problem("log-values",
                              "the number of sections that were on says nothing without how many there are",
                              path.name, fix=fix))
    rows["value"] = (number / count).where(lambda share: share.between(0, 1))
    return (rows, _odd(path, int((rows["value"].isna() & (texts != "")).sum()), "number of sections",
                       "no more than there are"))
