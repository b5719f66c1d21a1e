"""A recall in, the correction out: a notice to print or post, a comment in plain words, a page for the web."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish, last_review, statement_lines
from handouts.compose.phrase import NBSP, day_words
from handouts.compose.setting import Setting
from handouts.editions.compare import plain
from handouts.editions.recall import BASIS, CAUTION, VALUE, WINDOW, WITHDRAWN, Affected, Change, Recall, places_of
from handouts.editions.record import Edition, Outside
from handouts.editions.words import EditionWords
from handouts.model.document import Block, Const, Document, Items, Link, Para, Run, Runs, Slot, Styled, Table, Text

_WHY = {
    VALUE: "why-value",
    BASIS: "why-basis",
    WITHDRAWN: "why-withdrawn",
    CAUTION: "why-caution",
    WINDOW: "why-window",
}


# For the reviewer alone.
_NOT_PUBLIC = ("claims",)


def loud(found: Recall) -> tuple[Affected, ...]:
    """Return what a reader would see: without claims sheets, and without changes that leave the words as they are."""
    public = [one for one in found.affected if one.item.kind not in _NOT_PUBLIC]
    kept = (replace(one, changes=tuple(c for c in one.changes if not c.same_words)) for one in public)
    return tuple(one for one in kept if one.changes)


def notice(setting: Setting, words: EditionWords, affected: Sequence[Affected]) -> Document:
    """Compose the notice to print or post: what has changed, where it stands, what to do."""
    page = _Page(setting, words)
    body: list[Block] = [
        Slot("main-message", (Para(page.say("correction-lead"), "key"),), (Text(page.library.say("main-message")),)),
        page.changed(affected),
        page.where(affected),
        page.steps(),
    ]
    return page.finished("correction", words.label("correction-title"), body, affected)


def web_page(setting: Setting, words: EditionWords, affected: Sequence[Affected]) -> Document:
    """Compose the corrections page that the code on each sheet points to; it also stands when nothing has changed."""
    page = _Page(setting, words)
    body: list[Block] = [Para(page.say("corrections-lead"), "lead")]
    if affected:
        body.extend((page.changed(affected), page.where(affected), page.steps()))
    else:
        body.append(Para(page.say("corrections-none")))
    return page.finished("corrections", words.label("corrections-title"), body, affected)


def comments(setting: Setting, words: EditionWords, affected: Sequence[Affected]) -> list[Document]:
    """Compose the comments to post, each whole by itself: one for our own sheets, one for each item from outside."""
    made: list[Document] = []
    own = [one for one in affected if isinstance(one.item, Edition) and not all(change.days for change in one.changes)]
    if own:
        made.append(_comment(setting, words, words.label("for-sheets"), own))
    for one in affected:
        if isinstance(one.item, Outside):
            link = f" ({one.item.link})" if one.item.link else ""
            title = f"{words.label('for-item')} {words.kind(one.item.kind)} \u201c{one.item.title}\u201d{link}"
            made.append(_comment(setting, words, title, [one]))
    return made


def _comment(setting: Setting, words: EditionWords, title: str, affected: Sequence[Affected]) -> Document:
    page = _Page(setting, words)
    # Moved days behind the same words matter to those who keep the calendar; the notice tells them.
    body = [page.spoken(change) for change in _each(affected) if not change.days]
    return page.finished("correction-comment", title, body, affected, brief=True)


def _each(affected: Sequence[Affected]) -> list[Change]:
    """Return each change once: new cautions first, moved dates last."""
    found: dict[tuple[object, ...], Change] = {}
    for one in affected:
        for change in one.changes:
            base = change.id.partition("|")[0].partition("~")[0]
            days = str(change.old_value) if change.days else ""
            found.setdefault((base, plain(change.old or ""), change.new, change.caution, change.why, days), change)
    return sorted(found.values(), key=lambda change: (change.caution is None, WINDOW in change.why))


class _Page:
    """One page being put together."""

    def __init__(self, setting: Setting, words: EditionWords) -> None:
        self.composer = Composer(setting)
        self.library = setting.library
        self.words = words

    def say(self, key: str) -> Runs:
        return self.composer.inline(self.words.sentence(key), self.words.origin)

    # -- changes ---------------------------------------------------------------------------------------------------

    def changed(self, affected: Sequence[Affected]) -> Slot:
        """What it is about, what we said, what it is now, and why."""
        head = tuple(self.words.label(name) for name in ("what", "said", "now", "why"))
        rows = []
        for change in _each(affected):
            label = self.composer.const(change.label[:1].upper() + change.label[1:], "cite")
            rows.append((label, self._old(change), self._now(change), self._why(change)))
        title = self.words.label("changed")
        return Slot("changed", (Table(title, head, tuple(rows), "plan"),), (Text(title),))

    def _why(self, change: Change) -> Runs:
        text = "; ".join(self.words.label(_WHY[why]) for why in change.why)
        return (Text(text[:1].upper() + text[1:]),)

    def _old(self, change: Change) -> Runs:
        if change.caution is not None:
            return (Text(self.words.label("no-caution")),)
        text = change.old or ""
        if change.days and isinstance(change.old_value, dict):
            text += _days(change.old_value)
        if change.old_basis is not None and BASIS in change.why:
            text += f" ({self._basis(change.old_basis)})"
        return self.composer.const(text, "cite")

    def _now(self, change: Change) -> Runs:
        if change.caution is not None:
            self.composer.subjects[change.id] = None
            name = self.library.caution(change.caution).name
            return (*self.composer.const(name, "cite"), Text(f": {self.words.label('see-caution')}"))
        if change.claim is None:
            return (Text(self.words.label("taken-back")),)
        claim = change.claim
        base = claim.id.partition("|")[0]
        owner = base.split(".")[1] if base.startswith("season.") else self.library.owner.get(base, "")
        if owner in self.library.subjects:
            self.composer.subjects[owner] = None
        if change.days and isinstance(claim.value, dict):
            claim = replace(claim, shown=claim.shown + _days(claim.value))
        machine, tag = _machine(claim.value)
        figure = self.composer.figure(claim, machine, tag)
        if claim.proxy and figure.marks and "proxy" not in figure.marks:
            figure = replace(figure, marks=(*figure.marks, "proxy"))
        known = f" ({self._basis(claim.basis)})" if BASIS in change.why and claim.basis != change.old_basis else ""
        return (figure, Text(known)) if known else (figure,)

    def _basis(self, basis: str) -> str:
        return self.library.all_words().marks.get(basis, {}).get("name", basis.replace("-", " "))

    def spoken(self, change: Change) -> Para:
        """A change in a sentence or two."""
        const, label = self.composer.const, self.words.label
        runs: list[Run] = [*const(change.label[:1].upper() + change.label[1:], "cite"), Text(": ")]
        if change.caution is not None:
            name = self.library.caution(change.caution).name
            runs.extend((Text(f"{label('new-caution')} ("), *const(name, "cite"), Text(").")))
            self.composer.subjects[change.id] = None
            return Para(tuple(runs))
        runs.append(Text(f"{label('said')[:1].lower()}{label('said')[1:]} \u201c"))
        runs.extend((*self._old(change), Text("\u201d. ")))
        now = self._now(change)
        if change.claim is None:
            runs.append(Text(f"{label('taken-back')[:1].upper()}{label('taken-back')[1:]}."))
        else:
            runs.extend((Text(f"{label('now')} "), *now, Text(".")))
        return Para(tuple(runs))

    # -- where it stands, what to do -------------------------------------------------------------------------------

    def where(self, affected: Sequence[Affected]) -> Slot:
        """Each edition, video, sheet and post, with what of it has changed."""
        items = tuple(self._item(one) for one in affected)
        return Slot("where", (Items(items, role="where"),), (Text(self.words.label("where")),))

    def _item(self, one: Affected) -> Runs:
        const, label, item = self.composer.const, self.words.label, one.item
        runs: list[Run] = [Styled("strong", const(item.title, "name")), Text(f" ({self.words.kind(item.kind)}")]
        if isinstance(item, Edition):
            runs.append(Text(f", {label('edition')} {item.id})"))
        else:
            runs.append(Text(")"))
        runs.extend((Text(f", {label('given-day')} "), *const(_full(item.date), "event")))
        if isinstance(item, Edition) and item.place:
            runs.extend((Text(f", {label('for')} "), *const(item.place, "name")))
        handed = places_of(item)
        if handed:
            runs.extend((Text(f", {label('handed-out')} "), *const(" and ".join(handed), "name")))
        if isinstance(item, Outside) and item.link:
            runs.extend((Text(", "), Link(f"{label('open')} {self.words.kind(item.kind)}", item.link)))
        names = dict.fromkeys(change.label for change in one.changes)
        runs.extend((Text(": "), *const("; ".join(names), "cite"), Text(".")))
        return tuple(runs)

    def steps(self) -> Slot:
        """What a reader does now, and whom to ask."""
        lines = [self.composer.inline(line, self.words.origin) for line in self.words.lists["correction-do"]]
        for number in range(1, len(lines) + 1):
            self.composer.constants[str(number)] = None
        blocks: list[Block] = [Items(tuple(lines), ordered=True, role="steps")]
        club = self.library.club
        if club is not None:
            who = "; ".join(text for text in (club.name, club.contact) if text)
            turn = self.library.say("turn-to")
            blocks.append(Para((Text(f"{turn}: "), *self.composer.const(who, "name"), Text(".")), "contacts"))
        return Slot("do-this", tuple(blocks), (Text(self.words.label("do")),))

    # -- the whole page --------------------------------------------------------------------------------------------

    def finished(
        self, kind: str, title: str, body: Sequence[Block], affected: Sequence[Affected], *, brief: bool = False
    ) -> Document:
        """The page with its cautions, key, sources and edition line; a `brief` one has the cautions alone."""
        composer = self.composer
        added = [change.caution for one in affected for change in one.changes if change.caution is not None]
        length = "short" if brief else "full"
        full = list(dict.fromkeys(added))
        # Once to learn which sources and statements the cautions bring, whose words may ask for further ones.
        caution_slot(composer, tuple(body), full, length=length)
        more = () if brief else tuple(Para(runs, "statement") for runs in statement_lines(composer))
        cautions = caution_slot(composer, (*body, *more), full, length=length, brief="titles")
        made = finish(
            composer,
            kind=kind,
            topic=kind,
            title=title,
            subtitle=(),
            body=tuple(body),
            cautions=cautions,
            with_tail=not brief,
            brief="titles",
        )
        line: list[Run] = [Text(f"{self.library.say('edition')} {made.edition}")]
        if composer.subjects:
            line.append(Text(f"; {self.library.say('reviewed')} "))
            line.append(Const("note", last_review(composer, None).isoformat()))
        return replace(made, edition_line=() if brief else tuple(line))


def _machine(value: object) -> tuple[str | None, str]:
    """Return what a figure says to machines: a day, or the two ends of a window."""
    try:
        if isinstance(value, dict):
            ends = [date.fromisoformat(str(value[key])).isoformat() for key in ("low", "high")]
            return "/".join(ends), "data"
        if isinstance(value, str):
            return date.fromisoformat(value).isoformat(), "time"
    except (KeyError, ValueError):
        pass
    return None, "span"


def _days(value: dict[str, object]) -> str:
    """Write the days behind a window's words: " (August 12, 2027, to October 30, 2027)"."""
    try:
        low, high = (date.fromisoformat(str(value[key])) for key in ("low", "high"))
    except (KeyError, ValueError):
        return ""
    return f" ({_full(low)}, to {_full(high)})"


def _full(day: date) -> str:
    return f"{day_words(day)},{NBSP}{day.year}"
