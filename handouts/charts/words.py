"""The words file in, the charts' own labels out, with their English defaults; any label there wins."""

from __future__ import annotations

from handouts.charts.svg import Run
from handouts.model.records import Words
from handouts.model.season import Window

LABELS = {
    # rows
    "chart-frost": "Frost",
    "chart-light": "Day length",
    "chart-flight": "Butterflies",
    "chart-eggs": "Eggs",
    "chart-caterpillars": "Caterpillars",
    "chart-chrysalides": "Chrysalides",
    "chart-gardener": "You",
    # frost
    "chart-frost-likely": "frost likely",
    "chart-frost-possible": "frost possible",
    "chart-frost-unlikely": "frost unlikely",
    "chart-last-freeze": "median last freeze",
    "chart-first-freeze": "median first freeze",
    "chart-last-unknown": "last freeze not known here: write in yours",
    "chart-first-unknown": "first freeze not known here: write in yours",
    "chart-frost-unknown": "not known here: write in your own dates",
    "chart-my-last": "my last freeze",
    "chart-my-first": "my first freeze",
    # day length
    "chart-longest": "longest day",
    "chart-shortest": "shortest day",
    "chart-days-from": "days of",
    "chart-days-to": "down to",
    "chart-light-unknown": "not known here: it needs a latitude or a ZIP code",
    "chart-twilight": "with civil twilight",
    "chart-daylight": "sunrise to sunset",
    # insects
    "chart-generation-1": "first",
    "chart-generation-2": "second",
    "chart-generation-3": "third",
    "chart-generation-4": "fourth",
    "chart-waiting": "waiting through winter",
    "chart-winter": "waiting",
    "chart-none": "no dates here",
    "chart-borrowed": "Borrowed from",
    "chart-of-insects": "insects",
    "chart-of-opening": "opening",
    "chart-of-winter": "winter rest",
    "chart-generation": "generation",
    # weeks around the reader's own freezes
    "chart-spring": "Spring",
    "chart-fall": "Fall",
    "chart-weeks": "weeks",
    "chart-weeks-before": "before, in weeks",
    "chart-weeks-after": "after, in weeks",
    "chart-my-date": "my date",
    # chance of a freeze
    "chart-chance-last": "It still freezes on this day or later",
    "chart-chance-first": "It has frozen by this day",
    "chart-years-in": "years in",
    "chart-year-in": "year in",
    # heat toward opening
    "chart-heat-unit": "degree-days",
    "chart-opens": "chrysalides open",
    "chart-warm-year": "warm year",
    "chart-usual-year": "usual year",
    "chart-cold-year": "cold year",
    "chart-above": "above",
    # titles, descriptions, and the sentence below
    "chart-year-title": "The year here in rows",
    "chart-year-alt": "Month by month in rows: frost, day length, each stage of the insect, and what you do when.",
    "chart-year-alt-frost": (
        "The year in rows. Frost until {last} and again from {first}; below, the insect's stages and your tasks."
    ),
    "chart-year-caption": "Find this month at the top and read straight down; a faded end means the date is not sharp.",
    "chart-weeks-title": "The year in weeks from your own freezes",
    "chart-weeks-alt": "Spring and fall in weeks before and after your own freezes, with boxes for your dates.",
    "chart-words-caption": "Write in your own freezes, then put down a date of your own for each task.",
    "chart-weeks-caption": "Write in your own last and first freeze, then count the weeks to each task.",
    "chart-chance-title": "How likely a freeze still is",
    "chart-chance-alt": "Two curves: in how many years a freeze still comes in spring, or has come in fall.",
    "chart-chance-caption": "Pick a date below, go up to the curve, and read in how many years a freeze comes.",
    "chart-light-title": "Day length through the year",
    "chart-light-alt-plain": "A curve of day length over the year with the longest and the shortest day.",
    "chart-light-caption-plain": "The thick line shows how long each day of the year is, from sunrise to sunset.",
    "chart-light-alt": "A curve of day length over the year, and the weeks in which it turns caterpillars to rest.",
    "chart-light-caption": "Caterpillars that grow up in the hatched weeks, as days shorten, turn toward winter rest.",
    "chart-heat-title": "Warmth adds up until chrysalides open",
    "chart-heat-alt": "A rising band of warmth, warm year to cold year, crosses the level at which chrysalides open.",
    "chart-heat-caption": "Chrysalides open where the rising band meets the dotted level: sooner in a warm year.",
}


def say(words: Words, key: str) -> str:
    """Return a label: the words file's own, else the default."""
    return words.labels.get(key, LABELS[key])


def row_name(words: Words, stage: str) -> str:
    """Return the name of a stage's row."""
    return say(words, f"chart-{stage}")


def bases(window: Window) -> tuple[str, ...]:
    """Return the bases a reader must see for a window: its own, and "proxy" when a relative or region stands in."""
    return (window.basis,) if not window.proxy or window.basis == "proxy" else (window.basis, "proxy")


def mark_run(words: Words, kinds: tuple[str, ...]) -> tuple[Run, ...]:
    """Return the basis marks as one run that stands behind a no-break space; nothing when none applies."""
    found = [words.marks[kind]["mark"] for kind in dict.fromkeys(kinds) if kind in words.marks]
    return (Run("\u00a0" + "".join(found), mark=True),) if found else ()
