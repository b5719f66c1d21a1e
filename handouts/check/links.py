"""Rules about what records name: cautions, contacts, plans, entries, pictures; and about dates."""

from __future__ import annotations

from collections.abc import Container, Iterator
from datetime import date, timedelta

from handouts import paths
from handouts.check.agreement import compatible
from handouts.check.context import Context, line_of_item
from handouts.check.guards import guards
from handouts.check.texts import names_in
from handouts.model.finding import Finding
from handouts.model.located import Located

# Months after which a review is stale, by what the record is about (law and pesticides move fastest).
STALE_MONTHS = {"species": 60, "plants": 60, "practices": 36, "terms": 36, "substances": 24, "contacts": 12}
OTHER_STALE_MONTHS = 36
TIME_BOUND_MONTHS = 12
# A day may have begun elsewhere.
TOMORROW = 1
_SHOWN_BY_ENGINE = (
    "flight",
    "broods",
    "critical-day-length",
    "egg",
    "larva",
    "pupa",
    "opening",
    "warm-to-opening",
    "winter-stage",
    "spring-shift",
    "winter-rules",
    "phone",
    "hours",
)


def _missing(
    context: Context, rule: str, record: Located, owner: str, names: list[str], table: Container[str], what: str
) -> Iterator[Finding]:
    for name in names:
        if name not in table:
            line = line_of_item(record.origin, name) or record.line
            yield context.finding(rule, file=record.origin, line=line, key=owner, found=name, expected=what)


def class_without_caution(context: Context) -> Iterator[Finding]:
    """Every hazard class that is carried or asked for has its caution."""
    library = context.library
    cautions = library.cautions
    for subject in library.subjects.values():
        yield from _missing(
            context, "class-without-caution", subject, subject.id, subject.carries, cautions, "a caution"
        )
    for plan in library.plans.values():
        yield from _missing(context, "class-without-caution", plan, plan.id, plan.cautions, cautions, "a caution")
    for entry in library.entries.values():
        yield from _missing(context, "class-without-caution", entry, entry.id, entry.cautions, cautions, "a caution")


def carrier_without_class(context: Context) -> Iterator[Finding]:
    """A caution and its carriers name each other: a class lost on either side is found."""
    library = context.library
    for caution in library.cautions.values():
        for name in caution.carried_by:
            subject = library.subjects.get(name)
            if subject is None or caution.id not in subject.carries:
                where = subject if subject is not None else caution
                under = "carries" if subject is not None else "carried_by"
                yield context.finding(
                    "carrier-without-class",
                    file=where.origin,
                    line=line_of_item(where.origin, under) or where.line,
                    key=name,
                    found=f"without {caution.id}",
                    expected=f"carries: [{caution.id}]",
                )
    for subject in library.subjects.values():
        for name in subject.carries:
            known = library.cautions.get(name)
            # A club's subjects cannot stand in shipped cautions, which a club may not change.
            if context.of_club(subject.origin) and known is not None and not context.of_club(known.origin):
                continue
            if known is not None and subject.id not in known.carried_by:
                yield context.finding(
                    "carrier-without-class",
                    file=known.origin,
                    line=line_of_item(known.origin, "carried_by") or 1,
                    key=name,
                    found=f"{subject.id} carries it",
                    expected=f"{subject.id} in carried_by",
                )
        risk = library.facts.get(f"{subject.id}.risk")
        if subject.kind == "substances" and not subject.carries and not (risk and risk.preferred.term == "low"):
            yield context.finding(
                "carrier-without-class",
                file=subject.origin,
                line=1,
                key=subject.id,
                found="no hazard class",
                expected="a class, unless its risk is low",
            )


def missing_contact(context: Context) -> Iterator[Finding]:
    """Everyone to turn to is on record."""
    subjects = context.library.subjects
    for caution in context.library.cautions.values():
        yield from _missing(context, "missing-contact", caution, caution.id, caution.turn_to, subjects, "a contact")
    for entry in context.library.entries.values():
        yield from _missing(context, "missing-contact", entry, entry.id, entry.refer, subjects, "a contact")


def missing_record(context: Context) -> Iterator[Finding]:
    """Plans and answers name subjects, entries and pictures that exist."""
    library = context.library
    pictures = {path.stem for path in (paths.templates_dir() / "pictures").glob("*.svg")}
    for plan in library.plans.values():
        named = [*plan.species, *plan.subjects]
        yield from _missing(context, "missing-record", plan, plan.id, named, library.subjects, "a subject")
        yield from _missing(context, "missing-record", plan, plan.id, plan.faq, library.entries, "a FAQ entry")
        told = plan.children
        if told is not None:
            yield from _missing(context, "missing-record", plan, plan.id, told.cautions, library.cautions, "a caution")
        for picture in filter(None, (plan.picture, told.picture if told else None)):
            if picture not in pictures:
                yield context.finding(
                    "missing-record",
                    file=plan.origin,
                    line=line_of_item(plan.origin, picture) or plan.line,
                    key=plan.id,
                    found=picture,
                    expected="a picture",
                )
    for entry in library.entries.values():
        yield from _missing(context, "missing-record", entry, entry.id, entry.subjects, library.subjects, "a subject")
        yield from _missing(context, "missing-record", entry, entry.id, entry.related, library.entries, "a FAQ entry")
    for subject in library.subjects.values():
        donors = list(subject.stand_ins.values())
        yield from _missing(context, "missing-record", subject, subject.id, donors, library.subjects, "a subject")


def _months(start: date, end: date) -> float:
    return (end - start) / timedelta(days=30.44)


def stale_review(context: Context) -> Iterator[Finding]:
    """Records are reviewed again in time, and no review lies in the future."""
    library = context.library
    tables: list[dict[str, Located]] = [
        dict(library.subjects),
        dict(library.plans),
        dict(library.entries),
        dict(library.cautions),
    ]
    for table in tables:
        for name, record in table.items():
            reviewed: date = record.reviewed  # type: ignore[attr-defined]
            most = STALE_MONTHS.get(getattr(record, "kind", ""), OTHER_STALE_MONTHS)
            age = _months(reviewed, context.today)
            early = reviewed > context.latest + timedelta(days=TOMORROW)
            if age > most or early:
                yield context.finding(
                    "stale-review",
                    level="error" if early else "warning",
                    file=record.origin,
                    line=line_of_item(record.origin, reviewed.isoformat(), under="reviewed") or record.line,
                    key=name,
                    found=f"reviewed {reviewed.isoformat()}",
                    expected="a review that is not in the future" if early else f"at most {most} months ago",
                    remedy="Look the record through and set the new date.",
                )


def past_date(context: Context) -> Iterator[Finding]:
    """Law, phone numbers and listings carry their day and are looked up again each year."""
    dated = guards(context.library).dated
    for fact in context.library.facts.values():
        owner, quantity, *_ = fact.id.split(".")
        if fact.as_of is None:
            needed = owner in dated or quantity in dated
            if needed and fact.preferred.basis.kind in ("published", "derived", "not-known"):
                yield context.of_fact("past-date", fact, found="no `as_of`", expected="the day it was last seen true")
            continue
        where = context.line_after(fact.origin, fact.line, "as_of:")
        if fact.as_of > context.latest + timedelta(days=TOMORROW):
            yield context.finding(
                "past-date",
                file=fact.origin,
                line=where,
                key=fact.id,
                found=f"as of {fact.as_of.isoformat()}",
                expected="a day that has been",
            )
        elif _months(fact.as_of, context.today) > TIME_BOUND_MONTHS:
            yield context.finding(
                "past-date",
                level="warning",
                file=fact.origin,
                line=where,
                key=fact.id,
                found=f"as of {fact.as_of.isoformat()}",
                expected=f"at most {TIME_BOUND_MONTHS} months ago",
                remedy="Look it up again before printing.",
            )


def unused(context: Context) -> Iterator[Finding]:
    """Facts that no text names, no window is made from and no value is derived from are listed by subject."""
    library = context.library
    used: set[str] = set()
    for said in context.texts():
        used.update(name.partition("|")[0] for name in names_in(said.text))
    for fact in library.facts.values():
        for statement in fact.says:
            used.update(getattr(statement.basis, "parents", []))
    idle: dict[str, list[str]] = {}
    for fact in library.facts.values():
        quantity = fact.id.partition(".")[2]
        if fact.id not in used and not quantity.startswith(_SHOWN_BY_ENGINE):
            idle.setdefault(library.owner[fact.id], []).append(quantity)
    for owner, names in idle.items():
        record = library.subjects.get(owner)
        yield context.finding(
            "unused-fact",
            level="warning",
            file=record.origin if record else None,
            line=1,
            key=owner,
            found=f"{len(names)} not shown anywhere: {', '.join(names)}",
        )
    for source in library.sources.values():
        if not source.values:
            yield context.finding(
                "unused-reference",
                level="warning",
                file=source.origin,
                line=1,
                key=source.id,
                found="a source that states nothing",
            )


def unused_reference(context: Context) -> Iterator[Finding]:
    """A reference that no statement rests on is there to be held against them; the fact's note says how it differs."""
    library = context.library
    rested = {name for fact in library.facts.values() for statement in fact.says for name in statement.rests_on}
    for value in library.references.values():
        fact = library.facts.get(value.of)
        if value.id in rested or fact is None or fact.note:
            continue
        if any(compatible(statement, value) for statement in fact.says if statement.basis.kind == "published"):
            yield context.finding(
                "unused-reference",
                level="warning",
                file=value.origin,
                line=value.line,
                key=value.id,
                found=f"no statement of {fact.id} rests on it",
                expected="its place in `rests_on`, or a `note`",
            )


def season_region(context: Context) -> Iterator[Finding]:
    """Flights that seasons are made from, and day lengths that others borrow, belong to a region on record."""
    library = context.library
    donors = {subject.stand_ins.get("critical-day-length") for subject in library.subjects.values()}
    for fact in library.facts.values():
        owner, quantity, *region = fact.id.split(".")
        made = quantity.startswith("flight-") and quantity.removeprefix("flight-").isdigit()
        needed = made or (quantity == "critical-day-length" and owner in donors)
        if needed and region and region[0] not in library.regions:
            yield context.of_fact("missing-record", fact, found=region[0], expected="a region of content/regions")
