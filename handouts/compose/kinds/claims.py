"""The claims sheet: every figure of the other documents, in reading order, to be checked and signed."""

from __future__ import annotations

from collections.abc import Sequence

from handouts.compose.cite import citation
from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish
from handouts.compose.kinds import shared
from handouts.model.document import (
    Blank,
    Block,
    Claim,
    Const,
    Document,
    Figure,
    Items,
    Para,
    Run,
    Runs,
    Slot,
    Table,
    Text,
)


def build(composer: Composer, documents: Sequence[Document], topic: str) -> Document:
    """Compose the sheet for some finished documents; each claim stands once, under the first document that shows it."""
    library = composer.library
    blocks: list[Block] = []
    seen: set[tuple[str, str]] = set()
    rows_of = _Rows(composer)
    head = tuple(library.say(name) for name in ("number", "shown", "says-what", "basis", "source", "review", "tick"))
    for document in documents:
        rows: list[tuple[Runs, ...]] = []
        for claim in document.claims:
            if (claim.id, claim.shown) not in seen:
                seen.add((claim.id, claim.shown))
                rows.append(rows_of.row(claim))
        if rows:
            caption = f"{document.title}, {library.say('edition').lower()} {document.edition}"
            blocks.append(Slot("claims", (Table(caption, head, tuple(rows), "claims"),), (Text(caption),)))
    if rows_of.sources:
        blocks.append(Slot("sources", (rows_of.source_list(),), (Text(library.say("sources")),)))
    if library.replaced:
        lines = "; ".join(f"{name}: {why}" for name, why in sorted(library.replaced.items()))
        blocks.append(Slot("replaced", (Blank(library.say("replaced")),), composer.const(lines, "note")))
    cautions = caution_slot(composer, tuple(blocks), [], length="short")
    fields = tuple(Blank(library.say(f"signed-{name}")) for name in ("name", "role", "date", "hand"))
    sign = Slot("signature", (Para((Text(library.say("signed")),)), *fields), (Text(library.say("signed-title")),))
    return finish(
        composer,
        kind="claims",
        topic=topic,
        title=library.say("claims-title"),
        subtitle=shared.where(composer),
        body=(*blocks, sign),
        cautions=cautions,
        statements=False,
        with_tail=False,
    )


class _Rows:
    """The rows of the sheet, numbered; sources are numbered once, and what rests on the same says so."""

    def __init__(self, composer: Composer) -> None:
        self.composer = composer
        self.sources: dict[str, int] = {}
        self.known: dict[tuple[object, ...], int] = {}
        self.number = 0

    def source_list(self) -> Items:
        """The numbered list of all sources of the rows."""
        library = self.composer.library
        lines = [self.composer.const(citation(library.sources[name]), "cite") for name in self.sources]
        return Items(tuple(lines), ordered=True, role="sources")

    def row(self, claim: Claim) -> tuple[Runs, ...]:
        """Return the cells of one claim."""
        composer, library = self.composer, self.composer.library
        self.number += 1
        composer.claims.setdefault(claim.id, claim)
        basis = library.all_words().marks.get(claim.basis, {}).get("name", claim.basis.replace("-", " "))
        how = f"{basis} ({claim.proxy})" if claim.proxy else basis
        return (
            self._list(str(self.number)),
            (Figure(claim.id, claim.shown),),
            (*composer.const(claim.label or claim.id, "cite"), Text(" "), *composer.const(f"[{claim.id}]", "cite")),
            composer.const(how, "cite"),
            self._rests_on(claim),
            composer.const(claim.reviewed or "", "note"),
            (),
        )

    def _rests_on(self, claim: Claim) -> Runs:
        """The sources by number with the place in each, what the claim was worked out from, and how."""
        composer, library = self.composer, self.composer.library
        same = (claim.basis, claim.proxy, claim.references, claim.parents, claim.detail)
        first = self.known.setdefault(same, self.number)
        if first != self.number and (claim.references or claim.parents or claim.detail):
            return (Text(f"{library.say('as-number')} "), *self._list(str(first)), Text("."))
        runs: list[Run] = []
        places: dict[tuple[str, str], None] = {}
        for reference in claim.references:
            if reference in library.references:
                where = library.references[reference].locator or library.say("no-locator")
                places[(reference.partition("#")[0], where)] = None
        for source, where in places:
            number = self.sources.setdefault(source, len(self.sources) + 1)
            runs.extend((Text("["), *self._list(str(number)), Text("] ")))
            runs.extend((*composer.const(f"{where}.", "cite"), Text(" ")))
        if claim.parents:
            runs.append(Text(f"{library.say('worked-out-from')} "))
            runs.extend((*composer.const(", ".join(claim.parents) + ".", "cite"), Text(" ")))
        if claim.detail:
            runs.extend(composer.const(claim.detail, "cite"))
        return tuple(runs)

    def _list(self, number: str) -> Runs:
        self.composer.constants[number] = None
        return (Const("list", number),)
