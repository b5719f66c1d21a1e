"""One module a kind of document: a composer and a plan in, a Document out."""

from __future__ import annotations

from collections.abc import Callable

from handouts.compose.composer import Composer
from handouts.compose.kinds import (
    bench,
    calendar,
    childrens,
    claims,
    faq,
    form_logs,
    form_people,
    form_sowing,
    form_tags,
    handout,
    large_print,
    place_sheet,
    poster,
    talk,
    video,
)
from handouts.model.document import Document
from handouts.model.forms import FORMS
from handouts.model.records import Plan

Build = Callable[[Composer, Plan], Document]

# kind id -> builder; the claims sheet is made from other documents, so it stands apart
KINDS: dict[str, Build] = {
    "handout": handout.build,
    "handout-large-print": large_print.build,
    "talk-notes": talk.build,
    "faq-sheet": faq.build,
    "poster": poster.build,
    "calendar": calendar.build,
    "place-sheet": place_sheet.build,
    "bench-card": bench.build,
    "childrens-sheet": childrens.build,
    "video-notes": video.build,
    "date-tags": form_tags.build,
    "rearing-log": form_logs.build_rearing,
    "winter-log": form_logs.build_winter,
    "sowing-plan": form_sowing.build,
    "sign-in": form_people.build_sign_in,
    "evaluation": form_people.build_evaluation,
}
claims_sheet = claims.build
FORMATS: dict[str, tuple[str, ...]] = {
    "handout": (".pdf", ".html"),
    "handout-large-print": (".pdf", ".html"),
    "talk-notes": (".pdf", ".html", ".txt"),
    "faq-sheet": (".pdf", ".html", ".txt"),
    "poster": (".pdf", ".html"),
    "place-sheet": (".pdf", ".html"),
    "bench-card": (".pdf", ".html"),
    "childrens-sheet": (".pdf", ".html"),
    "video-notes": (".pdf", ".html", ".txt"),
    "claims": (".pdf", ".html"),
    "calendar": (".ics",),
    **dict.fromkeys(FORMS, (".pdf", ".html")),
}
