"""Hand-made documents with invented figures, one for each kind, that use every block; for tests of renderers."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from handouts.model.document import (
    Blank,
    Block,
    Claim,
    Const,
    Document,
    Event,
    Figure,
    Heading,
    Items,
    Para,
    Picture,
    Run,
    Runs,
    Slot,
    Styled,
    Table,
    Text,
)
from tests.render.parts import (
    ASK,
    CLAIMS,
    EDITION,
    KEY,
    LAST_FREEZE,
    LOOKALIKE,
    MAIN,
    MARKS,
    MOLD,
    MONTHS,
    NB,
    NOT_KNOWN,
    PAD,
    PLAN,
    SAP,
    SOURCES,
    SOURCES_LIST,
    STATEMENTS,
    STEPS,
    STRIP,
    SUBTITLE,
    TO_COLD,
    TO_WARMTH,
    chart,
    fig,
    t,
)

HANDOUT = Document(
    kind="handout",
    topic="overwintering-chrysalides",
    title="Keep chrysalides safe through winter",
    subtitle=SUBTITLE,
    blocks=(
        Slot("main-message", MAIN),
        Slot("do-this", (STEPS,), t("Do this")),
        PAD,
        STRIP,
        Slot("plan", (PLAN,), t("The plan for Sampleton")),
        Slot("cautions", (SAP, MOLD, LOOKALIKE, ASK), t("Take care")),
        NOT_KNOWN,
        KEY,
        SOURCES,
        *STATEMENTS,
    ),
    claims=CLAIMS,
    cautions=("sap-burn", "moldy-store", "look-alikes"),
    place="Sampleton",
    edition="7f3a91c",
    edition_line=EDITION,
    revised="2026-11-25",
)


def _part(minutes: str, title: str, **places: tuple[Runs, ...]) -> Slot:
    """One part of the talk: its title ends in its minutes, each list has its heading."""
    blocks: list[Block] = []
    for role, lines in places.items():
        blocks += [Heading(3, t(role.capitalize())), Items(lines, role=role)]
    return Slot("part", tuple(blocks), (Text(title), Text(" \u2013 "), Const("event", minutes), Text(f"{NB}min")))


TALK = Document(
    kind="talk-notes",
    topic="overwintering-chrysalides",
    title="Talk: chrysalides through winter",
    subtitle=(
        Text("For the speaker. "),
        Const("event", "45"),
        Text(" minutes, "),
        Const("event", "12"),
        Text(" people"),
    ),
    blocks=(
        Slot(
            "objectives",
            (
                Items(
                    (
                        t("Tell a sleeping chrysalis from a summer one."),
                        t("Choose a cold, safe place at home."),
                        t("Name the day to bring it out."),
                    )
                ),
            ),
            t("Afterwards they can"),
        ),
        Slot(
            "materials",
            (
                Table(
                    "What to bring",
                    ("Item", "How many"),
                    (
                        (t("mesh cage"), (Const("event", "4"),)),
                        (t("stem with an empty case"), (Const("event", "12"),)),
                        (t("handouts"), (Const("event", "12"),)),
                    ),
                ),
            ),
            t("Bring"),
        ),
        _part(
            "5",
            "Why it sleeps",
            say=(
                t("Ask who has kept one through winter."),
                (Text("In summer it opens after "), fig("sample.summer-rest"), Text(".")),
                t("Late ones wait. Short days in late summer tell them."),
            ),
            show=(t("The two cases, side by side"),),
        ),
        _part(
            "15",
            "Where to keep it",
            say=(
                (Text("Cold, but steady: "), fig("sample.cold"), Text(".")),
                t("A porch or shed on the north side is best."),
                (Text("Here, move them "), TO_COLD, Text(".")),
            ),
            show=(t("A mesh cage, a tray, a spray bottle"), t("The year strip on the handout")),
            do=(t("In pairs: set up a cage. Find what is wrong with the bad one."),),
        ),
        SAP,
        _part(
            "20",
            "Bringing it out",
            say=(
                (Text("Bring them out "), TO_WARMTH, Text(".")),
                (Text("Opening takes "), fig("sample.warm-up"), Text(".")),
                (Text("How many wait a second winter is "), fig("sample.second-winter"), Text(".")),
            ),
            show=(t("Photo: a clear case on the last day"),),
            do=(t("Each person writes a date on the tag."),),
        ),
        Slot(
            "questions",
            (
                Heading(3, t("Is mine dead?")),
                Para(t("Bend it gently. A living one is heavy and bends a little; a dry one is light.")),
                Heading(3, t("May I use the refrigerator?")),
                Para(t("Yes, with damp paper in a closed box. Look in often.")),
            ),
            t("Expected questions"),
        ),
        Slot(
            "evaluation",
            (
                Items(
                    (t("Before and now: I can choose a winter place."), t("I will keep one this winter.")), ordered=True
                ),
            ),
            t("Ask at the end"),
        ),
        KEY,
        SOURCES,
        *STATEMENTS,
    ),
    claims=CLAIMS,
    cautions=("sap-burn",),
    place="Sampleton",
    edition="8c20d11",
    edition_line=EDITION,
    revised="2026-11-25",
)


def _year(name: str, **months: str | Run) -> tuple[Runs, ...]:
    cells: list[Runs] = [t(name)]
    for month in MONTHS:
        value = months.get(month.lower(), "")
        cells.append(t(value) if isinstance(value, str) and value else (value,) if not isinstance(value, str) else ())
    return tuple(cells)


YEAR = Table(
    "The year month by month",
    ("", *MONTHS),
    (
        _year(
            "Frost",
            jan="frost",
            feb="frost",
            mar="frost",
            apr="frost",
            may=LAST_FREEZE,
            oct="first",
            nov="frost",
            dec="frost",
        ),
        _year("Flying", may="fly", jun="fly", jul="fly", aug="fly"),
        _year("Eggs, young", may="feed", jun="feed", jul="feed", aug="feed", sep="feed"),
        _year(
            "Asleep",
            jan="sleep",
            feb="sleep",
            mar="sleep",
            apr="sleep",
            sep="sleep",
            oct="sleep",
            nov="sleep",
            dec="sleep",
        ),
        _year(
            "Gardener",
            mar="sow",
            apr="warm",
            may="plant",
            jun="look",
            jul="look",
            aug="look",
            sep="shade",
            oct="cold",
            nov="check",
            dec="check",
            jan="check",
            feb="check",
        ),
    ),
    "calendar",
)

POSTER = Document(
    kind="poster",
    topic="black-swallowtail",
    title="Black swallowtail",
    subtitle=(Text("Four seasons of work for zone "), Const("name", "6a"), Text(", an invented place")),
    blocks=(
        Picture(
            "sample-wall", chart(960, 150), "The year at a glance", "Two flights and the cold months.", (), 380, "chart"
        ),
        YEAR,
        SAP,
        MOLD,
        KEY,
        SOURCES,
        *STATEMENTS,
    ),
    claims=CLAIMS,
    cautions=("sap-burn", "moldy-store"),
    place="Sampleton",
    edition="99ab310",
    edition_line=EDITION,
    paper="tabloid",
    revised="2026-11-25",
)


def _claim_row(at: int, claim: Claim) -> tuple[Runs, ...]:
    words = {"derived": "worked out from the last freeze", "proxy": "from a relative: spicebush swallowtail"}
    value = "" if claim.value is None else str(claim.value)
    return (
        (Const("list", str(at)),),
        (Figure(claim.id, claim.shown),),
        t(claim.label),
        (Const("form", value),) if value else t("none"),
        t(words.get(claim.basis, MARKS[claim.basis][1])),
        t(claim.detail or "no source"),
        (Const("page", claim.reviewed),),
        (),
    )


CLAIMS_SHEET = Document(
    kind="claims",
    topic="overwintering-chrysalides",
    title="Claims to review",
    subtitle=t("Every figure of the handout for Sampleton (invented), in reading order"),
    blocks=(
        Para(t("Compare each line with its source. Tick what you found right; write beside what is not.")),
        Table(
            "Claims in reading order",
            ("No.", "Shown", "What it says", "Value", "Basis", "Source and place in it", "Reviewed", "OK"),
            tuple(_claim_row(at, claim) for at, claim in enumerate(CLAIMS + CLAIMS, 1)),
            "claims",
        ),
        Slot("signature", (Blank("Remarks", 2), Blank("Reviewed by"), Blank("Date")), t("Signature")),
    ),
    claims=CLAIMS,
    cautions=(),
    place="Sampleton",
    edition="7f3a91c",
    edition_line=EDITION,
    revised="2026-11-25",
)

FAQ = Document(
    kind="faq-sheet",
    topic="winter",
    title="Questions people ask about winter",
    subtitle=SUBTITLE,
    blocks=(
        Slot(
            "question",
            (
                Para((Styled("strong", t("In short: ")), Text("Probably not. Many wait until spring."))),
                Para(
                    (
                        Text("A summer chrysalis opens after "),
                        fig("sample.summer-rest"),
                        Text(". One made in late summer sleeps. Bend it gently: a living one is heavy."),
                    )
                ),
                Items((t("Dark and clear: it opens soon."), t("Light and dry: it has died."))),
            ),
            t("My chrysalis has not opened. Is it dead?"),
        ),
        Slot(
            "question",
            (
                Para((Text("Yes, at "), fig("sample.cold"), Text(" with damp paper."))),
                MOLD,
            ),
            t("May I use the refrigerator?"),
        ),
        SOURCES,
        KEY,
    ),
    claims=CLAIMS,
    cautions=("moldy-store",),
    place="Sampleton",
    edition="1d2e3f4",
    edition_line=EDITION,
    revised="2026-11-25",
)

BENCH = Document(
    kind="bench-card",
    topic="egg-to-butterfly",
    title="On the shelf: egg to butterfly",
    subtitle=SUBTITLE,
    blocks=(Slot("do-this", (STEPS,), t("In this order")), LOOKALIKE, KEY),
    claims=CLAIMS,
    cautions=("look-alikes",),
    place="Sampleton",
    edition="5a6b7c8",
    edition_line=EDITION,
    revised="2026-11-25",
)

LOG = Document(
    kind="rearing-log",
    topic="egg-to-butterfly",
    title="Rearing log",
    subtitle=t("One line a day"),
    blocks=(
        Blank("Keeper"),
        Blank("Species and where found", 2),
        Table(
            "Day by day",
            ("Day", "Stage", "Food", "What I saw"),
            tuple(((Const("form", str(at)),), (), (), ()) for at in range(1, 15)),
            "form",
        ),
    ),
    claims=(),
    cautions=(),
    place="Sampleton",
    edition="0f0f0f0",
    edition_line=EDITION,
    revised="2026-11-25",
)

CALENDAR = Document(
    kind="calendar",
    topic="black-swallowtail",
    title="Black swallowtail year",
    subtitle=SUBTITLE,
    blocks=(),
    claims=CLAIMS,
    cautions=("moldy-store",),
    events=(
        Event(
            "to-cold-by.2027",
            "Move chrysalides to the cold",
            date(2027, 10, 4),
            date(2027, 11, 2),
            "Nights are cold, days are short; keep them shaded. Ü, comma, semicolon; all are kept as they stand.",
            ("season.to-cold-by", "sample.cold"),
        ),
        Event(
            "to-warmth.2027",
            "Bring chrysalides to warmth",
            date(2027, 4, 12),
            date(2027, 5, 3),
            "Host plants show new leaves.",
            ("season.to-warmth", "sample.warm-up"),
        ),
        Event(
            "last-freeze.2027",
            "Last freeze, middle date",
            date(2027, 5, 6),
            date(2027, 5, 6),
            "",
            ("place.last-freeze",),
        ),
    ),
    place="Sampleton",
    edition="abc1234",
    edition_line=EDITION,
    revised="2026-11-25",
)

ALL = (HANDOUT, TALK, POSTER, CLAIMS_SHEET, FAQ, BENCH, LOG)


def crowded(picture: Picture | None, steps: int = 1) -> Document:
    """A handout with more than a sheet holds at ease: further steps, a fourth caution, twice the sources."""
    more = Items(
        STEPS.items + (t("Write the date on a tag, with the host plant, and tie the tag to the stem."),) * steps,
        ordered=True,
    )
    sources = Slot(
        "sources", (Items(SOURCES_LIST.items * 2, ordered=True, role="sources"),), t("Where the figures come from")
    )
    cautions = Slot("cautions", (SAP, MOLD, LOOKALIKE, replace(SAP, caution="bleach", name="bleach")), t("Take care"))
    blocks: tuple[Block, ...] = (
        Slot("main-message", MAIN, t("The main thing")),
        Slot("do-this", (more,), t("Do this")),
    )
    blocks += (picture,) if picture else ()
    blocks += (Slot("plan", (PLAN,), t("The plan for Sampleton")), cautions, NOT_KNOWN, KEY, sources, *STATEMENTS)
    return replace(HANDOUT, blocks=blocks)
