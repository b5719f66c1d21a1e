"""The whole story in one file: content and a place in, finished files out.

load -> model -> place -> season -> compose -> render; `check` and `inspect` look on and never edit.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

from handouts.errors import BadInput, Stopped
from handouts.files import check_folder, ready_folder, write_together
from handouts.load import load_library, read_record
from handouts.manifest import as_json, listed_as
from handouts.model.document import Document
from handouts.model.event import EventFile
from handouts.model.forms import OF_PLACE
from handouts.model.library import Library
from handouts.model.season import Season
from handouts.paths import Folders as Folders
from handouts.paths import folders as folders
from handouts.place.known import Known, from_inline, from_mapping
from handouts.place.profile import profile
from handouts.season.profile import Profile
from handouts.yamltext import TextMap, read_yaml

DEFAULT_TOPIC = "overwintering-chrysalides"
DEFAULT_SPECIES = "black-swallowtail"
# From this month on an event's wall calendar is the next year's.
POSTER_TURNS = 7
# How large a poster's strip may be drawn, from full size down.
STRIP_SIZES = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5)


def library(where: Folders) -> Library:
    """Read all records. Raises BadContent for the first file that does not fit its format."""
    loaded = load_library(where.content, where.club)
    if loaded.problems:
        first, more = loaded.problems[0], len(loaded.problems) - 1
        if more:
            first.remedy = f"{first.remedy or ''} {more} more files do not fit; see `handouts check`.".strip()
        raise first
    return loaded


# -- places ------------------------------------------------------------------------------------------------------------


def known_place(text: Any, base: Path, where: Folders) -> Known:
    """Return what is known of a place: inline text, a mapping, a file, or a name in the club's places.

    Raises BadInput.
    """
    if isinstance(text, TextMap):
        return from_mapping(text, base, base / "event.yml", where.content)
    if not isinstance(text, str) or not text.strip():
        raise BadInput("the place is empty", expected="a file, a name in the club's places, or zone=6a,lat=…")
    if "=" in text:
        return from_inline(text, base, where.content)
    candidates = [base / text]
    if where.club is not None and "/" not in text:
        candidates.append(where.club / "places" / f"{text.removesuffix('.yml')}.yml")
    for path in candidates:
        if path.is_file():
            return from_mapping(read_yaml(path, what="place file"), path.parent, path, where.content)
    raise BadInput(
        f"there is no place {text!r}",
        file=candidates[0],
        expected="a file, a name in the club's places, or inline fields such as zone=6a,lat=41.9",
    )


def place_profile(known: Known, where: Folders, year: int) -> Profile:
    """Return the profile of a place in a year."""
    return profile(known, where.content, years=(year,))


def default_year(loaded: Library) -> int:
    """Return the year for documents without an event: that after the newest review, so that the clock plays no part."""
    newest = max((subject.reviewed for subject in loaded.subjects.values()), default=date(2000, 1, 1))
    return newest.year + (newest.month >= POSTER_TURNS)


def season_of(loaded: Library, where: Profile) -> Any:
    """Return a function (species, year) -> Season for a place; each is computed once."""
    from handouts.season.windows import season

    @lru_cache(maxsize=64)
    def made(species: str, year: int) -> Season:
        return season(loaded, species, where, year)

    return made


# -- documents ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Order:
    """What to make: topic, species, place, year, the reader's units, paper, and the event if there is one."""

    topic: str
    species: str
    profile: Profile
    year: int
    start: date | None = None
    system: str = "us"
    paper: str = "letter"
    event: dict[str, Any] | None = None
    strip: float = 1.0


def compose(loaded: Library, order: Order, kind: str) -> Document:
    """Compose one document, with its status where the club keeps editions. Raises BadContent or BadInput."""
    from handouts.compose.kinds import KINDS
    from handouts.editions.approve import stamped

    if kind not in KINDS:
        raise BadInput(f"there is no kind of document {kind!r}", expected=", ".join((*KINDS, "claims")))
    return stamped(loaded, KINDS[kind](_composer(loaded, order), loaded.plan(order.topic)))


def _composer(loaded: Library, order: Order) -> Any:
    from handouts.compose.composer import Composer
    from handouts.compose.setting import Setting

    loaded.subject(order.species)
    setting = Setting(
        library=loaded,
        profile=order.profile,
        season_of=season_of(loaded, order.profile),
        species=order.species,
        year=order.year,
        start=order.start,
        system="metric" if order.system == "metric" else "us",
        paper=order.paper,
        event=order.event,
        strip=order.strip,
    )
    return Composer(setting)


def claims_sheet(loaded: Library, order: Order, documents: Sequence[Document]) -> Document:
    """Compose the claims sheet of some documents."""
    from handouts.compose.kinds import claims_sheet as build
    from handouts.editions.approve import stamped

    return stamped(loaded, build(_composer(loaded, order), documents, order.topic))


def species_of(loaded: Library, topic: str, wanted: Iterable[str] = ()) -> str:
    """Return the species a topic is made for: the first one asked for, else the plan's own first."""
    plan = loaded.plan(topic)
    chosen = [*wanted, *plan.species]
    return chosen[0] if chosen else DEFAULT_SPECIES


# -- kit ---------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Made:
    """A finished kit: the files written, the manifest, and what the maker should know."""

    files: tuple[Path, ...]
    manifest: dict[str, Any]
    notes: tuple[str, ...]


def kit(event_path: Path, out: Path, where: Folders, place: str | None = None, today: date | None = None) -> Made:
    """Make all documents of an event and `kit.json` in the folder `out`; nothing is written before all is made.

    Raises BadInput or BadContent (one clear refusal, nothing written), or Stopped when `check` has errors on what the
    documents use. `today` is the day those findings are made for.
    """
    from handouts.compose.kinds import FORMATS
    from handouts.compose.kinds.forms import NoSheet
    from handouts.compose.kinds.large_print import KIND as LARGE_PRINT
    from handouts.compose.kinds.large_print import enlarge
    from handouts.editions.approve import ground_of, kit_records

    check_folder(out)
    event = read_record(EventFile, event_path, "event file")
    loaded = library(where)
    known = known_place(place, Path.cwd(), where) if place else event_place(event, event_path, where)
    year = event.date.year + (event.date.month >= POSTER_TURNS)
    here = place_profile(known, where, year)
    system = event.units or known.units or (loaded.club.units if loaded.club else None) or "us"
    paper = event.paper or (loaded.club.theme.paper if loaded.club else None) or "letter"
    assets = assets_of(loaded)
    files: dict[Path, bytes] = {}
    listed: list[dict[str, Any]] = []
    given: list[Any] = []
    source = (place, Path.cwd()) if place else (event.place, event_path.parent)
    undated: list[str] = []
    unmade: list[str] = []
    sheets: set[tuple[str, str]] = set()
    for topic in event.topics:
        species = species_of(loaded, topic, event.species)
        order = Order(topic, species, here, year, event.date, system, paper, event.facts())
        made: list[Finished] = []
        for kind in [kind for kind in event.kinds if kind != "claims"]:
            plain = next((one.document for one in made if one.document.kind == "handout"), None)
            if kind == LARGE_PRINT and plain is not None:  # what is said is composed once
                large = enlarge(plain)
                made.append(Finished(large, _renders(large, FORMATS[kind], assets)))
                continue
            sheet = (event.poster_paper or ("a3" if paper == "a4" else "tabloid")) if kind == "poster" else paper
            if kind == "calendar" and not compose(loaded, order, kind).events:
                undated.append(topic)
                continue
            try:
                one = _finished(loaded, replace(order, paper=sheet), kind, FORMATS[kind], assets)
            except NoSheet as none:
                unmade.append(f"For {topic} {none}")
                continue
            if kind in OF_PLACE:  # two topics of one species ask for the same sheet
                if (kind, one.document.edition) in sheets:
                    continue
                sheets.add((kind, one.document.edition))
            made.append(one)
        stop_on_errors(loaded, [one.document for one in made], today)
        if "claims" in event.documents:
            sheet_of_claims = claims_sheet(loaded, order, [one.document for one in made])
            made.append(Finished(sheet_of_claims, _renders(sheet_of_claims, FORMATS["claims"], assets)))
        ground = ground_of(known, source, where.club, species, year, event.date, system)
        # A handout and its large print are one edition.
        editions: dict[str, Document] = {}
        for one in made:
            editions.setdefault(one.document.edition, one.document)
        given.extend((document, ground) for document in editions.values())
        for one in made:
            for suffix, done in one.files.items():
                name = f"{topic}-{one.document.kind}{suffix}"
                files[out / name] = done.data
                listed.append(listed_as(one.document, name, suffix, done.pages))
    manifest = {"event": event.facts(), "place": here.to_json(), "documents": listed}
    files[out / "kit.json"] = as_json(manifest)
    files.update(kit_records(loaded, event, given))
    ready_folder(out)
    write_together(files)
    notes = [f"No calendar file for {topic}: no date is known for this place" for topic in undated]
    notes.extend(unmade)
    left = _old_files(out, files)
    if left:
        notes.append(f"Not made this time, left as they are: {', '.join(left)}")
    return Made(tuple(files), manifest, tuple(notes))


def assets_of(loaded: Library) -> Any:
    """Return fonts, styles and layouts with the tool's words and the club's theme."""
    from handouts.render.assets import load_assets

    words = loaded.all_words()
    marks = {name: (entry["mark"], entry["name"]) for name, entry in words.marks.items()}
    theme = loaded.club.theme if loaded.club else None
    return load_assets(marks, words.labels, ink=theme.ink if theme else None, tint=theme.tint if theme else None)


def stop_on_errors(loaded: Library, documents: Sequence[Document], today: date | None) -> None:
    """Raise Stopped when the content has error-level findings on something these documents use."""
    from handouts.check import check_all

    used: set[str] = set()
    for document in documents:
        plan = loaded.plans.get(document.topic)
        used.update((document.topic, document.kind, *document.cautions, *(plan.faq if plan else ())))
        for claim in document.claims:
            fact = re.split(r"[|~]", claim.id)[0]
            used.update((fact, loaded.owner.get(fact, ""), *claim.parents, *claim.references))
            used.update(loaded.owner.get(parent, "") for parent in claim.parents)
    day = today or max((subject.reviewed for subject in loaded.subjects.values()), default=date(2000, 1, 1))
    found = [
        item
        for item in check_all(loaded, day)
        if item.level == "error" and (item.key or "").partition(":")[0] in used - {""}
    ]
    if found:
        more = f" ({len(found) - 1} more; see `handouts check`)" if len(found) > 1 else ""
        raise Stopped(f"{found[0]}{more}")


@dataclass(frozen=True)
class Finished:
    """A document and its files by ending."""

    document: Document
    files: dict[str, Any]


def _renders(document: Document, suffixes: Iterable[str], assets: Any) -> dict[str, Any]:
    from handouts.render import render

    return {suffix: render(document, suffix, assets) for suffix in suffixes}


def _finished(loaded: Library, order: Order, kind: str, suffixes: Iterable[str], assets: Any) -> Finished:
    """Compose and render one document; charts get smaller, a form's lines fewer, until it fits."""
    from handouts.render.fit import TooLong

    sizes = STRIP_SIZES if kind == "poster" or kind in OF_PLACE else (1.0,)
    for size in sizes:
        document = compose(loaded, replace(order, strip=size), kind)
        try:
            return Finished(document, _renders(document, suffixes, assets))
        except TooLong:
            if size == sizes[-1]:
                raise
    raise AssertionError("there is always one size")


def event_place(event: EventFile, path: Path, where: Folders) -> Known:
    if isinstance(event.place, TextMap):
        return from_mapping(event.place, path.parent, path, where.content)
    return known_place(event.place, path.parent, where)


def _all_kinds(loaded: Library, order: Order) -> Iterable[Document]:
    """Yield every kind of document of an order but the forms that have no meaning for its species."""
    from handouts.compose.kinds import KINDS
    from handouts.compose.kinds.forms import NoSheet

    for kind in KINDS:
        with suppress(NoSheet):
            yield compose(loaded, order, kind)


def _old_files(out: Path, files: dict[Path, bytes]) -> list[str]:
    """Name files of an earlier kit that this one did not write again."""
    made = {path.name for path in files}
    kinds = (".pdf", ".html", ".txt", ".ics")
    return sorted(path.name for path in out.iterdir() if path.suffix in kinds and path.name not in made)


def make(
    kind: str,
    topic: str | None,
    place: str,
    out: Path,
    where: Folders,
    *,
    species: Sequence[str] = (),
    paper: str | None = None,
    units: str | None = None,
    year: int | None = None,
) -> Path:
    """Make one document; the format follows the ending of `out`. Raises BadInput or BadContent."""
    from handouts.compose.kinds import FORMATS

    if kind not in FORMATS:
        raise BadInput(f"there is no kind of document {kind!r}", expected=", ".join(FORMATS))
    if out.suffix not in FORMATS[kind]:
        raise BadInput(
            f"a {kind} is not made as {out.suffix or 'a file without an ending'}",
            file=out,
            expected=" or ".join(FORMATS[kind]),
        )
    check_folder(out.parent)
    loaded = library(where)
    known = known_place(place, Path.cwd(), where)
    when = year or default_year(loaded)
    here = place_profile(known, where, when)
    name = topic or DEFAULT_TOPIC
    order = Order(
        name,
        species_of(loaded, name, species),
        here,
        when,
        system=units or known.units or (loaded.club.units if loaded.club else None) or "us",
        paper=paper or ("tabloid" if kind == "poster" else "letter"),
    )
    assets = assets_of(loaded)
    if kind == "claims":
        document = claims_sheet(loaded, order, list(_all_kinds(loaded, order)))
        made = Finished(document, _renders(document, [out.suffix], assets))
    else:
        made = _finished(loaded, order, kind, [out.suffix], assets)
    stop_on_errors(loaded, [made.document], None)
    write_together({out: made.files[out.suffix].data})
    return out


# -- look-ups ----------------------------------------------------------------------------------------------------------


def seasons(where: Folders, place: str, species: Sequence[str], year: int | None = None) -> list[Season]:
    """Return the seasons of some species (all of them when none is named) at a place."""
    loaded = library(where)
    when = year or default_year(loaded)
    here = place_profile(known_place(place, Path.cwd(), where), where, when)
    wanted = list(species) or [DEFAULT_SPECIES]
    of = season_of(loaded, here)
    return [of(loaded.subject(name).id, when) for name in wanted]


def inspect(files: Sequence[Path], where: Folders) -> list[Any]:
    """Return the findings on finished files."""
    from handouts.inspect import inspect_files

    return list(inspect_files(files, library(where)))
