"""Hand-made claims and blocks with invented figures, the parts of the sample documents."""

from __future__ import annotations

from handouts.model.document import (
    Block,
    Claim,
    Const,
    Figure,
    Items,
    Link,
    Notice,
    Para,
    Picture,
    Runs,
    Slot,
    Styled,
    Table,
    Text,
)

NB = "\u00a0"
MARKS = {
    "published": ("p", "published"),
    "derived": ("w", "worked out"),
    "proxy": ("r", "from a relative"),
    "common-practice": ("c", "common practice"),
    "own-observation": ("o", "our own records"),
    "not-known": ("", "not known"),
}
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
INVENTED = "Invented figures: this sheet only shows how the page looks."

CLAIMS = (
    Claim(
        "sample.summer-rest",
        f"9 to 18{NB}days",
        {"low": 9, "high": 18},
        "d",
        "common-practice",
        label="how long a summer chrysalis takes",
        reviewed="2026-11-25",
        digest="a1",
    ),
    Claim(
        "sample.egg",
        f"4 to 9{NB}days",
        {"low": 4, "high": 9},
        "d",
        "published",
        ("sample-guide#egg",),
        label="how long the egg takes",
        detail="Sample Guide, first paragraph",
        reviewed="2026-11-20",
        digest="a2",
    ),
    Claim(
        "sample.cold",
        f"34 to 41{NB}°F (about{NB}1 to 5{NB}°C)",
        {"low": 34, "high": 41},
        "[degF]",
        "published",
        ("sample-paper#cold",),
        label="how cold the winter store is",
        detail="Sample Paper, table",
        reviewed="2026-11-20",
    ),
    Claim(
        "place.last-freeze",
        f"May{NB}6",
        "2027-05-06",
        None,
        "published",
        ("sample-normals#last",),
        label="the middle date of the last freeze",
        detail="Sample normals, invented station",
        reviewed="2026-11-01",
    ),
    Claim(
        "season.to-cold-by",
        f"from about October{NB}4 to November{NB}2",
        {"low": "2027-10-04", "high": "2027-11-02"},
        None,
        "derived",
        (),
        ("place.last-freeze",),
        label="move chrysalides to the cold",
        reviewed="2026-11-25",
    ),
    Claim(
        "season.to-warmth",
        f"from about April{NB}12 to May{NB}3",
        {"low": "2027-04-12", "high": "2027-05-03"},
        None,
        "derived",
        (),
        ("place.last-freeze",),
        label="bring them out",
        reviewed="2026-11-25",
    ),
    Claim(
        "sample.warm-up",
        f"18 to 36{NB}days in the spicebush swallowtail",
        {"low": 18, "high": 36},
        "d",
        "proxy",
        ("sample-paper#warm",),
        proxy="spicebush swallowtail",
        label="from warmth to opening",
        detail="Sample Paper, abstract",
        reviewed="2026-11-20",
    ),
    Claim(
        "sample.check-every",
        f"every 2{NB}weeks",
        {"exactly": 2},
        "wk",
        "common-practice",
        label="how often to look",
        reviewed="2026-11-25",
    ),
    Claim(
        "sample.survival",
        f"41 of 52{NB}chrysalides",
        {"exactly": 41},
        "1",
        "own-observation",
        label="how many opened",
        detail="our own records, two winters",
        reviewed="2026-11-25",
    ),
    Claim(
        "sample.second-winter",
        "not known",
        None,
        None,
        "not-known",
        label="how many wait a second winter",
        reviewed="2026-11-25",
    ),
    Claim(
        "sample.sow",
        f"2 to 4{NB}weeks before your last freeze",
        {"low": -4, "high": -2},
        "wk",
        "common-practice",
        label="when to sow parsley",
        reviewed="2026-11-25",
    ),
    Claim(
        "sample.plants",
        f"3{NB}plants",
        {"exactly": 3},
        "1",
        "common-practice",
        label="how many plants a caterpillar eats",
        reviewed="2026-11-25",
    ),
)


def t(text: str) -> Runs:
    """Plain words."""
    return (Text(text),)


def fig(name: str, machine: str | None = None, tag: str = "span") -> Figure:
    """The figure of a sample claim with its basis as mark."""
    claim = next(claim for claim in CLAIMS if claim.id == name)
    return Figure(name, claim.shown, (claim.basis,), machine, tag)  # type: ignore[arg-type]


LAST_FREEZE = fig("place.last-freeze", "2027-05-06", "time")
TO_COLD = fig("season.to-cold-by", "2027-10-04/2027-11-02", "data")
TO_WARMTH = fig("season.to-warmth", "2027-04-12/2027-05-03", "data")
LATIN = Styled("latin", t("Papilio polyxenes"))
SUBTITLE: Runs = (
    Text("For people who keep black swallowtails near Sampleton (zone "),
    Const("name", "6a"),
    Text(", an invented place)"),
)


def chart(width: int = 640, height: int = 132) -> str:
    """A small year strip in SVG: month lines, two bands, one date."""
    step = width / 12
    starts = [round(at * step, 1) for at in range(13)]
    lines = "".join(f'<path d="M{at} 20V{height - 14}" stroke="#999" stroke-width="0.6"/>' for at in starts)
    names = "".join(
        f'<text x="{at + 4:.1f}" y="14" font-size="12">{name}</text>' for at, name in zip(starts, MONTHS, strict=False)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" font-family="Atkinson Hyperlegible">'
        '<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
        '<path d="M0 0V6" stroke="#1b3a6b" stroke-width="2"/></pattern></defs>'
        f"{lines}{names}"
        f'<rect x="{step * 4.4:.1f}" y="32" width="{step * 1.2:.1f}" height="20" fill="#1b3a6b"/>'
        f'<text x="{step * 4.4:.1f}" y="66" font-size="12">first flight</text>'
        f'<rect x="{step * 6.6:.1f}" y="32" width="{step * 1.9:.1f}" height="20" fill="url(#hatch)" stroke="#1b3a6b"/>'
        f'<text x="{step * 6.6:.1f}" y="66" font-size="12">second flight</text>'
        f'<rect x="{step * 9.1:.1f}" y="78" width="{step * 1.0:.1f}" height="20" fill="none" stroke="#000"/>'
        f'<text x="{step * 9.1:.1f}" y="112" font-size="12">to the cold '
        '<tspan data-fact="season.to-cold-by">'
        f"from about October{NB}4 to November{NB}2</tspan></text></svg>"
    )


def drawing() -> str:
    """A plain chrysalis on a stem, enough to hold its place on the page."""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 150 190" fill="none" stroke="#000" stroke-width="1.2">'
        '<path d="M22 4V186M30 4V186"/><path d="M30 150C44 140 60 120 66 96C72 72 92 52 112 34L104 22L92 30'
        'C70 34 50 60 44 92C40 116 34 138 30 150Z" fill="#fff"/>'
        '<path d="M30 84C50 96 62 98 78 92" stroke-width="0.6"/>'
        '<g stroke="none" fill="#000" font-size="11"><text x="88" y="96">silk belt</text>'
        '<text x="48" y="158">silk pad</text><text x="96" y="16">two horns</text></g></svg>'
    )


STRIP = Picture(
    "sample-year",
    chart(),
    "The year at a glance",
    "Two flights, one in May and one from July to August; chrysalides go to the cold in October.",
    (Text("Read from left to right: after the second flight, new chrysalides sleep until spring."),),
    170,
    "chart",
)
PAD = Picture(
    "sample-pad",
    drawing(),
    "Chrysalis on a stem",
    "A chrysalis held by a silk pad at the tail and a silk belt around the middle, leaning away from the stem.",
    t("The belt holds it leaning out; leave it in place."),
    54,
)

SAP = Notice(
    "sap-burn",
    "sap that burns skin in sunlight",
    t(
        "Sap plus sunlight can blister skin. Wear gloves and long sleeves, wash it off at once, and keep children "
        "away from the plant."
    ),
    (t("Poison help line, day or night"),),
)
MOLD = Notice(
    "moldy-store",
    "mold in a closed box",
    t("A moldy store can make people and insects ill. Open it outdoors, and throw moldy paper away."),
    (t("Your county extension office"),),
)
LOOKALIKE = Notice(
    "look-alikes",
    "deadly look-alikes",
    t("Wild carrot has deadly relatives. Never pick a plant you cannot name for certain."),
    (t("Poison help line, day or night"), t("Your county extension office")),
)

SOURCES_LIST = Items(
    (
        (
            Text("Sample, A. (invented). "),
            Styled("em", t("A sample guide to swallowtails.")),
            Text(" Sampleton Press, "),
            Const("cite", "2019"),
            Text("."),
        ),
        (
            Text("Example, B. (invented). Rest and cold in "),
            LATIN,
            Text(". "),
            Styled("em", t("Journal of Samples")),
            Text(" "),
            Const("cite", "12"),
            Text(", "),
            Link("doi.example/sample", "https://example.org/sample"),
        ),
        (Text("Sample normals, "), Const("cite", "1991–2020"), Text(", invented station.")),
    ),
    ordered=True,
    role="sources",
)
SOURCES = Slot("sources", (SOURCES_LIST,), t("Sources"))

KEY = Slot(
    "key",
    (Items(tuple(t(f"{letter} {words}: said in one line") for letter, words in MARKS.values() if letter), role="key"),),
    t("How each figure is known"),
)
STATEMENTS = (
    Para(
        t(
            "Sampleton Butterfly Club (invented) gives this sheet away as information. It endorses no product and "
            "names none. Follow the label and your local rules; they come before anything written here."
        ),
        "statement",
    ),
    Para(t("Sampleton Extension (invented) serves all people alike. Ask us for large print."), "statement"),
)
ASK = Para((Text("Whom to ask: poison help, day or night; your county extension office."),), "contacts")
EDITION: Runs = (
    Text("Edition "),
    Const("page", "7f3a91c"),
    Text(" · Sampleton, zone edition "),
    Const("name", "6a"),
    Text(" · last reviewed "),
    Const("page", "2026-11-25"),
    Text(f" · {INVENTED}"),
)

STEPS = Items(
    (
        t("Leave each chrysalis where it hangs. Do not pull it off its stem."),
        (Text("Cut the stem and stand it in a mesh cage in the shade. Move it to the cold "), TO_COLD, Text(".")),
        (Text("Keep the store at "), fig("sample.cold"), Text(", never in a heated room.")),
        (Text("Look in "), fig("sample.check-every"), Text(". Mist the paper, not the chrysalis.")),
        (Text("Bring the cage out "), TO_WARMTH, Text(", near your last freeze, about "), LAST_FREEZE, Text(".")),
        (Text("Wait. Opening takes "), fig("sample.warm-up"), Text(".")),
    ),
    ordered=True,
    role="steps",
)

PLAN = Table(
    "What to do here, and when",
    ("Job", "When", "How to tell it is time"),
    (
        (t("Sow parsley"), (fig("sample.sow"),), t("Soil can be worked")),
        (
            t("Look for eggs"),
            (Text("from the first flight on; eggs take "), fig("sample.egg")),
            t("Females circle the plants"),
        ),
        (t("Summer chrysalides open"), (Text("after "), fig("sample.summer-rest")), t("The case turns dark and clear")),
        (t("Move to the cold"), (TO_COLD,), t("Nights are cold, days are short")),
        (t("Bring to warmth"), (TO_WARMTH,), t("Host plants show new leaves")),
        (t("Stop waiting"), t("not before the second spring"), t("It is light and dry, and does not bend")),
    ),
    "plan",
)

MAIN: tuple[Block, ...] = (
    Para(
        (
            Text("A chrysalis made in late summer sleeps until spring. Give it what a hedge would give: "),
            Styled("strong", t("cold, shade, a little damp, and time")),
            Text(". Most losses come from warm rooms, dry air and mice."),
        ),
        "key",
    ),
)

NOT_KNOWN = Slot(
    "not-known",
    (
        Items(
            (
                (
                    Text("How many wait a second winter is "),
                    fig("sample.second-winter"),
                    Text(". In one club, "),
                    fig("sample.survival"),
                    Text(" opened."),
                ),
                (
                    Text("How "),
                    LATIN,
                    Text(" from this place answers to day length is "),
                    fig("sample.second-winter"),
                    Text("; the figure above comes from a relative."),
                ),
            )
        ),
    ),
    t("What we do not know"),
)
