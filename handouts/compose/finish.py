"""A composer and the body of a document in, the finished Document out: cautions, key, sources, edition, statements."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection
from dataclasses import asdict, replace
from datetime import date

from handouts.compose import prose
from handouts.compose.cite import Brief
from handouts.compose.composer import Composer, words_of
from handouts.compose.corrections import corrections_blocks
from handouts.model.document import Block, Const, Document, Event, Heading, Items, Para, Run, Runs, Slot, Text
from handouts.model.records import Plan
from handouts.reading import grade_of

_LETTERS = "bcdfghjkmnpqrstvwxz"


def caution_slot(
    composer: Composer, body: tuple[Block, ...], full: list[str], *, length: str = "full", brief: Brief = None
) -> Slot | None:
    """Return the slot with every caution the body asks for: those of `full` whole, the others short."""
    # Titles in the source list name carriers too, and it is put in after the cautions.
    titles = " ".join(prose.plain(line) for line in composer.sources(brief=brief))
    text = f"{words_of(body)} {titles}"
    needed = composer.cautions_for(text, full)
    done: dict[str, Block] = {}
    while pending := [name for name in needed if name not in done]:
        for name in pending:
            whole = length == "full" and name in full
            done[name] = composer.notice(name, "full" if whole else "short")
        needed = composer.cautions_for(f"{text} {words_of(tuple(done.values()))}", full)
    if not done:
        return None
    if length == "short":
        contacts = list(dict.fromkeys(name for hazard in done for name in composer.library.caution(hazard).turn_to))
        done["ask"] = Para(_ask(composer, contacts), "contacts")
    return Slot("cautions", tuple(done.values()), (Text(composer.library.say("cautions")),))


def _ask(composer: Composer, contacts: list[str]) -> Runs:
    """Return one line that names whom to ask, with the phone numbers on record."""
    runs: list[Run] = [Text(f"{composer.library.say('turn-to')}: ")]
    for at, name in enumerate(contacts):
        contact = composer.contact(name)
        first = contact[0]
        if at and isinstance(first, Text):
            contact = (
                Text(
                    f"; {first.text[:1].lower() if first.text.startswith(('Your', 'A ')) else first.text[:1]}"
                    f"{first.text[1:]}"
                ),
                *contact[1:],
            )
        runs.extend(contact)
    runs.append(Text("."))
    return tuple(runs)


def tail(composer: Composer, *, brief: Brief = None, listed: bool = True) -> tuple[Block, ...]:
    """Return the key of the marks and the source list (where it is not `listed` elsewhere)."""
    library = composer.library
    blocks: list[Block] = []
    key = composer.key()
    if key is not None:
        blocks.append(Slot("key", (key,), (Text(library.say("key")),)))
    sources = composer.sources(brief=brief) if listed else ()
    if sources:
        blocks.append(Slot("sources", (composer.numbered(sources, "sources"),), (Text(library.say("sources")),)))
    return tuple(blocks)


def statement_lines(composer: Composer, wanted: Collection[str] | None = None) -> list[Runs]:
    """Return the statements the paper carries: the tool's own two, then the club's, in its own words.

    `wanted` names those that a kind asks for; left out, all of them.
    """
    library, club = composer.library, composer.library.club
    texts: dict[str, str | None] = {"not-advice": library.say("not-advice")}
    if any(name in library.subjects and library.subjects[name].kind == "substances" for name in composer.subjects):
        texts["label-law"] = library.say("label-law")
    if club is not None:
        given = club.statements
        texts |= {name: getattr(given, name) for name in ("affiliation", "non_endorsement", "label", "licence")}
        if equal := given.equal_opportunity:
            texts["equal_opportunity"] = f"{equal.text} ({equal.as_of})"
        if composer.setting.event:
            texts["accommodation"] = given.accommodation
    return [composer.const(text, "note") for name, text in texts.items() if text and (wanted is None or name in wanted)]


def finish(
    composer: Composer,
    *,
    kind: str,
    topic: str,
    title: str,
    subtitle: Runs,
    body: tuple[Block, ...],
    cautions: Slot | None,
    plan: Plan | None = None,
    events: tuple[Event, ...] = (),
    statements: bool | Collection[str] = True,
    with_tail: bool = True,
    brief: Brief = None,
    listed: bool = True,
) -> Document:
    """Put the parts together, name the edition and measure the reading grade.

    The edition id is a hash of blocks and claims, without status and edition line, written in letters. `statements`
    are all, none, or those named.
    """
    blocks: list[Block] = list(body)
    if cautions is not None:
        blocks.append(cautions)
    if with_tail:
        blocks.extend(tail(composer, brief=brief, listed=listed))
    if with_tail and statements:
        wanted = None if isinstance(statements, bool) else statements
        blocks.extend(Para(runs, "statement") for runs in statement_lines(composer, wanted))
    blocks.extend(corrections_blocks(composer, kind))
    claims = tuple(composer.claims.values())
    classes = tuple(block.caution for block in (cautions.blocks if cautions else ()) if hasattr(block, "caution"))
    draft = Document(
        kind=kind,
        topic=topic,
        title=title,
        subtitle=subtitle,
        blocks=tuple(blocks),
        claims=claims,
        cautions=classes,
        constants=tuple(composer.constants),
        events=events,
        place=composer.setting.profile.name or "",
        paper=composer.setting.paper,
        revised=last_review(composer, plan).isoformat(),
        extra={"subjects": " ".join(composer.subjects)},
    )
    edition = edition_id(draft)
    line = edition_line(composer, edition, draft.revised)
    return replace(
        draft,
        edition=edition,
        edition_line=line,
        constants=tuple(composer.constants),
        reading_grade=grade_of(prose_sentences(draft.blocks), names=_names(composer)),
    )


def edition_id(document: Document) -> str:
    """Return three groups of four letters that change with any block or claim."""
    body = json.dumps(
        [asdict(block) for block in document.blocks] + [asdict(claim) for claim in document.claims] + [document.title],
        sort_keys=True,
        default=str,
    )
    value = int.from_bytes(hashlib.sha256(body.encode()).digest()[:12], "big")
    letters: list[str] = []
    for _ in range(12):
        value, rest = divmod(value, len(_LETTERS))
        letters.append(_LETTERS[rest])
    text = "".join(letters)
    return f"{text[:4]}-{text[4:8]}-{text[8:]}"


def edition_line(composer: Composer, edition: str, revised: str) -> Runs:
    """Return the edition line: id, place, zone edition, last review."""
    library, profile = composer.library, composer.setting.profile
    runs: list[Run] = [Text(f"{library.say('edition')} {edition} {library.say('for-place')} ")]
    runs.extend(composer.const(profile.name or library.say("your-garden"), "name"))
    if profile.zone:
        runs.append(Text(", "))
        runs.extend(composer.const(f"zone\u00a0{profile.zone}, {library.say('zone-edition')}", "note"))
    runs.append(Text(f"; {library.say('reviewed')} "))
    composer.constants[revised] = None
    runs.append(Const("note", revised))
    return tuple(runs)


def last_review(composer: Composer, plan: Plan | None) -> date:
    """Return the newest review day among the records the document rests on."""
    library = composer.library
    days = [library.subjects[name].reviewed for name in composer.subjects if name in library.subjects]
    if plan is not None:
        days.append(plan.reviewed)
    return max(days, default=date(1970, 1, 1))


def prose_sentences(blocks: tuple[Block, ...]) -> list[str]:
    """Return the running prose (paragraphs, list items, cautions); headings, tables, lists of sources stay out."""
    from handouts.compose.prose import plain

    said: list[str] = []
    for block in blocks:
        if isinstance(block, Slot):
            if block.name not in ("key", "sources", "statements", "materials"):
                said.extend(prose_sentences(block.blocks))
        elif isinstance(block, Para) and block.role not in ("statement", "small", "meta"):
            said.append(plain(block.runs))
        elif isinstance(block, Items) and block.role not in ("key", "sources", "plainlist"):
            said.extend(plain(item) for item in block.items)
        elif not isinstance(block, Heading) and hasattr(block, "caution"):
            said.append(plain(block.runs))  # type: ignore[union-attr]
    return said


def _names(composer: Composer) -> list[str]:
    names: list[str] = []
    for subject in composer.library.subjects.values():
        if subject.kind not in ("species", "plants", "substances"):
            continue
        names.extend(filter(None, (subject.names.common, subject.names.plural, subject.names.scientific)))
    return names
