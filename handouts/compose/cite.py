"""A source's record in, one line of a numbered reference list out."""

from __future__ import annotations

from typing import Literal

from handouts.model.facts import Record, Source

# How much of a reference a sheet of paper shows: all of it, up to the title and place, or names only.
Brief = Literal["titles", "names"] | None
_READ = {"whole": "read whole", "abstract": "abstract read", "excerpt": "excerpt read"}


def names(people: list[dict[str, str]]) -> str:
    """Write authors as "Sims S. R., Hazel W. N." with "et al." after the third."""
    written = [
        person["literal"]
        if "literal" in person
        else " ".join(filter(None, (person.get("family"), _initials(person.get("given", "")))))
        for person in people
    ]
    return ", ".join(written[:3]) + (" et al." if len(written) > 3 else "")


def citation(source: Source, *, brief: Brief = None) -> str:
    """Write one reference: authors, year, title, where it stands, how it was read.

    Parts that were not seen are left out; nothing is guessed. For sheets of paper `brief` leaves out address and
    reading ("titles"), and what a name and a place can stand for ("names"); all of it stands on the claims sheet.
    """
    record: Record = source.record
    parts: list[str] = []
    people = names([{str(key): value for key, value in person.items()} for person in record.author])
    year = (record.issued or "")[:4]
    if people:
        parts.append(f"{people} ({year})." if year else f"{_stop(people)}")
    named = brief == "names" and people and (record.container_title or record.publisher)
    if not named:
        parts.append(_stop(record.title + (f" ({year})" if year and not people else "")))
    where = record.container_title or ""
    if record.volume:
        where += f" {record.volume}" + (f"({record.issue})" if record.issue else "")
    if record.page:
        where += f": {record.page.replace('-', chr(0x2013))}"
    if where:
        parts.append(_stop(where.strip()))
    publisher = record.publisher or ""
    told = brief == "names" and record.container_title and not people  # its title and where it stands are enough
    if publisher and publisher not in people and publisher not in where and not told:
        parts.append(_stop(publisher + (f", {record.number}" if record.number else "")))
    elif record.number:
        parts.append(_stop(record.number))
    if brief:
        return " ".join(parts)
    if record.DOI:
        parts.append(f"doi:{record.DOI}.")
    elif record.URL:
        parts.append(_stop(record.URL.removeprefix("https://").removeprefix("http://").rstrip("/")))
    parts.append(f"[{_READ[source.read]} {source.seen.isoformat()}]")
    return " ".join(parts)


def _initials(given: str) -> str:
    """Write given names as initials: "Steven R." becomes "S. R."."""
    return " ".join(f"{name[0]}." for name in given.split())


def _stop(text: str) -> str:
    return text if text.endswith((".", "?", "!")) else text + "."
