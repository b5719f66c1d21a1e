"""Plain text and calendars."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import icalendar
import pytest

from handouts.errors import BadContent, BadInput
from handouts.model.document import Blank, Document, Figure, Para, Slot, Table
from handouts.render import FORMATS, render
from handouts.render.assets import Assets
from handouts.render.html import page
from handouts.render.text import WIDTH, render_text
from tests.render import sample
from tests.render.parts import MOLD, fig, t

every_kind = pytest.mark.parametrize("document", sample.ALL, ids=lambda document: document.kind)


@every_kind
def test_text_is_wrapped_and_plain(document: Document, assets: Assets) -> None:
    """No line over 72 characters, no no-break spaces, no markup, no trailing blanks, the same twice."""
    text = render_text(document, assets)
    assert text == render_text(document, assets)
    assert max(len(line) for line in text.splitlines()) <= WIDTH
    assert not re.search("[\u00a0\u00ad<>]", text)
    assert all(line == line.rstrip() for line in text.splitlines())
    assert text.endswith("\n")
    assert not text.endswith("\n\n")


@every_kind
def test_text_holds_every_figure_of_the_page(document: Document, assets: Assets) -> None:
    """Whatever figure the page shows, the text shows too."""
    text = " ".join(render_text(document, assets).split())
    html = page(document, assets)
    for claim in document.claims:
        in_blocks = re.search(
            rf'<(span|time|data)[^>]* data-fact="{re.escape(claim.id)}"|<span data-fact="{claim.id}"', html
        )
        if in_blocks:
            assert " ".join(claim.shown.replace("\u00a0", " ").split()) in text, claim.id


def test_marks_are_words_in_text(assets: Assets) -> None:
    """Common practice, worked out and own records are said; a published figure has its source in the list."""
    text = " ".join(render_text(sample.HANDOUT, assets).split())
    assert "every 2 weeks [common practice]" in text
    assert "November 2 [worked out]" in text
    assert "41 of 52 chrysalides [our own records]" in text
    assert "34 to 41 °F (about 1 to 5 °C), never" in text
    assert "18 to 36 days in the spicebush swallowtail." in text
    assert "is not known." in text
    assert "- published (no note beside it): " in text


def test_cautions_steps_tables_and_sources_in_text(assets: Assets) -> None:
    """A caution begins with the word, steps and sources are numbered, a table says each cell with its column."""
    text = render_text(sample.HANDOUT, assets)
    assert "\nCAUTION: sap that burns skin in sunlight\n  Sap plus sunlight can blister skin." in text
    assert "\n  Whom to ask: Poison help line, day or night\n" in text
    assert "\n1. Leave each chrysalis" in text
    assert "\n3. Sample normals, 1991–2020, invented station.\n" in text
    assert "\nJob: Sow parsley\n  When: 2 to 4 weeks before your last freeze [common practice]\n" in text
    body = [line for line in text.splitlines() if not line.startswith("CAUTION")]
    assert not any(re.search(r"\b[A-Z]{4,}\b", line) for line in body)


def test_talks_say_what_to_say_show_and_do(assets: Assets) -> None:
    """What place says on paper, words say in text."""
    text = render_text(sample.TALK, assets)
    assert "\nShow\n\n- The two cases, side by side\n" in text
    assert text.count("\nSay\n") == 3


def test_a_calendar_row_is_said_in_stretches(assets: Assets) -> None:
    """Twelve months become "Jan to Apr: sleep", so that the row can be read aloud."""
    text = " ".join(render_text(sample.POSTER, assets).split())
    assert "Asleep Jan to Apr: sleep; Sep to Dec: sleep" in text
    assert "May: May 6; Oct: first" in text


def test_boxes_to_fill_in_are_lines(assets: Assets) -> None:
    """A blank keeps its label and as many lines as on paper; an empty cell shows where to write."""
    blocks = (Blank("Keeper", 2), Table("Days", ("Day", "Seen"), ((t("one"), ()),)))
    text = render_text(replace(sample.LOG, blocks=blocks), assets)
    assert re.search(r"\nKeeper: _{60,}\n_{72}\n", text)
    assert "Day: one ____" in text


def parsed(document: Document, assets: Assets) -> icalendar.Calendar:
    """The calendar, read back."""
    return icalendar.Calendar.from_ical(render(document, ".ics", assets).data)


def test_calendars_keep_the_rules_of_the_standard(assets: Assets) -> None:
    """CRLF only, lines of at most 75 octets, no split character, required properties, the same bytes twice."""
    data = render(sample.CALENDAR, ".ics", assets).data
    assert data == render(sample.CALENDAR, ".ics", assets).data
    assert data.endswith(b"\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    lines = data.split(b"\r\n")
    assert max(len(line) for line in lines) <= 75
    assert all(line.decode() or True for line in lines)
    calendar = icalendar.Calendar.from_ical(data)
    assert calendar["version"] == "2.0"
    assert calendar["prodid"].startswith("-//handouts//")
    assert calendar["name"] == calendar["x-wr-calname"] == "Black swallowtail year, Sampleton"


def test_entries_are_whole_days_and_free(assets: Assets) -> None:
    """An entry covers its first to its last day, its end is the day after, and it blocks no time."""
    events = {str(event["summary"]): event for event in parsed(sample.CALENDAR, assets).walk("VEVENT")}
    assert len(events) == len(sample.CALENDAR.events)
    for wanted in sample.CALENDAR.events:
        event = events[wanted.title]
        assert type(event.decoded("dtstart")) is date
        assert event.decoded("dtstart") == wanted.first
        assert event.decoded("dtend") == wanted.last + timedelta(days=1)
        assert event.decoded("dtstamp") == datetime(2026, 11, 25, tzinfo=UTC)
        assert event["transp"] == "TRANSPARENT"
        assert "duration" not in event
        if wanted.text:
            assert str(event["description"]).startswith(wanted.text)


def test_entries_say_how_their_figures_are_known(assets: Assets) -> None:
    """A date on a telephone carries its basis, and a relative is named."""
    texts = [str(event["description"]) for event in parsed(sample.CALENDAR, assets).walk("VEVENT")]
    assert any(
        "move chrysalides to the cold: from about October 4 to November 2 (worked out)" in text for text in texts
    )
    assert any("18 to 36 days in the spicebush swallowtail (from a relative)" in text for text in texts)
    assert not any("\u00a0" in text for text in texts)


def test_ids_stay_and_are_private(assets: Assets) -> None:
    """An entry keeps its id when its dates change; another place has others; the id is a name-based UUID."""

    def ids(document: Document) -> list[str]:
        return sorted(str(event["uid"]) for event in parsed(document, assets).walk("VEVENT"))

    moved = tuple(
        replace(event, first=event.first + timedelta(days=3), last=event.last + timedelta(days=3))
        for event in sample.CALENDAR.events
    )
    assert ids(replace(sample.CALENDAR, events=moved, edition="other")) == ids(sample.CALENDAR)
    elsewhere = ids(replace(sample.CALENDAR, place="Elsewhere"))
    assert not set(elsewhere) & set(ids(sample.CALENDAR))
    assert len(set(elsewhere)) == len(elsewhere)
    assert all(UUID(name).version == 5 for name in elsewhere)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"events": ()}, "no dated events"),
        ({"revised": ""}, "no day of last review"),
        ({"claims": ()}, "a claim the document does not have"),
        ({"events": sample.CALENDAR.events[:1] * 2}, "the same key"),
        ({"events": (replace(sample.CALENDAR.events[0], last=date(2027, 1, 1)),)}, "ends before it begins"),
    ],
)
def test_calendars_that_would_mislead_are_refused(change: dict[str, object], said: str, assets: Assets) -> None:
    """Nothing dated, nothing to trace, a doubled key or a turned span: one error each."""
    with pytest.raises(BadContent, match=said):
        render(replace(sample.CALENDAR, **change), ".ics", assets)  # type: ignore[arg-type]


def test_the_table_of_formats(assets: Assets) -> None:
    """Four endings, in either case of letters; another is refused with the list."""
    assert sorted(FORMATS) == [".html", ".ics", ".pdf", ".txt"]
    assert render(sample.FAQ, ".TXT", assets).pages is None
    with pytest.raises(BadInput, match=r"\.pdf, \.html, \.txt, \.ics"):
        render(sample.FAQ, ".doc", assets)


def test_notices_inside_slots_are_found_in_text(assets: Assets) -> None:
    """A caution inside another part is set like any other."""
    inside = replace(sample.FAQ, blocks=(Slot("entry", (Para((fig("sample.egg"),)), MOLD), t("Question?")),))
    assert "CAUTION: mold in a closed box\n" in render_text(inside, assets)
    assert isinstance(fig("sample.egg"), Figure)
