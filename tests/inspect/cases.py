"""For every rule files that break it and files that keep it: (file name, content, manifest or None)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tests.inspect.sheets import (
    CLAIMS,
    DO,
    DRAWING,
    FOOT,
    GAPS,
    MARK,
    MESSAGE,
    NBSP,
    PLAN,
    SAP_SHORT,
    SECOND,
    SOURCES,
    STYLE,
    changed,
    claim,
    const,
    event,
    fact,
    html,
    ics,
    kit,
    pdf,
)

PAGE, PRINTED, WORDS, DATES = "moths-handout.html", "moths-handout.pdf", "moths-handout.txt", "moths-calendar.ics"
TEXT = (
    "Keep moths cold\n\nThe main thing\n\nKeep it cold for 9 to\n18 days.\n\nDo this\n\n1. Look.\n2. Wait.\n\n"
    "What we don't know\n\nHow cold.\n\nEdition bcdf-ghjk-lmnp; facts last reviewed 2026-11-25\n\n"
    "We are a club of neighbors.\n"
)
LONG = "The moth rests on its stem until the days are warm and long enough for it to open and to fly. "
COUNTED_PAGES = "@page { @bottom-right { content: counter(page) } }"
HARD = "Environmental considerations necessitate comprehensive precautionary preparations immediately thereafter. "


@dataclass(frozen=True)
class Case:
    """A file, its manifest, and whether the rule must have something against it."""

    rule: str
    bad: bool
    name: str
    data: Any
    manifest: dict[str, Any] | None = None

    @property
    def content(self) -> str | bytes:
        """The file; one that must be set as a PDF is made when it is asked for."""
        made = self.data() if callable(self.data) else self.data
        assert isinstance(made, str | bytes)
        return made


def bad(rule: str, name: str, data: Any, manifest: dict[str, Any] | None = None) -> Case:
    """A file that breaks the rule."""
    return Case(rule, True, name, data, manifest)


def good(rule: str, name: str, data: Any, manifest: dict[str, Any] | None = None) -> Case:
    """A file that keeps the rule."""
    return Case(rule, False, name, data, manifest)


def both(rule: str, broken: str, kept: str = "", *, manifest: dict[str, Any] | None = None) -> tuple[Case, Case]:
    """A page with something put in that breaks the rule, and one with something that keeps it."""
    return bad(rule, PAGE, html(broken), manifest), good(rule, PAGE, html(kept), manifest)


def listed(*claims: dict[str, Any], **more: Any) -> dict[str, Any]:
    """A manifest for the page with more claims."""
    return kit(PAGE, claims=[*CLAIMS, *claims], **more)


PRACTICE = claim("sample-moth.egg", "about 4 days", "common-practice")
RELATIVE = claim("sample-moth.flight", "5 to 7 weeks", "proxy", proxy="the other moth")
WORKED_OUT = claim("sample-moth.flight", "x", "derived", parents=["place.x"])
LOW = (claim("sample-moth.pupa|low", "9 days"), claim("sample-moth.pupa|low~2", "9 d"))
GAP = claim("sample-moth.chill", "not known", "not-known")
EGG = fact("sample-moth.egg", "about 4 days")
C_MARK = MARK.format(words="common practice", letter="c")

FIGURES = (
    *both("figure-markup", "<p>Wait 9 days.</p>", f"<p>Wait {const('note', '9')} days.</p>"),
    *both("figure-markup", "<p>Wait two&nbsp;weeks.</p>", "<p>There are two kinds.</p>"),
    *both("figure-markup", "<p>Wait two <em>weeks</em>.</p>"),
    *both("figure-markup", "<svg><title>A moth</title><text>14 h</text></svg>",
          f"<svg><title>A moth</title><text><tspan {fact('place.light', '14 h')[5:-7]}</tspan></text></svg>"),
    *both("figure-markup", "<p>Use ½ of it.</p>", "<!-- 7 --><p hidden>7</p>"),
    *both("figure-markup", "<p>H<sub>2</sub>O</p>"),
    *both("fact-text", f"<p>{fact('sample-moth.pupa', '9 to 19 days')}</p>",
          f"<p>{fact('sample-moth.pupa', '9 to 18 days')}</p>", manifest=kit(PAGE)),
    *both("fact-text", f"<p>{fact('sample-moth.egg', '4 days')}</p>", manifest=kit(PAGE)),
    *both("fact-text", f"<p>{fact('sample-moth.pupa|low', '18 days')}</p>",
          f"<p>{fact('sample-moth.pupa|low', '9 days')}</p>", manifest=listed(*LOW)),
    *both("fact-text", '<p data-fact="">9</p>'),
    *both("fact-known", f"<p>{fact('sample-moth.wings', '2')}</p>", f"<p>{fact('sample-moth.egg~2', '2')}</p>"),
    *both("leaf-figure", '<p data-const="note">On <b>9</b></p>', f"<p>{const('note', '9')}</p>"),
    *both("leaf-figure", '<p data-fact="sample-moth.egg"><b>9</b> days</p>'),
    *both("leaf-figure", '<p data-const="number">9</p>', '<p data-const="form">9</p>'),
    *both("leaf-figure", '<p data-const="note">1999</p>', '<p data-const="note">2026-11-25</p>', manifest=kit(PAGE)),
    *both("machine-value", "<time datetime='May 6'>May 6</time>", "<time datetime='2027-05-06'>May 6</time>"),
    *both("machine-value", "<data value='9'>9 days</data>", "<data value='9/18'>9 to 18 days</data>"),
    bad("css-figure", PAGE, html(style=STYLE + 'li::before { content: "1." }')),
    bad("css-figure", PAGE, html(style=STYLE + "li::before { content: counter(step) }")),
    bad("css-figure", PAGE, html("<ol><li>Look.</li></ol>", style="ol { margin: 0 }")),
    bad("css-figure", PAGE, html('<p data-n="3">x</p>', style=STYLE + "p::after { content: attr(data-n) }")),
    good("css-figure", PAGE, html("<ol><li>Look.</li></ol>", style=STYLE + COUNTED_PAGES)),
    bad("figure-traced", WORDS, TEXT + "\nWait 3 more days.\n", kit(WORDS)),
    bad("figure-traced", WORDS, TEXT + "\nWait two\nweeks.\n", kit(WORDS)),
    bad("figure-traced", WORDS, TEXT),
    good("figure-traced", WORDS, TEXT, kit(WORDS)),
    bad("figure-traced", PRINTED, lambda: pdf(html(f"<p>Wait {const('note', '77')} days.</p>")), kit(PRINTED)),
    good("figure-traced", PRINTED, pdf, kit(PRINTED)),
    bad("figure-traced", DATES, ics(event("DESCRIPTION:In 3 days.")), kit(DATES, "calendar")),
    good("figure-traced", DATES, ics(event("DESCRIPTION:In 9 to 18 days.")), kit(DATES, "calendar")),
    *both("unseen-figure", '<img src="data:," alt="A moth of 5 cm">',
          '<img src="data:," alt="A moth for 9 to 18 days">', manifest=kit(PAGE)),
    *both("leftover-name", "<p>Wait {sample-moth.egg}.</p>", "<p>Wait {a while}.</p>"),
)  # fmt: skip

HONESTY = (
    *both("caution-missing", "<p>Grow rue.</p>", f"<p>Grow rue. {SAP_SHORT}</p>"),
    *both("caution-missing", "<p>Grow the <b>hound\u2019s</b>\nleaf.</p>", "<p>Grow meadow rue.</p>"),
    *both("caution-missing", '<img src="data:," alt="A leaf of rue">',
          "<p>Rue. Sap on skin blisters in sunlight for 1 to 2 days<sup>p</sup>. Wear gloves, wash it off, and "
          "keep children away.</p>"),
    bad("caution-missing", WORDS, TEXT + "\nPastern-\nberries are good.\n"),
    bad("caution-missing", DATES, ics(event("DESCRIPTION:Plant rue."))),
    bad("caution-missing", PRINTED, lambda: pdf(html("<p>Grow rue.</p>" + SECOND))),
    good("caution-missing", PRINTED, lambda: pdf(html(f"<p>Grow rue. {SAP_SHORT}</p>" + SECOND))),
    good("caution-missing", "moths-sign-in.html", html("<p>Rue</p>", kind="sign-in")),
    bad("caution-missing", PAGE, html(), kit(PAGE, cautions=["sap"])),
    *both("memory-value", f"<p>{fact('sample-moth.larva', '9 days')}</p>", f"<p>{EGG}</p>"),
    bad("memory-value", WORDS, TEXT, kit(WORDS, claims=[claim("season.moth.x", "in May", "memory")])),
    bad("basis-agrees", PAGE, html(), listed(claim("sample-moth.egg", "4 days"))),
    good("basis-agrees", PAGE, html(), listed(PRACTICE, WORKED_OUT)),
    bad("claim-sources", PAGE, html(), listed(claim("sample-moth.pupa~2", "9", references=[]))),
    bad("claim-sources", PAGE, html(), listed(claim("sample-moth.pupa~2", "9", references=["source#lost"]))),
    good("claim-sources", PAGE, html(), kit(PAGE)),
    *both("proxy-named", f"<p>It flies {fact('sample-moth.flight', '5 to 7 weeks')}.</p>",
          f"<p>The other moth flies {fact('sample-moth.flight', '5 to 7 weeks')}.</p>", manifest=listed(RELATIVE)),
    bad("proxy-named", WORDS, TEXT, kit(WORDS, claims=[*CLAIMS, RELATIVE])),
    good("proxy-named", WORDS, TEXT + "\nIn the other\nmoth.\n", kit(WORDS, claims=[*CLAIMS, RELATIVE])),
    *both("practice-marked", f"<p>It takes {EGG}.</p>", f"<p>It takes {EGG}{C_MARK}.</p>", manifest=listed(PRACTICE)),
    *both("practice-marked", f"<p>It takes {EGG}{MARK.format(words='published', letter='p')}.</p>",
          f"<p>By common practice, it takes {EGG}.</p>", manifest=listed(PRACTICE)),
    bad("practice-marked", WORDS, TEXT + "\nIt takes about 4 days.\n", kit(WORDS, claims=[*CLAIMS, PRACTICE])),
    good("practice-marked", WORDS, TEXT + "\nIt takes about 4 days [common\npractice].\n",
         kit(WORDS, claims=[*CLAIMS, PRACTICE])),
    good("practice-marked", WORDS, TEXT + f"\nIt takes about 4 days{NBSP}wc.\n",
         kit(WORDS, claims=[*CLAIMS, PRACTICE])),
    *both("not-known-said", f"<p>{fact('sample-moth.chill', '90 days')}</p>",
          f"<p>{fact('sample-moth.chill', 'not known')}</p>", manifest=listed(GAP)),
    *both("forbidden-claim", "<p>Organic parsley is safe.</p>", "<p>Organic does not mean safe.</p>"),
    bad("forbidden-claim", WORDS, TEXT + "\nWash the herbs, and they\nare safe to feed.\n"),
    bad("forbidden-claim", DATES, ics(event("DESCRIPTION:Mix 2 cups per gallon."))),
    bad("forbidden-claim", PRINTED, lambda: pdf(html("<p>Mix one part bleach with nine parts water.</p>"))),
)  # fmt: skip

BONES = (
    bad("language", PAGE, html(lang="")),
    good("language", PAGE, html(lang="en-US")),
    bad("title", PAGE, html(head="")),
    bad("title", PAGE, html(head="<title>handout.html</title>")),
    good("title", PAGE, html()),
    *both("heading-order", "<h1>Another</h1>", "<h2>Next</h2><h3>Below</h3>"),
    *both("heading-order", "<section><h2>A</h2><h4>C</h4></section>"),
    *both("heading-order", "<h2> </h2>"),
    *both("alt-text", '<img src="data:,">', '<img src="data:," alt="A moth on a stem">'),
    *both("alt-text", '<img src="data:," alt="moth.png">', "<svg><title>A moth on a stem</title><svg></svg></svg>"),
    *both("alt-text", "<svg><g></g><title>A moth on a stem</title></svg>"),
    *both("alt-text", '<svg aria-label="A moth on a stem"></svg>'),
    *both("table-header", "<table><tr><td>a</td></tr></table>"),
    *both("table-header", "<table><caption>T</caption><tr><th>a</th></tr></table>"),
    *both("table-header", '<table><caption>T</caption><tr><th scope="col" colspan="2">a</th></tr></table>',
          '<table><caption>T</caption><tr><td></td><th scope="col">a</th></tr>'
          '<tr><td colspan="2">b</td></tr></table>'),
    *both("table-header",
          '<table><caption>T</caption><tr><th scope="col">a</th><td colspan="100000">b</td></tr></table>'),
    *both("link-text", '<a href="https://example.org">here</a>', '<a href="https://example.org">The guide</a>'),
    *both("link-text", '<a href="https://example.org">https://example.org</a>'),
    *both("link-text", '<a href="https://example.org">The <i>guide</i></a>',
          '<i><a href="https://example.org">The guide</a></i>'),
    *both("unique-id", '<p id="a"></p><p id="a"></p>', '<p id="a"></p><a href="#a">Up there</a>'),
    *both("unique-id", '<p aria-labelledby="lost"></p>'),
    *both("latin-name", "<p>It is Exempla communis.</p>", '<p>It is <i lang="la">Exempla communis</i>.</p>'),
    *both("latin-name", "<p>It is E. communis.</p>"),
    *both("self-contained", "<script>1</script>", '<img src="data:," alt="A moth on a stem">'),
    *both("self-contained", '<img src="https://example.org/a.png" alt="A moth on a stem">'),
    *both("self-contained", '<p onclick="x()">a</p>', '<a href="https://example.org">The guide</a>'),
    *both("self-contained", '<a href="javascript:x()">The guide</a>'),
    bad("self-contained", PAGE, html(style=STYLE + '@import "a.css";')),
    bad("self-contained", PAGE, html(style=STYLE + "p { background: url(https://example.org/a.png) }")),
    bad("text-contrast", PAGE, html(style=STYLE + "p { color: #777 }")),
    bad("text-contrast", PAGE, html(style=STYLE + ":root { --ink: #999999 }")),
    bad("text-contrast", PAGE, html(style=STYLE + "@media print { main { background: #1b3a6b } }")),
    bad("text-contrast", PAGE, html('<svg><title>A moth</title><text fill="#ccc">wing</text></svg>')),
    good("text-contrast", PAGE, html(style=STYLE + "p { color: #767676 } p { color: rgb(89, 89, 89) }")),
)  # fmt: skip

HIDING = (
    bad("hidden-words", PAGE, html(style=STYLE + "[data-slot] { display: none }")),
    bad("hidden-words", PAGE, html(style=STYLE + "@media print { .edition { visibility: hidden } }")),
    good("hidden-words", PAGE, html(style=STYLE + ".empty { display: none } p { display: block }")),
)
TALK = "moths-talk-notes.html"
MINUTES = (
    '<table class="role-minutes"><caption>T</caption><tr><th scope="row">a</th><td>5</td></tr>'
    '<tr><th scope="row">b</th><td>{}</td></tr></table>'
)
PARTS = (
    bad("main-message", PAGE, html(MESSAGE)),
    bad("main-message", PAGE, html(parts=DO + PLAN + GAPS)),
    bad("main-message", PAGE, html(parts=DO + MESSAGE + GAPS)),
    bad("main-message", PAGE, html(parts=MESSAGE.replace("Keep it cold.", "A b. C d. E f. G h.") + DO)),
    good("main-message", PAGE, html()),
    bad("needed-part", PAGE, html(parts=MESSAGE + DO + PLAN)),
    bad("needed-part", PAGE, html(parts=MESSAGE + GAPS + PLAN)),
    bad("needed-part", PAGE, html(parts=MESSAGE + DO + GAPS + PLAN + SOURCES)),
    good("needed-part", PAGE, html(parts=MESSAGE + DO + DRAWING + PLAN + GAPS + SOURCES)),
    bad("named-part", WORDS, TEXT.replace("Do this", "Steps")),
    good("named-part", WORDS, TEXT.replace("What we don't know", "What we don\u2019t know")),
    bad("edition-line", PAGE, html(foot="")),
    bad("edition-line", PAGE, html(), kit(PAGE, edition="zzzz-zzzz-zzzz")),
    bad("edition-line", WORDS, TEXT.replace("2026-11-25", "today"), kit(WORDS)),
    good("edition-line", PAGE, html(), kit(PAGE)),
    bad("statement", PAGE, html(foot=FOOT.replace("neighbors", "friends"))),
    good("statement", PAGE, html()),
    bad("reading-grade", PAGE, html(), kit(PAGE, reading_grade=8.1)),
    bad("reading-grade", TALK, html(), kit(TALK, "talk-notes", reading_grade=9.1)),
    bad("reading-grade", PAGE, html(f"<p>{HARD * 14}</p>")),
    bad("reading-grade", PAGE, html(f"<p>{HARD * 14}</p>"), kit(PAGE, reading_grade=7.0)),
    bad("reading-grade", PAGE, html(f"<p>{LONG}</p>" * 9), kit(PAGE, reading_grade=1.0)),
    good("reading-grade", TALK, html(), kit(TALK, "talk-notes", reading_grade=8.9)),
    good("reading-grade", PAGE, html(), kit(PAGE, reading_grade=8.0)),
    *both("sentence-length", f"<p>{(LONG * 2).replace('.', ',')}</p>", f"<p>{LONG}</p>"),
    *both("sentence-length", f"<p>{LONG * 6}</p>"),
    *both("word-count", f"<p>{LONG}</p>" * 70, f"<p>{LONG}</p>" * 20),
    bad("minute-plan", TALK, html(MINUTES.format(20)), kit(TALK, "talk-notes", event={"minutes": 30})),
    good("minute-plan", TALK, html(MINUTES.format(25)), kit(TALK, "talk-notes", event={"minutes": 30})),
)  # fmt: skip


def _without_fonts(opened: Any) -> None:
    for item in opened.objects:
        for end in ("", "2", "3"):
            if getattr(item, "get", None) and f"/FontFile{end}" in item:
                del item[f"/FontFile{end}"]


def _with_script(opened: Any) -> None:
    import pikepdf

    script = pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS=pikepdf.String("app.alert(1)"))
    opened.Root.OpenAction = opened.make_indirect(script)


TABLE = "<table><caption>T</caption><tr>{}</tr></table>"
SHEETS = (
    bad("page-count", PRINTED, lambda: pdf(html())),
    bad("page-count", PRINTED, pdf, kit(PRINTED, pages=3)),
    good("page-count", PRINTED, pdf, kit(PRINTED, pages=2)),
    bad("page-size", PRINTED, lambda: pdf(style="@page { size: 500pt 600pt }")),
    bad("page-size", PRINTED, pdf, kit(PRINTED, paper="a4")),
    good("page-size", PRINTED, lambda: pdf(style="@page { size: a4 landscape }"), kit(PRINTED, paper="a4")),
    bad("pdf-tagged", PRINTED, lambda: pdf(variant=None)),
    good("pdf-tagged", PRINTED, pdf),
    bad("pdf-language", PRINTED, lambda: pdf(html(lang=""))),
    good("pdf-language", PRINTED, pdf),
    bad("pdf-title", PRINTED, lambda: pdf(html(head=""))),
    bad("pdf-title", PRINTED, pdf, kit(PRINTED, title="Another")),
    good("pdf-title", PRINTED, pdf, kit(PRINTED, title="Keep moths cold")),
    bad("pdf-fonts", PRINTED, lambda: changed(pdf(), _without_fonts)),
    good("pdf-fonts", PRINTED, pdf),
    bad("pdf-alt", PRINTED, lambda: pdf(html('<svg width="9" height="9"><rect width="9" height="9"/></svg>'))),
    good("pdf-alt", PRINTED, pdf),
    bad("pdf-headings", PRINTED, lambda: pdf(html("<h1>Another</h1>"))),
    bad("pdf-headings", PRINTED, lambda: pdf(html("<h2>A</h2><h4>B</h4>"))),
    good("pdf-headings", PRINTED, pdf),
    bad("pdf-tables", PRINTED, lambda: pdf(html(TABLE.format("<td>a</td>")))),
    good("pdf-tables", PRINTED, pdf),
    bad("pdf-active", PRINTED, lambda: changed(pdf(), _with_script)),
    good("pdf-active", PRINTED, lambda: pdf(html('<a href="https://example.org">The guide</a>'))),
    bad("pdf-margins", PRINTED, lambda: pdf(style="@page { size: letter; margin: 3mm }")),
    good("pdf-margins", PRINTED, pdf),
    bad("letter-size", PRINTED, lambda: pdf(style="@page { size: letter } body { font-size: 9pt }")),
    bad("letter-size", PRINTED, lambda: pdf(html('<p style="font-size: 5pt">small</p>'))),
    good("letter-size", PRINTED, pdf),
)  # fmt: skip

CALENDAR = (
    bad("ics-lines", DATES, ics(end="\n")),
    bad("ics-lines", DATES, ics(event("DESCRIPTION:" + "long " * 20))),
    bad("ics-lines", DATES, ics(event("COMMENT:caf\u00e9")).replace("\u00e9".encode(), b"\xc3\r\n \xa9")),
    good("ics-lines", DATES, ics(event("DESCRIPTION:long\r\n  line"))),
    bad("ics-calendar", DATES, ics(head=("VERSION:2.0",))),
    bad("ics-calendar", DATES, ics(head=("VERSION:1.0", "PRODID:x"))),
    good("ics-calendar", DATES, ics()),
    bad("ics-uid", DATES, ics(event(uid="spring@example.org"))),
    bad("ics-uid", DATES, ics(event(), event())),
    good("ics-uid", DATES, ics(event(), event(uid="3f2504e0-4f89-5d3a-9a0c-0305e82c3302"))),
    bad("ics-stamp", DATES, ics(event("DTSTAMP:20261125T000000", drop="DTSTAMP"))),
    bad("ics-stamp", DATES, ics(event(drop="DTSTAMP"))),
    good("ics-stamp", DATES, ics()),
    bad("ics-dates", DATES, ics(event("DTSTART:20270501T090000Z", drop="DTSTART"))),
    bad("ics-dates", DATES, ics(event("DTEND;VALUE=DATE:20270501", drop="DTEND"))),
    bad("ics-dates", DATES, ics(event("DURATION:P1D"))),
    bad("ics-dates", DATES, ics(event("DTSTART;VALUE=DATE:20270230", drop="DTSTART"))),
    good("ics-dates", DATES, ics()),
    bad("ics-transparent", DATES, ics(event("TRANSP:OPAQUE", drop="TRANSP"))),
    bad("ics-transparent", DATES, ics(event(drop="TRANSP"))),
    good("ics-transparent", DATES, ics()),
    bad("ics-quiet", DATES, ics(event("BEGIN:VALARM", "ACTION:DISPLAY", "END:VALARM"))),
    bad("ics-quiet", DATES, ics(event("RRULE:FREQ=YEARLY"))),
    bad("ics-quiet", DATES, ics(event(drop="SUMMARY"))),
    good("ics-quiet", DATES, ics()),
)  # fmt: skip

CASES: tuple[Case, ...] = (*FIGURES, *HONESTY, *BONES, *HIDING, *PARTS, *SHEETS, *CALENDAR)
