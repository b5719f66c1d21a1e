"""Rules about the records of sources: what is cited can be found, was really seen, and is a source at all."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from urllib.parse import urlsplit

from handouts.check.context import Context, line_of_item, line_with
from handouts.check.guards import guards
from handouts.model.facts import Source
from handouts.model.finding import Finding

_DOI = re.compile(r"10\.\d{4,9}/[^\s\"<>]+")
_HOST = re.compile(r"(?!-)[a-z0-9-]+(?:\.[a-z0-9-]+)*\.[a-z]{2,}")
_ISSUED = re.compile(r"(\d{4})(?:-(\d\d)(?:-(\d\d))?)?")
_PRIVATE = re.compile(r"(?:^|\.)(?:localhost|local|internal|lan|test|invalid)$")
# The kinds of record that a journal's or a publisher's reviewers may have read before print.
_REVIEWED = ("article-journal", "paper-conference", "chapter", "book", "thesis", "article")


def source_record(context: Context) -> Iterator[Finding]:
    """A DOI and a web address have their form, and dates make sense: issued before seen, seen before today."""
    for source in context.library.sources.values():
        record = source.record
        if record.DOI is not None and not _DOI.fullmatch(record.DOI):
            yield _of(context, source, "source-record", record.DOI, "a DOI such as 10.1111/phen.12345")
        if record.URL is not None and not web_address(record.URL):
            yield _of(context, source, "source-record", record.URL, "one web address without spaces")
        if source.seen > context.latest:
            yield _of(context, source, "source-record", source.seen.isoformat(), "a day that has been")
        if record.issued is not None:
            issued = issued_day(record.issued)
            if issued is None:
                yield _of(context, source, "source-record", record.issued, "a year, year-month or day as seen")
            elif issued > source.seen:
                yield _of(context, source, "source-record", record.issued, f"issued before it was seen, {source.seen}")


def not_a_source(context: Context) -> Iterator[Finding]:
    """Pages of shops, forums and personal logs are no sources, and a log is not peer-reviewed."""
    hosts = guards(context.library).no_sources
    for source in context.library.sources.values():
        host = urlsplit(source.record.URL or "").netloc.lower().removeprefix("www.")
        if host and any(host == name or host.endswith(f".{name}") for name in hosts.names) and host not in hosts.but:
            yield _of(context, source, "not-a-source", host, "the original source; else the value is common practice")
        if source.evidence == "peer-reviewed" and source.record.type not in _REVIEWED:
            yield _of(context, source, "not-a-source", source.record.type, "a reviewed article, chapter or book")


def one_record_a_source(context: Context) -> Iterator[Finding]:
    """One source has one record: no two share a DOI or the address of one page."""
    seen: dict[str, Source] = {}
    for source in context.library.sources.values():
        for name in filter(None, (source.record.DOI, _page(source.record.URL))):
            other = seen.setdefault(name.lower(), source)
            if other is not source:
                yield _of(context, source, "same-source", name, f"one record; {other.id} has it too")


def _page(url: str | None) -> str | None:
    """An address that names one page; the top of a site is shared by all its pages."""
    parts = urlsplit(url or "")
    return url if parts.path.strip("/") or parts.query else None


def _of(context: Context, source: Source, rule: str, found: str, expected: str) -> Finding:
    file = source.origin
    line = (line_with(file, found) or line_of_item(file, found)) if file else None
    return context.finding(rule, file=file, line=line or 1, key=source.id, found=found, expected=expected)


def web_address(url: str) -> bool:
    """Whether a text is one address of the public web."""
    if re.search(r"\s", url):
        return False
    try:
        parts = urlsplit(url)
        host = (parts.hostname or "").lower()
        _ = parts.port
    except ValueError:
        return False
    return parts.scheme in ("http", "https") and bool(_HOST.fullmatch(host)) and not _PRIVATE.search(host)


def issued_day(text: str) -> date | None:
    """Return the first day a printed date may mean, or None for another form."""
    match = _ISSUED.fullmatch(text)
    if match is None:
        return None
    try:
        return date(int(match[1]), int(match[2] or 1), int(match[3] or 1))
    except ValueError:
        return None
