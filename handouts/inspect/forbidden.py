"""The list of what no text may say and a text in, the sentences that say it out; for prose and finished files."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from handouts.errors import BadContent
from handouts.paths import content_dir
from handouts.reading import split_sentences
from handouts.yamltext import TextList, TextMap, read_yaml

_PART = re.compile(r"<([a-z]+)>")
_NESTED = 5
_SPACES = re.compile(r"[\s\u00a0\u2009\u202f]+")


@dataclass(frozen=True)
class Forbidden:
    """One thing no text may say. `patterns` find it; `unless` are the contexts in which the sentence is all right."""

    id: str
    reason: str
    remedy: str
    patterns: tuple[re.Pattern[str], ...]
    unless: tuple[re.Pattern[str], ...]
    questions_pass: bool
    line: int

    def match(self, sentence: str) -> str | None:
        """Return the words of `sentence` that break the rule, or None."""
        if self.questions_pass and sentence.rstrip("\"'\u201d\u2019) ").endswith("?"):
            return None
        for pattern in self.patterns:
            found = pattern.search(sentence)
            if found and not any(excuse.search(sentence) for excuse in self.unless):
                return found.group()
        return None


@dataclass(frozen=True)
class Breach:
    """A sentence that breaks a rule: the rule, the sentence, the words in it, and the index of its text."""

    rule: Forbidden
    sentence: str
    words: str
    item: int


def load_forbidden(root: Path | None = None) -> tuple[Forbidden, ...]:
    """Read `words/forbidden.yml` of a content folder (the shipped one when `root` has none).

    Raises BadInput or BadContent with file and line.
    """
    if root is not None and (root / "words" / "forbidden.yml").is_file():
        return _load(root / "words" / "forbidden.yml")
    return _load(content_dir() / "words" / "forbidden.yml")


@lru_cache(maxsize=4)
def _load(file: Path) -> tuple[Forbidden, ...]:
    data = read_yaml(file, what="list of forbidden claims")
    parts = data.get("parts")
    rules = data.get("rules")
    if not isinstance(parts, TextMap) or not isinstance(rules, TextMap):
        raise BadContent("the list of forbidden claims needs `parts` and `rules`", file=file, line=1)
    made = []
    for name, body in rules.items():
        line = rules.lines[name]
        if not isinstance(body, TextMap):
            raise BadContent(f"the rule {name!r} holds no mapping", file=file, line=line)
        missing = [key for key in ("reason", "remedy", "patterns") if not body.get(key)]
        if missing:
            raise BadContent(f"the rule {name!r} lacks {', '.join(missing)}", file=file, line=line)
        made.append(
            Forbidden(
                id=name,
                reason=str(body["reason"]),
                remedy=str(body["remedy"]),
                patterns=_compile(body, "patterns", parts, file),
                unless=_compile(body, "unless", parts, file),
                questions_pass=body.get("questions") == "pass",
                line=line,
            )
        )
    return tuple(made)


def _compile(body: TextMap, key: str, parts: TextMap, file: Path) -> tuple[re.Pattern[str], ...]:
    texts = body.get(key)
    made: list[re.Pattern[str]] = []
    if texts is None:
        return ()
    if not isinstance(texts, TextList):
        raise BadContent(f"{key!r} holds no list of patterns", file=file, line=body.lines[key])
    for at, text in enumerate(texts):
        line = texts.lines[at]
        full = str(text)
        full = _filled(full, parts, file, line)
        try:
            made.append(re.compile(full, re.IGNORECASE))
        except re.error as error:
            raise BadContent("a pattern does not compile", file=file, line=line, found=str(error)) from None
    return tuple(made)


def _filled(text: str, parts: TextMap, file: Path, line: int) -> str:
    """Put the parts in, and the parts of parts, a few levels deep."""
    for _ in range(_NESTED):
        text = _PART.sub(lambda match: _part(match.group(1), parts, file, line), text)
    return text


def _part(name: str, parts: TextMap, file: Path, line: int) -> str:
    if name not in parts:
        raise BadContent(f"there is no part <{name}>", file=file, line=line, expected=", ".join(parts))
    return str(parts[name])


def breaches(texts: Sequence[str], rules: Iterable[Forbidden]) -> Iterator[Breach]:
    """Yield every sentence of `texts` (paragraphs and list items) that breaks a rule, once for each rule."""
    rules = tuple(rules)
    for item, text in enumerate(texts):
        plain = _SPACES.sub(" ", text.replace("\u00ad", ""))
        for sentence in split_sentences(plain):
            for rule in rules:
                words = rule.match(sentence)
                if words is not None:
                    yield Breach(rule, sentence, words, item)


def forbidden_in(text: str, root: Path | None = None) -> Iterator[tuple[str, str, str]]:
    """Yield (rule id, sentence, reason) for each forbidden sentence of a prose text of several paragraphs and lists.

    Names in braces, or an ellipsis in their place, are read as amounts. `root` is the content folder.
    """
    items = [part for part in re.split(r"\n\s*\n|\n\s*(?:[-*]|\d+\.)\s+", text) if part.strip()]
    for breach in breaches(items, load_forbidden(root)):
        yield breach.rule.id, breach.sentence, f"{breach.rule.reason} {breach.rule.remedy}"
