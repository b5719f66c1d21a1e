"""Profiles, seasons and facts in, a page of text that a gardener can read out."""

from __future__ import annotations

import textwrap
from datetime import date
from typing import Any

from handouts.model.season import Season, Window
from handouts.season.profile import Field, Profile

WIDTH = 78
_SIDES = (("last", "Last freeze in spring"), ("first", "First freeze in fall"))
_AMOUNTS = (
    ("degree_days_50F_year", "Degree-days above 50 °F in a year"),
    ("coldest_night_F", "Coldest night, °F"),
)
_NOTES = (("note", "Note"), ("as_of", "As of"), ("shown", "Shown as"), ("basis", "Basis"), ("file", "In"))
_THRESHOLDS = (36, 32, 28, 24)
_HOW = {"derived": "worked out", "proxy": "from a relative", "common-practice": "common practice"}


def place_page(profile: Profile) -> str:
    """Write what is known of a place, how it is known, and what may not be said."""
    lines = [f"Place: {profile.name or 'not named'}"]
    if profile.zone:
        edition = f" ({profile.zone_edition}; given)" if profile.zone_edition else ""
        said = f"Zone: {profile.zone}{edition}. A zone tells the coldest night of an average winter only."
        lines += textwrap.wrap(said, WIDTH, subsequent_indent="  ")
    if profile.latitude is not None:
        east = f", longitude {profile.longitude:g}" if profile.longitude is not None else ""
        lines.append(f"Latitude {profile.latitude:g}{east}")
    lines.extend(_freezes(profile))
    lights = [profile.day_lengths[day] for day in sorted(profile.day_lengths)]
    if lights:
        lines += ["", "Day length, sunrise to sunset (worked out):"]
        for day in sorted(profile.day_lengths):
            minutes = profile.day_lengths[day].value
            if isinstance(minutes, int | float):
                hours, rest = divmod(round(minutes), 60)
                lines.append(f"  {date.fromisoformat(day):%b %d}  {hours:2d} h {rest:02d} min")
    for name, title in (
        ("degree_days_50F_year", "Degree-days above 50 °F in a year"),
        ("coldest_night_F", "Coldest night, °F"),
    ):
        field = profile.fields.get(name)
        if field is not None:
            lines += ["", *textwrap.wrap(f"{title}: {_amount(field)}", WIDTH, subsequent_indent="  "), *_how(field)]
    if profile.rejects:
        lines += ["", f"Set aside as not plausible ({len(profile.rejects)}):"]
        for item in profile.rejects[:10]:
            where = f", line {item.line}" if item.line else ""
            text = f"{item.day:%b} {item.day.day}, {item.day.year}{where}: {item.value}, {item.why}"
            lines += textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ")
        if len(profile.rejects) > 10:
            lines.append(f"  and {len(profile.rejects) - 10} more, in the JSON")
    if profile.not_known:
        lines += ["", "What may not be said, and why:"]
        for gap in profile.not_known:
            lines += textwrap.wrap(f"{gap.what}: {gap.why}", WIDTH, initial_indent="  - ", subsequent_indent="    ")
    for note in profile.notes:
        lines += textwrap.wrap(note, WIDTH, initial_indent="Note: ", subsequent_indent="  ")
    return "\n".join(lines)


def _freezes(profile: Profile) -> list[str]:
    lines: list[str] = []
    for side, title in _SIDES:
        rows = []
        for threshold in _THRESHOLDS:
            middle = profile.freeze_field(side, threshold)
            if middle is None or middle.value is None:
                continue
            late, early = (10, 90) if side == "last" else (90, 10)
            ends = [profile.freeze_field(side, threshold, percent) for percent in (early, late)]
            shown = [_day(end.value) if end is not None and end.value else "–" for end in ends]
            spread = f"eight in ten from {shown[0]} to {shown[1]}"
            rows.append(f"  {threshold} °F  half of the years by {_day(middle.value)}; {spread}")
        if rows:
            lines += ["", f"{title}:", *rows]
            field = profile.freeze_field(side) or profile.freeze_field(side, 28) or profile.freeze_field(side, 36)
            if field is not None:
                lines += _how(field)
    return lines


def _day(value: object) -> str:
    try:
        day = date.fromisoformat(f"2027-{value}")
        return f"{day:%b} {day.day}"
    except ValueError:
        return str(value)


def _amount(field: Field) -> str:
    value = f"{field.value:,.0f}" if isinstance(field.value, int | float) else str(field.value)
    if isinstance(field.low, int | float) and isinstance(field.high, int | float):
        if field.value is None:
            return f"{field.low:,.0f} to {field.high:,.0f}{', ' + field.range if field.range else ''}"
        return f"{value} ({field.low:,.0f} to {field.high:,.0f}{', ' + field.range if field.range else ''})"
    return value


def _how(field: Field) -> list[str]:
    kind = _HOW.get(field.kind, field.kind.replace("-", " "))
    known = "; ".join(filter(None, (kind, field.basis, field.period, field.source)))
    lines = textwrap.wrap(known, WIDTH, initial_indent="  How known: ", subsequent_indent="    ")
    for warning in field.warnings:
        lines += textwrap.wrap(warning, WIDTH, initial_indent="  Mind: ", subsequent_indent="    ")
    return lines


def season_page(season: Season) -> str:
    """Write what the gardener and the insects do in order of time, then what is not known and why."""
    where = f" at {season.place}" if season.place else ""
    lines = [f"{season.species.replace('-', ' ').capitalize()}{where}, {season.year}"]
    told: set[str] = set()
    if season.tasks:
        lines += ["", "What you do"]
        for task in season.tasks:
            lines += _entry(task.what, task.low, task.high, task.basis, None, task.note, told)
    mine = {task.what for task in season.tasks}
    known = [window for window in season.windows if window.known and window.label not in mine]
    if known:
        lines += ["", "What the insects do"]
        for window in sorted(known, key=lambda item: (item.low or date.min, item.high or date.min, item.id)):
            assert window.low is not None
            assert window.high is not None
            lines += _entry(window.label, window.low, window.high, window.basis, window.proxy, window.note, told)
    lines += _reasons("Not known here", [window for window in season.windows if not window.known and not window.absent])
    lines += _reasons("Not for this butterfly", [window for window in season.windows if window.absent])
    return "\n".join(lines)


def _entry(what: str, low: date, high: date, basis: str, proxy: str | None, note: str, told: set[str]) -> list[str]:
    """Write one line with its dates and, below it, how it is known; a note that stood before is not told again."""
    when = f"{low:%b} {low.day} \u2013 {high:%b} {high.day}"
    lines = textwrap.wrap(f"{when:18}{what}", WIDTH, initial_indent="  ", subsequent_indent=" " * 20)
    how = _HOW.get(basis, basis.replace("-", " ")) + (f" ({proxy})" if proxy else "")
    said = "as above" if note in told else note
    told.add(note)
    text = f"{how}: {said}" if said else how
    return lines + textwrap.wrap(text, WIDTH, initial_indent=" " * 22, subsequent_indent=" " * 22)


def _reasons(title: str, windows: list[Window]) -> list[str]:
    """Write windows without dates under one reason each, in their order."""
    reasons: dict[str, list[str]] = {}
    for window in windows:
        reasons.setdefault(window.note, []).append(window.label)
    lines = ["", title] if reasons else []
    for why, labels in reasons.items():
        text = f"{'; '.join(labels)}: {why}"
        lines += textwrap.wrap(text, WIDTH, initial_indent="  - ", subsequent_indent="    ")
    return lines


def facts_page(found: list[dict[str, Any]]) -> str:
    """Write looked-up facts: each statement with its basis, sources and locators, and where it is used."""
    lines: list[str] = []
    for item in found:
        lines.append(item["id"])
        if item.get("label"):
            lines.append(f"  {item['label']}")
        for statement in item.get("says", []):
            lines += textwrap.wrap(
                f"{statement['shown']} [{statement['basis']}]", WIDTH, initial_indent="  - ", subsequent_indent="    "
            )
            for key in ("conditions", "why", "detail"):
                if statement.get(key):
                    lines += textwrap.wrap(statement[key], WIDTH, initial_indent="      ", subsequent_indent="      ")
            for source in statement.get("sources", []):
                text = f"{source['citation']} At: {source['locator']}"
                lines += textwrap.wrap(text, WIDTH, initial_indent="      ", subsequent_indent="        ")
        for key, title in (
            ("note", "Note"),
            ("as_of", "As of"),
            ("shown", "Shown as"),
            ("basis", "Basis"),
            ("file", "In"),
        ):
            if item.get(key) and not (key == "basis" and item.get("says")):
                lines += textwrap.wrap(f"{title}: {item[key]}", WIDTH, initial_indent="  ", subsequent_indent="    ")
        if item.get("used_by"):
            lines.append("  Used by: " + ", ".join(item["used_by"]))
    return "\n".join(lines) if lines else "nothing found"
