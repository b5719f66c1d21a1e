"""Rules about facts and the references behind them."""

from __future__ import annotations

from collections.abc import Iterator

from handouts import units
from handouts.check.agreement import compatible, disagreement
from handouts.check.context import Context
from handouts.model.facts import Fact, Statement
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
            file=problem.file if problem.file is None else _path(problem.file),
            line=problem.line,
            found=problem.problem if problem.found is None else f"{problem.problem}: {problem.found}",
            expected=problem.expected,
            remedy=problem.remedy,
        )


def _path(file: object):  # type: ignore[no-untyped-def]
    from pathlib import Path

    return Path(str(file))


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
        if value.of not in context.library.facts:
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
                    yield context.of_fact("missing-parent", fact, found=parent, expected="the id of a fact")
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


def derived_sum(context: Context) -> Iterator[Finding]:
    """A value said to be the sum of the stage times is that sum."""
    for fact in context.library.facts.values():
        for statement in fact.says:
            if getattr(statement.basis, "formula", "") != "sum of the stage times" or statement.span is None:
                continue
            ends = [0.0, 0.0]
            for parent in statement.basis.parents:  # type: ignore[union-attr]
                span = context.library.facts[parent].preferred.span if parent in context.library.facts else None
                if span is None:
                    break
                for i, end in enumerate(span.ends):
                    ends[i] += units.convert(end or 0.0, span.unit, statement.span.unit)
            else:
                low, high = statement.span.ends
                if (low, high) != (ends[0], ends[1]):
                    yield context.of_fact(
                        "derived-sum", fact, found=f"{low:g} to {high:g}", expected=f"{ends[0]:g} to {ends[1]:g}"
                    )


def outside_reference(context: Context) -> Iterator[Finding]:
    """A published or proxy statement agrees with every reference it rests on."""
    references = context.library.references
    for fact, statement in _backed(context):
        known = [references[name] for name in statement.rests_on if name in references]
        if len(known) < len(statement.rests_on):
            continue
        problem = disagreement(statement, known)
        if problem:
            yield context.finding(
                "outside-reference",
                file=statement.origin,
                line=statement.line,
                key=fact.id,
                found=problem,
                expected=f"what {', '.join(statement.rests_on)} states",
                remedy="Correct the value or its unit, or accept the disagreement with its reason.",
            )


def reference_of_another(context: Context) -> Iterator[Finding]:
    """A published statement rests on references of the same fact; a proxy on references of the one it names."""
    library = context.library
    for fact, statement in _backed(context):
        for name in statement.rests_on:
            reference = library.references.get(name)
            if reference is None:
                continue
            owner = library.owner.get(reference.of, reference.of.partition(".")[0])
            if statement.basis.kind == "published" and reference.of != fact.id:
                yield context.finding(
                    "reference-of-another",
                    file=statement.origin,
                    line=statement.line,
                    key=fact.id,
                    found=f"{name} speaks of {reference.of}",
                    expected=f"a reference of {fact.id}, or the basis proxy",
                )
            elif statement.basis.kind == "proxy":
                of = statement.basis.of
                own = library.owner.get(fact.id)
                same = of == own or (of not in library.subjects and of not in library.regions and owner == own)
                region = reference.of.rpartition(".")[2]
                if (same and reference.of == fact.id) or of in reference.of.split("."):
                    continue
                if of in library.subjects and owner != of:
                    yield context.finding(
                        "proxy-name",
                        file=statement.origin,
                        line=statement.line,
                        key=fact.id,
                        found=f"{of}, but {name} speaks of {owner}",
                        expected=owner,
                    )
                elif of in library.regions and region != of:
                    yield context.finding(
                        "proxy-name",
                        file=statement.origin,
                        line=statement.line,
                        key=fact.id,
                        found=f"{of}, but {name} speaks of {reference.of}",
                    )


def proxy_name(context: Context) -> Iterator[Finding]:
    """A proxy names another species or place, never the subject itself."""
    for fact in context.library.facts.values():
        for statement in fact.says:
            if statement.basis.kind == "proxy" and statement.basis.of == context.library.owner.get(fact.id):
                yield context.finding(
                    "proxy-name",
                    file=statement.origin,
                    line=statement.line,
                    key=fact.id,
                    found="the subject itself",
                    expected="the other species or place",
                )


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
            yield context.of_fact(
                "contradiction-unsaid",
                fact,
                found=f"{value.id} states something else",
                expected="a further statement with `why`, or a `note` that says so",
            )


def published_against_practice(context: Context) -> Iterator[Finding]:
    """A fact that rests on nothing while a reference speaks of it shows that reference too, or says why not."""
    facts = context.library.facts
    for value in context.library.references.values():
        fact = facts.get(value.of)
        if fact is None or any(value.id in statement.rests_on for statement in fact.says):
            continue
        kind = fact.preferred.basis.kind
        if kind in ("memory", "not-known") or (kind == "common-practice" and not fact.note):
            yield context.of_fact(
                "unused-reference",
                fact,
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
    for name, why in context.library.replaced.items():
        yield context.finding(
            "replaced-entry", level="warning", key=name, found=why, remedy="It stands on the claims sheet."
        )
