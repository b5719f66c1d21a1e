"""The claims sheet: every figure of the other documents, in reading order, to be checked and signed."""

from __future__ import annotations

from collections.abc import Sequence

from handouts.compose.cite import citation
from handouts.compose.composer import Composer
from handouts.compose.finish import caution_slot, finish
from handouts.compose.kinds import shared
from handouts.model.document import Blank, Block, Claim, Const, Document, Figure, Run, Runs, Slot, Table, Text


def build(composer: Composer, documents: Sequence[Document], topic: str) -> Document:
    """Compose the sheet for some finished documents; each claim stands once, under the first document that shows it."""
    library = composer.library
    blocks: list[Block] = []
    seen: set[tuple[str, str]] = set()
    number = 0
    for document in documents:
        rows: list[tuple[Runs, ...]] = []
        for claim in document.claims:
            if (claim.id, claim.shown) in seen:
                continue
            seen.add((claim.id, claim.shown))
            number += 1
            rows.append(_row(composer, claim, number))
        if rows:
            caption = f"{document.title} ({library.say('edition').lower()} {document.edition})"
            head = (
                "No.",
                library.say("shown"),
                library.say("says-what"),
                library.say("basis"),
                library.say("source"),
                library.say("review"),
                library.say("tick"),
            )
            blocks.append(Slot("claims", (Table(caption, head, tuple(rows), "claims"),), (Text(document.title),)))
    if library.replaced:
        lines = "; ".join(f"{name}: {why}" for name, why in sorted(library.replaced.items()))
        blocks.append(Slot("replaced", (Blank(library.say("replaced")),), composer.const(lines, "note")))
    blocks.append(Slot("signature", (Blank(library.say("signed"), 2),), (Text(library.say("signed-title")),)))
    cautions = caution_slot(composer, tuple(blocks), [], length="short")
    return finish(
        composer,
        kind="claims",
        topic=topic,
        title=library.say("claims-title"),
        subtitle=shared.where(composer),
        body=tuple(blocks),
        cautions=cautions,
        statements=False,
        with_tail=False,
    )


def _row(composer: Composer, claim: Claim, number: int) -> tuple[Runs, ...]:
    library = composer.library
    composer.constants[str(number)] = None
    composer.claims.setdefault(claim.id, claim)
    basis = library.all_words().marks.get(claim.basis, {}).get("name", claim.basis.replace("-", " "))
    how = f"{basis} ({claim.proxy})" if claim.proxy else basis
    sources: list[Run] = []
    for reference in claim.references:
        if reference in library.references:
            stated = library.references[reference]
            text = f"{citation(library.source_of(reference))} At: {stated.locator or library.say('no-locator')}."
            sources.extend((*composer.const(text, "cite"), Text(" ")))
    if claim.parents:
        sources.append(Text("Worked out from "))
        sources.extend(composer.const(", ".join(claim.parents) + ".", "cite"))
    if claim.detail:
        sources.extend((Text(" "), *composer.const(claim.detail, "cite")))
    return (
        (Const("list", str(number)),),
        (Figure(claim.id, claim.shown),),
        (*composer.const(claim.label or claim.id, "cite"), Text(" "), *composer.const(f"[{claim.id}]", "cite")),
        composer.const(how, "cite"),
        tuple(sources),
        composer.const(claim.reviewed or "", "note"),
        (),
    )
