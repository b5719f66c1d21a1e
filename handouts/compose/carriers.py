"""Text in, the subjects named in it and the hazard classes they carry out; a longer name hides a shorter one in it."""

from __future__ import annotations

import re
from functools import lru_cache

from handouts.model.facts import Subject
from handouts.model.library import Library


class _Names:
    """All public names of some subjects as one pattern, longest first."""

    def __init__(self, subjects: tuple[tuple[str, tuple[str, ...]], ...]) -> None:
        self.owners: dict[str, list[str]] = {}
        for subject, known in subjects:
            for name in known:
                self.owners.setdefault(_key(name), []).append(subject)
        longest = sorted(self.owners, key=lambda name: (-len(name), name))
        words = (re.escape(name).replace("\\ ", "[ -]") for name in longest)
        self.pattern = re.compile(rf"(?<![\w-])({'|'.join(words)})(?:'s|s|es)?(?![\w-])") if longest else None


@lru_cache(maxsize=4)
def _names_of(subjects: tuple[tuple[str, tuple[str, ...]], ...]) -> _Names:
    return _Names(subjects)


@lru_cache(maxsize=4)
def _names_for(library: Library) -> _Names:
    return _names_of(tuple((subject.id, tuple(public_names(subject))) for subject in library.subjects.values()))


def public_names(subject: Subject) -> list[str]:
    """Return every name a reader may meet the subject under."""
    names = subject.names
    return [name for name in (names.common, names.plural, names.scientific, *names.also) if name]


def _key(text: str) -> str:
    return re.sub(r"\s+", " ", text.lower().replace("\u2019", "'").replace("\u00a0", " "))


def named_subjects(library: Library, text: str) -> list[str]:
    """Return the ids of the subjects whose names stand in `text`, each once, in the order of the text."""
    return list(_named(_names_for(library), text))


@lru_cache(maxsize=1024)
def _named(names: _Names, text: str) -> tuple[str, ...]:
    if names.pattern is None:
        return ()
    found: dict[str, None] = {}
    for match in names.pattern.finditer(_key(text)):
        name = match.group(1)
        found.update(dict.fromkeys(names.owners.get(name) or names.owners.get(name.replace("-", " "), [])))
    return tuple(found)


def classes_named(library: Library, text: str) -> list[str]:
    """Return the hazard classes that must travel with `text`."""
    return library.classes_of(named_subjects(library, text))
