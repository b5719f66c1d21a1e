"""Rules about records as wholes: names that tell subjects apart, stand-ins, regions, the tool's marks, acceptances."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from typing import get_args

from handouts.check.context import Context, line_of_item
from handouts.errors import HandoutsError
from handouts.files import read_text
from handouts.model.document import MarkName
from handouts.model.facts import Subject
from handouts.model.finding import Finding
from handouts.model.located import Located

# Findings that nobody may accept: dangers, forbidden claims, and figures that nobody has looked up.
NEVER_ACCEPTED = frozenset(
    {
        "shape",
        "forbidden-claim",
        "memory-reachable",
        "typed-figure",
        "class-without-caution",
        "carrier-without-class",
        "hazard-without-class",
        "caution-says",
        "safety-value",
        "proxy-name",
        "missing-contact",
        "unknown-name",
    }
)
ACCEPTED_YEARS = 3
HALF_ZONE = 5
ZONES = 26


def shared_name(context: Context) -> Iterator[Finding]:
    """No two subjects of one kind share a common name, and no two species a scientific one."""
    seen: dict[tuple[str, str], Subject] = {}
    for subject in context.library.subjects.values():
        names = [subject.names.common, subject.names.plural]
        if subject.kind == "species":
            names.append(subject.names.scientific)
        for name in {name.lower() for name in names if name}:
            other = seen.setdefault((subject.kind, name), subject)
            if other is not subject:
                yield context.finding(
                    "shared-name",
                    file=subject.origin,
                    line=line_of_item(subject.origin, name) or subject.names.line,
                    key=subject.id,
                    found=name,
                    expected=f"a name of its own; {other.id} has it too",
                )


def stand_in(context: Context) -> Iterator[Finding]:
    """A relative that stands in for a gap is another subject and has a public value of that quantity."""
    library = context.library
    for subject in library.subjects.values():
        for quantity, donor in subject.stand_ins.items():
            if donor not in library.subjects:
                continue
            start = f"{donor}.{quantity}"
            given = [fact for fact in library.facts.values() if fact.id == start or fact.id.startswith(f"{start}.")]
            public = [fact for fact in given if fact.preferred.basis.kind not in ("memory", "not-known")]
            if donor == subject.id or not public:
                yield context.finding(
                    "stand-in",
                    file=subject.origin,
                    line=line_of_item(subject.origin, quantity, under="stand_ins"),
                    key=subject.id,
                    found=f"{quantity} from {donor}",
                    expected="another species with a public value of it",
                )


def region_box(context: Context) -> Iterator[Finding]:
    """A region's center lies in its box, and the box lies on the map the right way round."""
    for region in context.library.regions.values():
        sides = ((region.latitude, region.centre.latitude, 90), (region.longitude, region.centre.longitude, 180))
        for box, centre, most in sides:
            if not -most <= box.low <= centre <= box.high <= most:
                yield context.finding(
                    "region-box",
                    file=region.origin,
                    line=box.line,
                    key=region.id,
                    found=f"{centre:g} in {box.low:g} to {box.high:g}",
                    expected="the center inside the box",
                )


def basis_marks(context: Context) -> Iterator[Finding]:
    """Every way of knowing that a page may show has its mark, and no two share one."""
    words = context.library.words
    if words is None:
        yield context.finding("basis-mark", file=context.library.root, found="no words/en.yml")
        return
    needed = [name for name in get_args(MarkName) if name != "not-known"]
    marks = [mark.get("mark", "") for mark in words.marks.values()]
    missing = [name for name in needed if name not in words.marks]
    twice = sorted({mark for mark in marks if marks.count(mark) > 1 or len(mark) != 1})
    if missing or twice:
        yield context.finding(
            "basis-mark",
            file=words.origin,
            line=line_of_item(words.origin, "marks"),
            found=f"without {', '.join(missing)}" if missing else f"mark {', '.join(twice)}",
            expected="one letter of its own for each way of knowing",
        )


def named_twice(context: Context) -> Iterator[Finding]:
    """No list names a thing twice, and no answer is related to itself."""
    library = context.library
    lists: list[tuple[Located, str, dict[str, list[str]]]] = []
    for subject in library.subjects.values():
        lists.append((subject, subject.id, {"carries": subject.carries}))
    for plan in library.plans.values():
        named = {"faq": plan.faq, "cautions": plan.cautions, "species": plan.species, "subjects": plan.subjects}
        lists.append((plan, plan.id, named))
    for entry in library.entries.values():
        named = {"related": [entry.id, *entry.related], "cautions": entry.cautions, "refer": entry.refer}
        lists.append((entry, entry.id, {**named, "subjects": entry.subjects}))
    for caution in library.cautions.values():
        lists.append((caution, caution.id, {"turn_to": caution.turn_to, "carried_by": caution.carried_by}))
    for record, owner, named in lists:
        for key, names in named.items():
            for name in sorted({name for name in names if names.count(name) > 1}):
                yield context.finding(
                    "named-twice",
                    file=record.origin,
                    line=line_of_item(record.origin, name, under=key),
                    key=f"{owner}: {key}",
                    found=name,
                )


def acceptance(context: Context) -> Iterator[Finding]:
    """What is accepted is a disagreement, not a danger, and is looked at again within some years."""
    for item in context.library.accepted.accepted:
        years = (item.until - context.today).days / 365.25
        if item.rule in NEVER_ACCEPTED or years > ACCEPTED_YEARS:
            yield context.finding(
                "accepted",
                file=item.origin,
                line=item.line,
                key=item.key,
                found=f"{item.rule} accepted" if item.rule in NEVER_ACCEPTED else f"accepted until {item.until}",
                expected="mended, not accepted" if item.rule in NEVER_ACCEPTED else f"{ACCEPTED_YEARS} years at most",
            )


def zone_table(context: Context) -> Iterator[Finding]:
    """The hardiness zones step by halves of equal width, a before b, without a gap."""
    path = context.library.root / "places" / "hardiness-zones.csv"
    if not path.is_file():
        return
    try:
        rows = list(csv.DictReader(read_text(path, 100_000, "zone table").splitlines()))
        bands = [(row["zone"], float(row["low_F"]), float(row["high_F"])) for row in rows]
    except (HandoutsError, KeyError, TypeError, ValueError):
        yield context.finding(
            "zone-table", file=path, line=1, found="rows that do not read", expected="zone,low_F,high_F"
        )
        return
    for at, (zone, low, high) in enumerate(bands):
        name = f"{at // 2 + 1}{'ab'[at % 2]}"
        start = bands[0][1] + at * HALF_ZONE
        if (zone, low, high) != (name, start, start + HALF_ZONE):
            yield context.finding(
                "zone-table",
                file=path,
                line=at + 2,
                key=zone,
                found=f"{zone}: {low:g} to {high:g}",
                expected=f"{name}: {start:g} to {start + HALF_ZONE:g}",
            )
    if len(bands) != ZONES:
        yield context.finding("zone-table", file=path, line=1, found=f"{len(bands)} rows", expected=f"{ZONES}")
