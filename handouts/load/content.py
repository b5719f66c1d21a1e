"""The content folder and a club's folder in, one Library out; misfits are collected, not thrown."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, TypeVar

from handouts.errors import BadContent, BadInput, HandoutsError
from handouts.files import read_text
from handouts.load.records import type_record
from handouts.model.facts import FACT_ID, ID, KINDS, Fact, Source, Subject
from handouts.model.library import Library
from handouts.model.located import Located
from handouts.model.records import Accepted, Caution, Club, Entry, Plan, Region, Words
from handouts.yamltext import TextMap, read_yaml

PROSE_LIMIT = 60_000
FOLDERS = (*KINDS, "references", "cautions", "faq", "plans", "regions", "places", "words")
R = TypeVar("R", bound=Located)


def load_library(content: Path, club: Path | None = None) -> Library:
    """Read all records of `content`, then the club's additions. Raises BadInput only when a folder is missing."""
    if not content.is_dir():
        raise BadInput("the content folder is missing", file=content, remedy="Check --content.")
    library = Library(root=content, club_root=club)
    _read_tree(library, content, of_club=False)
    if club is not None:
        if not (club / "club.yml").is_file():
            raise BadInput("the club's folder has no club.yml", file=club, remedy="Check --club.")
        _guard(library, lambda: _read_club(library, club))
        _read_tree(library, club, of_club=True)
    return library


def _read_club(library: Library, club: Path) -> None:
    path = club / "club.yml"
    library.club = type_record(Club, read_yaml(path, what="club file"), path)


def _read_tree(library: Library, root: Path, *, of_club: bool) -> None:
    _stray(library, root)
    for kind in KINDS:
        for path, name in _files(library, root / kind):
            _guard(library, lambda p=path, n=name, k=kind: _read_subject(library, p, n, k, of_club))  # type: ignore[misc]
    for path, name in _files(library, root / "references"):
        _guard(library, lambda p=path, n=name: _read_source(library, p, n, of_club))  # type: ignore[misc]
    simple: list[tuple[str, type[Any], dict[str, Any]]] = [
        ("cautions", Caution, library.cautions),
        ("faq", Entry, library.entries),
        ("regions", Region, library.regions),
    ]
    for folder, model, table in simple:
        for path, name in _files(library, root / folder):
            _guard(
                library,
                lambda p=path, n=name, m=model, t=table: _read_simple(library, p, n, m, t, of_club),  # type: ignore[misc]
            )
    for path, name in _files(library, root / "plans"):
        _guard(library, lambda p=path, n=name: _read_plan(library, p, n, of_club))  # type: ignore[misc]
    words = root / "words" / "en.yml"
    if words.is_file() and not of_club:
        _guard(library, lambda: setattr(library, "words", type_record(Words, read_yaml(words), words)))
    accepted = root / "accepted.yml"
    if accepted.is_file() and not of_club:
        _guard(library, lambda: setattr(library, "accepted", type_record(Accepted, read_yaml(accepted), accepted)))


def _stray(library: Library, root: Path) -> None:
    """Name folders whose name is nearly that of a known one, and prose without its plan: nobody would read them."""
    for folder in sorted(path for path in root.iterdir() if path.is_dir() and path.name not in FOLDERS):
        near = difflib.get_close_matches(folder.name, FOLDERS, n=1, cutoff=0.75)
        if near and any(folder.glob("*.yml")):
            library.problems.append(
                BadContent(f"the folder {folder.name!r} is not read", file=folder, remedy=f"Did you mean {near[0]!r}?")
            )
    for prose in sorted((root / "plans").glob("*.md")):
        if not prose.with_suffix(".yml").is_file():
            library.problems.append(
                BadContent("this prose has no plan", file=prose, expected=f"{prose.stem}.yml beside it")
            )


def _files(library: Library, folder: Path) -> Iterator[tuple[Path, str]]:
    import re

    if not folder.is_dir():
        return
    for path in sorted(folder.iterdir()):
        if path.suffix in (".yaml", ".json"):
            library.problems.append(BadContent("records end in .yml", file=path, remedy="Rename the file."))
        if path.suffix != ".yml" or path.name.startswith("."):
            continue
        if not re.match(ID, path.stem):
            library.problems.append(
                BadContent("the file name is the id", file=path, expected="lower-case letters, digits, hyphens")
            )
            continue
        yield path, path.stem


def _guard(library: Library, step: Callable[[], None]) -> None:
    try:
        step()
    except HandoutsError as problem:
        library.problems.append(problem)


def _stamp(data: TextMap, path: Path, **given: Any) -> TextMap:
    for key, value in given.items():
        if key in data:
            raise BadContent(
                f"the key {key!r} is never typed; the file's place gives it", file=path, line=data.lines[key]
            )
        dict.__setitem__(data, key, value)
    return data


def _admit(library: Library, record: Any, table: dict[str, Any], what: str, of_club: bool) -> None:
    """Put a record in its table; a club may replace a whole entry only when it says so and why."""
    if record.id in table and not of_club:
        raise BadContent(
            f"the {what} {record.id!r} stands twice",
            file=record.origin,
            line=record.line,
            found=f"also {table[record.id].origin}",
            remedy="Keep one of the files, or give one another name.",
        )
    if record.id in table:
        if not getattr(record, "replaces", False):
            raise BadContent(
                f"the {what} {record.id!r} exists already",
                file=record.origin,
                line=record.line,
                expected="a new id, or `replaces: true` with a `reason`",
            )
        if not record.reason:
            raise BadContent(f"a replacing {what} needs its `reason`", file=record.origin, line=record.line)
        _keeps_classes(table[record.id], record, what)
        library.replaced[record.id] = record.reason
    elif getattr(record, "replaces", False):
        raise BadContent(f"there is no {what} {record.id!r} to replace", file=record.origin, line=record.line)
    table[record.id] = record


def _keeps_classes(old: Any, new: Any, what: str) -> None:
    """Raise BadContent when a replacing record lacks a hazard class that the replaced one names."""
    key = "carries" if hasattr(old, "carries") else "cautions"
    before, after = getattr(old, key, []), getattr(new, key, [])
    missing = [hazard for hazard in before if hazard not in after]
    if missing:
        raise BadContent(
            f"a replacing {what} may not drop a hazard class",
            file=new.origin,
            line=new.line,
            found=f"without {', '.join(missing)}",
            expected=f"{key}: [{', '.join([*after, *missing])}]",
        )


def _flatten(data: TextMap, owner: str, path: Path) -> TextMap:
    """Turn quantity -> [condition ->] fact into full ids -> fact."""
    import re

    flat = TextMap(data.line)

    def put(key: str, value: TextMap, line: int) -> None:
        full = f"{owner}.{key}"
        if not re.match(FACT_ID, full):
            raise BadContent(
                f"{full!r} is no fact id", file=path, line=line, expected="lower-case letters, digits, hyphens"
            )
        flat[full] = _stamp(value, path, id=full)
        flat.lines[full] = line

    for quantity, value in data.items():
        line = data.lines[quantity]
        if not isinstance(value, TextMap):
            raise BadContent(f"{quantity!r} holds no fact", file=path, line=line, expected="a mapping with `says`")
        if "says" in value or "label" in value:
            put(quantity, value, line)
            continue
        for condition, inner in value.items():
            if not isinstance(inner, TextMap):
                raise BadContent(
                    f"{quantity}.{condition} holds no fact",
                    file=path,
                    line=value.lines[condition],
                    expected="a mapping with `says`",
                )
            put(f"{quantity}.{condition}", inner, value.lines[condition])
    return flat


def _with_facts(data: TextMap, key: str, owner: str, path: Path) -> TextMap:
    facts = data.get(key)
    if isinstance(facts, TextMap):
        dict.__setitem__(data, key, _flatten(facts, owner, path))
    return data


def _read_subject(library: Library, path: Path, name: str, kind: str, of_club: bool) -> None:
    data = _with_facts(_stamp(read_yaml(path), path, id=name, kind=kind), "facts", name, path)
    subject = type_record(Subject, data, path)
    old = library.subjects.get(name)
    _admit(library, subject, library.subjects, "subject", of_club)
    _own(library, subject.facts, name, old.facts if old is not None else {})


def _own(library: Library, facts: dict[str, Fact], owner: str, replaced: dict[str, Fact]) -> None:
    """Take a record's facts in, in place of those it replaces; no two records may hold one fact."""
    for name in replaced:
        library.facts.pop(name, None)
    for name, fact in facts.items():
        if name in library.facts:
            raise BadContent(
                f"the fact {name!r} stands twice",
                file=fact.origin,
                line=fact.line,
                found=f"also {library.facts[name].origin}",
                remedy="Give one of them another name.",
            )
    library.facts.update(facts)
    library.owner.update(dict.fromkeys(facts, owner))


def _read_source(library: Library, path: Path, name: str, of_club: bool) -> None:
    data = _stamp(read_yaml(path), path, id=name)
    values = data.get("values")
    if isinstance(values, TextMap):
        for key, value in values.items():
            if isinstance(value, TextMap):
                _stamp(value, path, id=f"{name}#{key}")
    source = type_record(Source, data, path)
    if of_club and name in library.sources:
        raise BadContent(f"the reference {name!r} exists already; references can only be added", file=path, line=1)
    library.sources[name] = source
    library.references.update({value.id: value for value in source.values.values()})


def _read_simple(library: Library, path: Path, name: str, model: type[R], table: dict[str, R], of_club: bool) -> None:
    data = _stamp(read_yaml(path), path, id=name)
    if model is Entry:
        data = _with_facts(data, "values", name, path)
    record = type_record(model, data, path)
    if of_club and model is Caution and name in table:
        raise BadContent(f"the caution {name!r} exists already; cautions can only be added", file=path, line=1)
    old = table.get(name)
    _admit(library, record, table, "FAQ entry" if model is Entry else path.parent.name.rstrip("s"), of_club)
    if isinstance(record, Entry):
        _own(library, record.values, name, old.values if isinstance(old, Entry) else {})


def _read_plan(library: Library, path: Path, name: str, of_club: bool) -> None:
    prose_path = path.with_suffix(".md")
    data = _with_facts(_stamp(read_yaml(path), path, id=name), "values", name, path)
    if prose_path.is_file():
        _stamp(data, path, prose=read_text(prose_path, PROSE_LIMIT, "plan's prose"))
    plan = type_record(Plan, data, path)
    old = library.plans.get(name)
    _admit(library, plan, library.plans, "plan", of_club)
    _own(library, plan.values, name, old.values if old is not None else {})
