"""Rules about what a document of a kind must have: its parts, edition line, statements, grade, lengths, minutes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from handouts.inspect.forbidden import breaches, load_forbidden
from handouts.inspect.page import Page, Trouble, plain, squashed
from handouts.inspect.tree import Node, blocks
from handouts.reading import Measure, measure, split_sentences, words_in

GRADES = {"talk-notes": 9.0, "childrens-sheet": 5.0}
GRADE = 8.0
# The page holds headings and cautions that a document may count otherwise; more than this apart is a mistake.
GRADES_APART = 1.0
SENTENCE_WORDS, MEAN_WORDS = 30, 20
PARAGRAPH_SENTENCES = 5
HANDOUT_WORDS = 1200
MESSAGE_SENTENCES, MESSAGE_WORDS = 3, 110

# What the design asks of a kind, as the names of its slots; the second list is asked for and not demanded.
NEEDED = {
    "handout": (("do-this", "not-known"), ("plan", "sources")),
    "faq-sheet": (("not-known",), ("sources",)),
    "handout-large-print": (("do-this", "not-known"), ("plan", "sources")),
    "talk-notes": (("not-known", "objectives", "minutes", "evaluation"), ("materials", "questions")),
    "bench-card": (("bench", "cautions"), ()),
    "childrens-sheet": (("do-this", "draw", "grown-ups", "cautions"), ()),
    "video-notes": (("scene", "description", "pinned-comment", "not-known", "cautions"), ("sources",)),
}
ONE_MESSAGE = ("handout", "handout-large-print", "faq-sheet", "talk-notes", "video-notes")
# Single sheets that leave the event: how to take part in it stands on the others.
NO_EVENT = ("bench-card", "childrens-sheet")
PICTURED = ("handout", "handout-large-print", "childrens-sheet")
_NO_PROSE = frozenset(("key", "sources", "statements", "materials", "minutes", "months", "weeks"))
_EDITION = re.compile(r"\b[a-z0-9]{4,}(?:-[a-z0-9]{4}){1,3}\b|\b[0-9a-f]{6,12}\b")
_DAY = re.compile(r"\b\d{4}-\d\d-\d\d\b")


def main_message(page: Page) -> Iterator[Trouble]:
    """One main message: the first part of the document, in three sentences at most."""
    found = page.slots("main-message")
    wrong_count = len(found) != 1 if page.kind in ONE_MESSAGE else len(found) > 1
    if wrong_count:
        yield Trouble(
            f"{len(found)} main messages",
            'one part with data-slot="main-message"',
            "Keep one main message.",
            key="main-message",
            line=found[1].line if len(found) > 1 else None,
        )
    for slot in found[:1]:
        said = [text for text in _prose(slot) if text]
        sentences = [sentence for text in said for sentence in split_sentences(text)]
        words = sum(len(words_in(text)) for text in said)
        if not 1 <= len(sentences) <= MESSAGE_SENTENCES or words > MESSAGE_WORDS:
            yield Trouble(
                f"{len(sentences)} sentences, {words} words",
                f"1 to {MESSAGE_SENTENCES} sentences in ten lines",
                "Say the one thing.",
                key="main-message",
                line=slot.line,
            )
        first = next((node for node in page.root.elements() if node.get("data-slot")), slot)
        if first is not slot:
            yield Trouble(
                f"{first.get('data-slot')} before it",
                "the main message first",
                "Move it up.",
                key="main-message",
                line=slot.line,
            )


def needed_parts(page: Page) -> Iterator[Trouble]:
    """A handout says what to do and what is not known; each kind has the parts it must have."""
    must, may = NEEDED[page.kind]
    for names, level in ((must, None), (may, "warning")):
        for name in names:
            found = page.slots(name)
            if not found or not any(_has_words(slot) for slot in found):
                yield Trouble(
                    f"no part {name!r} with words",
                    f'a part with data-slot="{name}"',
                    "Give the plan this part.",
                    key=name,
                    level="warning" if level else None,
                )
    if page.kind in PICTURED and not any(node.seen() for node in page.root.find("svg", "img", "figure")):
        yield Trouble(
            "no picture",
            "a picture or chart that carries meaning",
            "Name one in the plan.",
            key="picture",
            level="warning",
        )


def _has_words(slot: Node) -> bool:
    heads = sum(len(node.text()) for node in slot.find("h1", "h2", "h3"))
    return len(slot.text()) > heads + 3


def named_parts(page: Page) -> Iterator[Trouble]:
    """A handout without markup (PDF, text) says the same parts under their headings."""
    bare = squashed(page.text)
    for label in ("do-this", "not-known", "main-message"):
        words = page.say(label)
        if words and squashed(words) not in bare:
            yield Trouble(f"no heading {words!r}", f"the part {label}", "Make the file again.", key=label)


def edition_line(page: Page) -> Iterator[Trouble]:
    """The edition line: the id, and the day the facts were last reviewed."""
    text = plain(page.text)
    if page.record is not None and page.record.edition:
        if squashed(page.record.edition) not in squashed(text):
            yield Trouble("no edition line", f"the edition {page.record.edition}", "Make the kit again.", key="edition")
    else:
        word = page.say("edition") or "Edition"
        at = text.find(word)
        if at < 0 or not _EDITION.search(text, at):
            yield Trouble("no edition line", "the edition's id", "Make the file again.", key="edition")
    if not _DAY.search(text):
        yield Trouble("no day of the last review", "YYYY-MM-DD", "Make the file again.", key="reviewed")


def statements(page: Page) -> Iterator[Trouble]:
    """The statements that the club's paper must carry stand in the file, in the club's own words."""
    club = page.library.club
    if club is None:
        return
    given = club.statements
    wanted = {name: getattr(given, name) for name in ("affiliation", "non_endorsement", "label", "licence")}
    if given.equal_opportunity:
        wanted["equal_opportunity"] = given.equal_opportunity.text
    if given.accommodation and page.kit is not None and page.kit.event and page.kind not in NO_EVENT:
        wanted["accommodation"] = given.accommodation
    words = page.library.words
    form = words.forms.get(page.kind) if words is not None else None
    if form is not None:  # a form names those it carries
        wanted = {name: text for name, text in wanted.items() if name in form.statements}
    bare = squashed(page.text)
    for name, text in wanted.items():
        if text and squashed(text) not in bare:
            yield Trouble(f"not there: {text[:60]!r}", "the club's statement", "Make the file again.", key=name)


def _prose(root: Node) -> list[str]:
    """The running text inside: paragraphs and list items; headings, tables, keys and sources stay out."""
    said = []
    for run in blocks(root):
        up = list(run[0].parent.up())
        tags = {node.tag for node in up}
        if tags & {"table", "figcaption", "svg", "h1", "h2", "h3", "h4", "h5", "h6", "header", "footer"}:
            continue
        if any(node.get("data-slot") in _NO_PROSE for node in up):
            continue
        # Marks and list numbers are no words of the sentence.
        text = "".join(
            words.data
            for words in run
            if not any("mark" in node.classes or node.get("data-const") == "list" for node in words.parent.up())
        )
        said.append(plain(text))
    return said


def measured(page: Page) -> Measure:
    """Measure the running text of a page anew, once."""
    if page.measures:
        return page.measures[0]
    names = [
        name
        for subject in page.library.subjects.values()
        if subject.kind in ("species", "plants", "substances")
        for name in (subject.names.common, subject.names.plural, subject.names.scientific)
        if name
    ]
    page.measures.append(measure(_prose(page.root), names))
    return page.measures[0]


def reading_grade(page: Page) -> Iterator[Trouble]:
    """The reading grade, as recorded and as counted anew from the page, is within the limit of the kind."""
    most = GRADES.get(page.kind, GRADE)
    recorded = page.record.reading_grade if page.record is not None else None
    counted = measured(page).grade if page.tree is not None else None
    grade = max((value for value in (recorded, counted) if value is not None), default=None)
    if recorded is not None and counted is not None and abs(recorded - counted) > GRADES_APART:
        yield Trouble(
            f"grade {recorded:.1f} in kit.json, {counted:.1f} counted in the page",
            f"at most {GRADES_APART:g} apart",
            "Make the kit again, or look at what prose is counted.",
            key=page.kind,
            level="warning",
        )
    if grade is not None and grade > most:
        yield Trouble(
            f"grade {grade:.1f}",
            f"{most:g} or below",
            "Use shorter sentences and plainer words.",
            key=page.kind,
        )


def sentence_length(page: Page) -> Iterator[Trouble]:
    """No sentence is over 30 words, the mean is 20 at most, and a paragraph has five sentences at most."""
    found = measured(page)
    if found.longest_words > SENTENCE_WORDS:
        yield Trouble(
            f"{found.longest_words} words: {found.longest[:80]!r}",
            f"at most {SENTENCE_WORDS} words",
            "Split the sentence.",
            key="sentence",
        )
    if found.mean > MEAN_WORDS:
        yield Trouble(f"{found.mean:.1f} words in the mean", f"at most {MEAN_WORDS}", "Split sentences.", key="mean")
    for text in _prose(page.root):
        count = len(split_sentences(text))
        if count > PARAGRAPH_SENTENCES:
            yield Trouble(
                f"{count} sentences: {text[:60]!r}",
                f"at most {PARAGRAPH_SENTENCES}",
                "Split the paragraph.",
                key="paragraph",
            )


def word_count(page: Page) -> Iterator[Trouble]:
    """A handout has at most 600 words a side."""
    words = len(words_in(" ".join(_prose(page.root))))
    if words > HANDOUT_WORDS:
        yield Trouble(f"{words} words", f"at most {HANDOUT_WORDS}", "Leave something out.", key="words")


def minute_plan(page: Page) -> Iterator[Trouble]:
    """The minutes of a talk's parts sum to the slot of the event."""
    slot = page.kit.event.get("minutes") if page.kit is not None else None
    if not isinstance(slot, int | str) or not str(slot).isdecimal():
        return
    for table in page.root.find("table"):
        if "role-minutes" not in table.classes:
            continue
        last = [row.inner()[-1].text() for row in table.find("tr") if row.inner() and row.inner()[-1].tag == "td"]
        numbers = [int(text) for text in last if text.isdecimal()]
        if numbers and sum(numbers) != int(slot):
            yield Trouble(
                f"{sum(numbers)} minutes", f"{slot} minutes", "Make the kit again.", key="minutes", line=table.line
            )


def forbidden_claim(page: Page) -> Iterator[Trouble]:
    """No text claims what no one has shown, gives a dose, or treats people and animals."""
    for breach in breaches(_paragraphs(page), load_forbidden(page.library.root)):
        yield Trouble(
            f"{breach.words!r} in {breach.sentence[:120]!r}",
            breach.rule.reason,
            breach.rule.remedy,
            key=breach.rule.id,
        )


def _paragraphs(page: Page) -> list[str]:
    """The visible text for reading sentence by sentence; source lists are others' words."""
    if page.tree is not None:
        return [
            plain("".join(words.data for words in run))
            for run in blocks(page.tree)
            if not any(node.get("data-slot") == "sources" for node in run[0].parent.up())
        ]
    if page.pdf is not None:
        return [plain("\n".join(page.running_text))]
    return page.blocks
