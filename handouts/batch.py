"""A CSV file of places in, the seasons of all of them out as CSV or JSON lines; a bad row is refused, the rest done.

Both cores work; rows go in and out in their order, a few at a time, so that memory stays flat.
"""

from __future__ import annotations

import csv
import difflib
import io
import json
import multiprocessing
import os
import tempfile
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any

from handouts import build
from handouts.errors import BadInput, HandoutsError, Unavailable
from handouts.files import MIB, ready_folder
from handouts.model.library import Library
from handouts.model.season import Season
from handouts.place.known import KEYS, from_mapping
from handouts.yamltext import TextMap

INPUT_LIMIT = 100 * MIB
ROW_LIMIT = 20_000  # characters of one row; a longer one is no list of what is known of a place
CHUNK = 16  # rows that one worker takes at a time
FEW = 64  # so few rows are done faster here than by starting workers
AHEAD = 4  # chunks in work for each worker
ENDINGS = (".csv", ".jsonl")
COLUMNS = (
    "line",
    "id",
    "name",
    "species",
    "window",
    "label",
    "low",
    "mid",
    "high",
    "basis",
    "proxy",
    "inputs",
    "note",
    "refused",
)
_WHAT = "file of places"
_SHORT = {"lat": "latitude", "lon": "longitude", "long": "longitude"}


@dataclass(frozen=True)
class Row:
    """One place as it stands in the file: its line, its cells by place key, and what is wrong with the line itself."""

    line: int
    cells: dict[str, str]
    problem: str | None = None


@dataclass
class Counts:
    """How many places were done, and which lines were refused with what words."""

    done: int = 0
    refused: list[tuple[int, str]] = field(default_factory=list)


@dataclass(frozen=True)
class Job:
    """What a worker needs to know once: folders, species, year, the file of places and the form of the output."""

    where: build.Folders
    species: tuple[str, ...]
    year: int
    ending: str
    source: Path


def seasons_file(
    source: Path,
    target: Path,
    where: build.Folders,
    species: Sequence[str] = (),
    year: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    workers: int | None = None,
) -> Counts:
    """Write the seasons of every place in `source` (CSV) to `target` (.csv or .jsonl), in the order of the rows.

    `progress` is told how many rows of how many are done. `workers` is the number of processes (the cores, when left
    out). Raises BadInput for what stops the whole file: its form, its columns, an unknown species, the output path.
    """
    if target.suffix not in ENDINGS:
        raise BadInput("the output has another form", file=target, expected=f"a name ending in {' or '.join(ENDINGS)}")
    if target.exists() and source.exists() and target.samefile(source):
        raise BadInput("the output would replace the input", file=target, remedy="Choose another name for --to.")
    loaded = build.library(where)
    names = tuple(loaded.subject(name).id for name in species) or (build.DEFAULT_SPECIES,)
    job = Job(where, names, year or build.default_year(loaded), target.suffix, source)
    total = sum(1 for _ in _rows(source))
    if not total:
        raise BadInput(f"the {_WHAT} has no rows", file=source, expected="a header and one row for each place")
    counts, seen = Counts(), 0
    with _aside(target) as out:
        if target.suffix == ".csv":
            out.write(_csv([COLUMNS]))
        for text, refused, rows in _worked(_chunks(source), job, loaded, total, workers):
            out.write(text)
            counts.refused += refused
            counts.done += rows - len(refused)
            seen += rows
            if progress is not None:
                progress(seen, total)
    return counts


def _worked(
    chunks: Iterator[list[Row]], job: Job, loaded: Library, total: int, workers: int | None
) -> Iterator[tuple[str, list[tuple[int, str]], int]]:
    """The chunks' output in order; only a few chunks are in work at a time."""
    count = workers if workers is not None else _cores()
    if count < 2 or total <= FEW:
        for chunk in chunks:
            yield _chunk(chunk, job, loaded)
        return
    context = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(count, mp_context=context, initializer=_ready, initargs=(job,))
    waiting: deque[Future[tuple[str, list[tuple[int, str]], int]]] = deque()
    try:
        for chunk in chunks:
            waiting.append(pool.submit(_in_worker, chunk))
            if len(waiting) >= AHEAD * count:
                yield waiting.popleft().result()
        while waiting:
            yield waiting.popleft().result()
    except BrokenProcessPool:
        raise Unavailable("a worker process stopped", remedy="Free some memory and try again.") from None
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _cores() -> int:
    """The cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


_here: tuple[Job, Library] | None = None


def _ready(job: Job) -> None:
    """Load the content once in a worker."""
    global _here
    _here = job, build.library(job.where)


def _in_worker(chunk: list[Row]) -> tuple[str, list[tuple[int, str]], int]:
    assert _here is not None
    return _chunk(chunk, *_here)


def _chunk(chunk: list[Row], job: Job, loaded: Library) -> tuple[str, list[tuple[int, str]], int]:
    """The output text of some rows, the refused ones, and how many rows there were."""
    write = _json_line if job.ending == ".jsonl" else _csv_rows
    parts: list[str] = []
    refused: list[tuple[int, str]] = []
    for row in chunk:
        found: list[Season] = []
        problem: str | None = None
        try:
            found = _seasons(row, job, loaded)
        except HandoutsError as error:
            problem = str(error)
            refused.append((row.line, problem))
        parts.append(write(row, found, problem))
    return "".join(parts), refused, len(chunk)


def _seasons(row: Row, job: Job, loaded: Library) -> list[Season]:
    """The seasons of one place. Raises BadInput with its line."""
    if row.problem is not None:
        raise BadInput("the row cannot be read", file=job.source, line=row.line, found=row.problem)
    mapping = TextMap(row.line)
    for key, value in row.cells.items():
        if key != "id" and value:
            several = key == "normals" and ";" in value
            mapping[key] = [part.strip() for part in value.split(";")] if several else value
            mapping.lines[key] = row.line
    known = from_mapping(mapping, job.source.parent, job.source, job.where.content)
    try:
        of = build.season_of(loaded, build.place_profile(known, job.where, job.year))
        return [of(name, job.year) for name in job.species]
    except HandoutsError as error:
        if error.file is None:
            error.file, error.line = job.source, row.line
        raise


def _json_line(row: Row, found: list[Season], problem: str | None) -> str:
    data: dict[str, Any] = {"line": row.line}
    if "id" in row.cells:
        data["id"] = row.cells["id"]
    data["name"] = row.cells.get("name") or None
    data["refused"] = problem
    data["seasons"] = [season.to_json() for season in found]
    return json.dumps(data, ensure_ascii=False) + "\n"


def _csv_rows(row: Row, found: list[Season], problem: str | None) -> str:
    """One row for each window; one row with its reason for a refused place."""
    head = [str(row.line), row.cells.get("id", ""), row.cells.get("name", "")]
    if problem is not None:
        return _csv([[*head, *[""] * (len(COLUMNS) - len(head) - 1), problem]])
    rows = []
    for season in found:
        for window in season.windows:
            days = [day.isoformat() if day else "" for day in (window.low, window.mid, window.high)]
            rows.append(
                [*head, season.species, window.id, window.label, *days, window.basis, window.proxy or "",
                 " ".join(window.inputs), window.note, ""]
            )  # fmt: skip
    return _csv(rows)


def _csv(rows: Sequence[Sequence[str]]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue()


# -- reading -----------------------------------------------------------------------------------------------------------


def _chunks(source: Path) -> Iterator[list[Row]]:
    chunk: list[Row] = []
    for row in _rows(source):
        chunk.append(row)
        if len(chunk) == CHUNK:
            yield chunk
            chunk = []
    if chunk:
        yield chunk


def _rows(source: Path) -> Iterator[Row]:
    """The rows that are not blank. Every row is one line, so that a stray quote harms no other row.

    Raises BadInput for a file that is missing, too large, or has no fit header.
    """
    header: list[str] = []
    for line, data in _lines(source):
        try:
            cells = [cell.strip() for cell in _cells(data, first=line == 1)]
        except (csv.Error, UnicodeDecodeError) as error:
            if not header:
                raise BadInput(
                    f"the {_WHAT} is no CSV table in UTF-8", file=source, line=line, found=str(error)
                ) from None
            yield Row(line, {}, str(error))
            continue
        if not any(cells):
            continue
        if not header:
            header = _header(cells, source, line)
            continue
        while len(cells) > len(header) and not cells[-1]:
            cells.pop()
        if len(cells) == len(header):
            yield Row(line, dict(zip(header, cells, strict=True)))
        else:
            yield Row(line, {}, f"{len(cells)} columns, where the header has {len(header)}")


def _cells(data: bytes, *, first: bool) -> list[str]:
    return next(csv.reader([data.decode("utf-8-sig" if first else "utf-8")], strict=True), [])


def _header(cells: list[str], source: Path, line: int) -> list[str]:
    """The columns as place keys. Raises BadInput for one that is no key, or stands twice."""
    names = []
    for cell in cells:
        plain = cell.lower().replace("-", "_").replace(" ", "_")
        name = _SHORT.get(plain, plain)
        if name not in KEYS and name != "id":
            near = difflib.get_close_matches(name, KEYS, n=1)
            semicolons = len(cells) == 1 and (";" in cell or "\t" in cell)
            raise BadInput(
                f"the {_WHAT} has a column that is no place key",
                file=source,
                line=line,
                found=cell or "an empty name",
                expected="columns parted by commas" if semicolons else near[0] if near else f"id, {', '.join(KEYS)}",
            )
        if name in names:
            raise BadInput(f"the {_WHAT} has a column twice", file=source, line=line, found=cell)
        names.append(name)
    return names


def _lines(source: Path) -> Iterator[tuple[int, bytes]]:
    """The file's lines with their numbers, one at a time."""
    try:
        with source.open("rb") as stream:
            if os.fstat(stream.fileno()).st_size > INPUT_LIMIT:
                raise BadInput(f"the {_WHAT} is too large", file=source, expected=f"at most {INPUT_LIMIT:,} bytes")
            line = 0
            while data := stream.readline(ROW_LIMIT + 1):
                line += 1
                if len(data) > ROW_LIMIT:
                    raise BadInput(f"a row of the {_WHAT} is too long", file=source, line=line, expected="a place")
                yield line, data
    except FileNotFoundError:
        raise BadInput(f"the {_WHAT} is missing", file=source, remedy="Check the name and the folder.") from None
    except OSError as error:
        raise BadInput(f"the {_WHAT} cannot be read", file=source, found=error.strerror or str(error)) from None


# -- writing -----------------------------------------------------------------------------------------------------------


@contextmanager
def _aside(target: Path) -> Iterator[IO[str]]:
    """A stream to write to beside `target`, which takes its place only when all went well. Raises BadInput."""
    ready_folder(target.parent)
    if target.is_dir():
        raise BadInput("the output path is a folder", file=target, expected="a file name")
    temporary = None
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".part", dir=target.parent)
        temporary = Path(name)
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as stream:
            yield stream
        temporary.chmod(0o644)
        temporary.replace(target)
        temporary = None
    except OSError as error:
        raise BadInput("the output cannot be written", file=target, found=error.strerror or str(error)) from None
    finally:
        if temporary is not None:
            with suppress(OSError):
                temporary.unlink()
