"""The day a chrysalis formed and the asker's place in, what may be expected of it out, in words with their claims."""

from __future__ import annotations

from datetime import date
from typing import Any

from handouts.answer.base import Base
from handouts.answer.reply import Length, Spoken
from handouts.answer.understand import NEGATED, Understood
from handouts.season.profile import Profile

# what shows that a day is the day a chrysalis formed
FORMED = ("pupated", "pupate", "chrysalis")
WORDS_MOST = {"brief": 60, "spoken": 150, "standard": 1_000}
WITH_CAUTION = 90


def formed_on(understood: Understood, species: str, base: Base, year: int) -> date | None:
    """Return the day a chrysalis formed, where the text gives one: the first of its days; None for none."""
    slots = understood.slots
    names = {hit.concept.removeprefix(NEGATED) for hit in understood.hits}
    if not slots.dates or names.isdisjoint(FORMED) or species not in base.library.subjects:
        return None
    month, day = slots.dates[0]
    try:
        return date(slots.year or year, month, day)
    except ValueError:
        return None


def with_outlook(
    said: Spoken,
    base: Base,
    profile: Profile,
    formed: date,
    species: str,
    system: Any,
    length: Length,
    day: date | None,
) -> Spoken:
    """Return an answer that begins with the outlook of a chrysalis formed on a day.

    A short answer has no room for both: then the outlook stands alone, unless the answer carries a caution.
    """
    from functools import partial

    from handouts import build
    from handouts.shelf.desk import outlook_answer
    from handouts.shelf.outlook import Ground
    from handouts.shelf.words import read_words

    ground = Ground(base.library, read_words(base.library), profile, partial(build.season_of, base.library))
    today = day if day is not None and day >= formed else None
    made = outlook_answer(ground, species, formed, "", system, today).data
    lead = f"{base.say('outlook')} {made['says']}"
    asks = [] if profile.latitude is not None or base.say("local-dates") in said.text else [base.say("local-dates")]
    break_ = "\n\n" if length == "standard" else " "
    tail = break_.join(asks) if length == "standard" else ""
    text = break_.join(part for part in (lead, said.text, tail) if part)
    if not made["says"]:
        return said
    room = WITH_CAUTION if length == "brief" and said.cautions else WORDS_MOST[length]
    if len(text.split()) > room:
        if said.cautions or len(lead.split()) > room:
            return said
        said, text = Spoken(lead, refer=said.refer), lead
    claims = [claim for claim in made["claims"] if _plain(claim["shown"]) in lead]
    facts = [claim["id"].partition("|")[0] for claim in claims]
    return Spoken(
        text,
        tuple(dict.fromkeys([*said.facts, *facts])),
        (*said.claims, *({**claim, "shown": _plain(claim["shown"])} for claim in claims)),
        said.cautions,
        said.refer,
    )


def _plain(text: str) -> str:
    return text.replace("\u00a0", " ")
