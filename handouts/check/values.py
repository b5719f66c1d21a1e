"""Rules about facts and the references behind them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from handouts.check.agreement import compatible, disagreement, same_value, unstated
from handouts.check.context import Context
from handouts.compose.carriers import public_names
from handouts.model.facts import Fact, Proxy, Statement
from handouts.model.finding import Finding


def _backed(context: Context) -> Iterator[tuple[Fact, Statement]]:
    for fact in context.library.facts.values():
        for statement in fact.says:
            if statement.rests_on:
                yield fact, statement


def shape(context: Context) -> Iterator[Finding]:
    """Every file fits its format."""
    for problem in context.library.problems:
        yield context.finding(
            "shape",
            file=None if problem.file is None else Path(problem.file),
            line=problem.line,
            found=problem.problem if problem.found is None else f"{problem.problem}: {problem.found}",
            expected=problem.expected,
            remedy=problem.remedy,
        )


def dangling_reference(context: Context) -> Iterator[Finding]:
    """A statement rests only on references that exist, and a reference speaks of a fact that exists."""
    for fact, statement in _backed(context):
        for name in statement.rests_on:
            if name not in context.library.references:
                yield context.finding(
                    "dangling-reference",
                    file=statement.origin,
                    line=statement.line,
                    key=fact.id,
                    found=name,
                    expected="a source#key of content/references",
                    remedy="Add the reference or correct its name.",
                )
    for value in context.library.references.values():
        # What a club replaces may hold fewer facts; the shipped references of the others then stay unused.
        if value.of not in context.library.facts and value.of.partition(".")[0] not in context.library.replaced:
            yield context.finding(
                "dangling-reference",
                file=value.origin,
                line=value.line,
                key=value.id,
                found=value.of,
                expected="the id of a fact",
                remedy="Add the fact or correct `of`.",
            )


def missing_parent(context: Context) -> Iterator[Finding]:
    """A derived value names parents that exist, and is never its own ancestor."""
    facts = context.library.facts
    for fact in facts.values():
        for statement in fact.says:
            for parent in getattr(statement.basis, "parents", []):
                if parent not in facts:
                    yield context.of_statement(
                        "missing-parent", fact, statement, found=parent, expected="the id of a fact"
                    )
        if fact.id in _ancestors(context, fact.id):
            yield context.of_fact("missing-parent", fact, found="the fact among its own ancestors")


def _ancestors(context: Context, name: str) -> set[str]:
    found: set[str] = set()
    todo = [name]
    while todo:
        fact = context.library.facts.get(todo.pop())
        for statement in fact.says if fact else ():
            for parent in getattr(statement.basis, "parents", []):
                if parent not in found:
                    found.add(parent)
                    todo.append(parent)
    return found


def outside_reference(context: Context) -> Iterator[Finding]:
    """A published or proxy statement agrees with every reference it rests on."""
    references = context.library.references
    for fact, statement in _backed(context):
        known = [references[name] for name in statement.rests_on if name in references]
        if len(known) < len(statement.rests_on):
            continue
        problem = disagreement(statement, known)
        if problem:
            yield context.of_statement(
                "outside-reference",
                fact,
                statement,
                found=problem,
                expected=f"what {', '.join(statement.rests_on)} states",
                remedy="Correct the value or its unit, or accept the disagreement with its reason.",
            )
        elif narrower := unstated(statement, known):
            yield context.of_statement(
                "not-as-stated",
                fact,
                statement,
                level="warning",
                found=narrower,
                expected=f"the ends that {', '.join(statement.rests_on)} states",
                remedy="Say what the source says, or say in `conditions` why only part of it.",
            )


def reference_of_another(context: Context) -> Iterator[Finding]:
    """A published statement rests on references of the same fact; one of another is a proxy and names it."""
    library = context.library
    for fact, statement in _backed(context):
        for name in statement.rests_on:
            reference = library.references.get(name)
            if reference is None or statement.basis.kind != "published" or reference.of == fact.id:
                continue
            yield context.of_statement(
                "reference-of-another",
                fact,
                statement,
                found=f"{name} speaks of {reference.of}",
                expected=f"a reference of {fact.id}, or the basis proxy",
            )


def proxy_name(context: Context) -> Iterator[Finding]:
    """A proxy names the species or place its references speak of, and never the subject itself."""
    library = context.library
    for fact, statement in _backed(context):
        basis = statement.basis
        if not isinstance(basis, Proxy):
            continue
        own = library.subjects.get(library.owner.get(fact.id, ""))
        if own is not None and basis.of.lower() in {own.id, *(name.lower() for name in public_names(own))}:
            yield context.of_statement(
                "proxy-name", fact, statement, found="the subject itself", expected="the other species or place"
            )
            continue
        for name in statement.rests_on:
            reference = library.references.get(name)
            if reference is not None and not _names_it(context, basis.of, reference.of):
                yield context.of_statement(
                    "proxy-name",
                    fact,
                    statement,
                    found=f"{basis.of}, but {name} speaks of {reference.of}",
                    expected="the name of what was studied",
                )


def _names_it(context: Context, of: str, measured: str) -> bool:
    """Whether `of` (an id or a plain name) names the species or place that the fact `measured` was measured on."""
    library = context.library
    parts = measured.split(".")
    if of in parts:
        return True
    if of in library.subjects or of in library.regions:
        return False
    named = set(re.findall(r"[a-z]+", of.lower()))
    if len(parts) > 2:
        return set(parts[2].split("-")) <= named or bool(named & _name_words(context, parts[0]))
    return bool(named & (_name_words(context, parts[0]) | set(re.split("[.-]", measured))))


def _name_words(context: Context, subject: str) -> set[str]:
    known = context.library.subjects.get(subject)
    scientific = (known.names.scientific or "") if known is not None else ""
    return set(re.findall(r"[a-z]+", scientific.lower()))


def missing_locator(context: Context) -> Iterator[Finding]:
    """A reference value says where in the source it stands."""
    for value in context.library.references.values():
        if not value.locator:
            yield context.finding(
                "missing-locator",
                file=value.origin,
                line=value.line,
                key=value.id,
                expected="a locator",
                remedy="Say where it stands: abstract, table, page, paragraph.",
            )


def contradiction_unsaid(context: Context) -> Iterator[Finding]:
    """Every other reference of a fact meets one of its statements, or the fact's note says that sources differ."""
    facts = context.library.facts
    for value in context.library.references.values():
        fact = facts.get(value.of)
        if fact is None or fact.note or fact.preferred.basis.kind in ("not-known", "memory"):
            continue
        if any(value.id in statement.rests_on for statement in fact.says):
            continue
        if not any(compatible(statement, value) for statement in fact.says):
            # What a club adds is looked at in the club's own file.
            where = value if context.of_club(value.origin) and not context.of_club(fact.origin) else fact
            yield context.finding(
                "contradiction-unsaid",
                file=where.origin,
                line=where.line,
                key=fact.id,
                found=f"{value.id} states something else",
                expected="a further statement with `why`, or a `note` that says so",
            )


def published_against_practice(context: Context) -> Iterator[Finding]:
    """What a source states is published, not common practice; a source that differs from practice is shown or noted."""
    facts = context.library.facts
    for value in context.library.references.values():
        fact = facts.get(value.of)
        if fact is None or any(value.id in statement.rests_on for statement in fact.says):
            continue
        kind = fact.preferred.basis.kind
        practice = [statement for statement in fact.says if statement.basis.kind == "common-practice"]
        stated = next((statement for statement in practice if same_value(statement, value)), None)
        if stated is not None:
            yield context.of_statement(
                "unused-reference",
                fact,
                stated,
                found=f"common practice, while {value.id} states it",
                expected="the basis published",
            )
        elif kind in ("memory", "not-known") or (kind == "common-practice" and not fact.note):
            where = value if context.of_club(value.origin) and not context.of_club(fact.origin) else fact
            yield context.finding(
                "unused-reference",
                file=where.origin,
                line=where.line,
                key=fact.id,
                level="error" if kind != "common-practice" else "warning",
                found=f"{value.id} states a value, and no statement rests on it",
                expected="a statement that rests on it",
            )


def memory(context: Context) -> Iterator[Finding]:
    """Values known from memory are to-dos: they are listed, and never reach a public page."""
    by_subject: dict[str, list[Fact]] = {}
    for fact in context.library.facts.values():
        if any(statement.basis.kind == "memory" for statement in fact.says):
            by_subject.setdefault(context.library.owner[fact.id], []).append(fact)
    for owner, found in by_subject.items():
        names = ", ".join(fact.id.removeprefix(f"{owner}.") for fact in found)
        yield context.finding(
            "memory",
            level="warning",
            file=found[0].origin,
            line=found[0].line,
            key=owner,
            found=names,
            expected="a source",
            remedy="Look it up, or leave it out.",
        )


def replaced_entry(context: Context) -> Iterator[Finding]:
    """Entries that a club replaces are named."""
    library = context.library
    for name, why in library.replaced.items():
        record = library.subjects.get(name) or library.plans.get(name) or library.entries.get(name)
        yield context.finding(
            "replaced-entry",
            level="warning",
            file=record.origin if record is not None else None,
            line=record.line if record is not None else None,
            key=name,
            found=why,
            remedy="It stands on the claims sheet.",
        )
