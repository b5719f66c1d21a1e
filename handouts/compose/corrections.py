"""A club's corrections link in, the part of a sheet that leads to it out: the address in words and as a QR code."""

from __future__ import annotations

from functools import lru_cache

from handouts.compose.composer import Composer
from handouts.compose.prose import plain
from handouts.model.document import Block, Const, Link, Para, Picture, Runs, Text

# Sheets that leave the room; a calendar, a claims sheet and a report do not carry the code.
CARRY = ("handout", "faq-sheet", "poster", "bench-card", "talk-notes", "correction")
# Phones read a code from paper when its squares are half a millimeter and the whole is as wide as a thumb.
LEAST_MODULE_MM = 0.5
LEAST_SIDE_MM = 20.0
QUIET = 4


def corrections_blocks(composer: Composer, kind: str) -> tuple[Block, ...]:
    """Return the link and code to the club's corrections page; nothing for other kinds or when the club set none."""
    club = composer.library.club
    if club is None or club.corrections_link is None or kind not in CARRY:
        return ()
    link, say = club.corrections_link, composer.library.say
    shown = link.partition("://")[2].rstrip("/")
    runs: Runs = composer.const(shown, "note")
    if not any(isinstance(run, Const) for run in runs):
        runs = (Link(shown, link),)
    svg, width = qr_svg(link)
    title = f"QR code for {plain(runs)}"
    code = Picture("corrections-code", svg, title, say("qr-alt"), width_mm=width, role="code")
    lead = Para((Text(f"{say('corrections-at')} "), *runs), "statement")
    return lead, code


@lru_cache(maxsize=8)
def qr_svg(link: str) -> tuple[str, float]:
    """Return a QR code (medium correction) as SVG with its quiet zone, and the width in mm it must be printed at."""
    import segno

    code = segno.make_qr(link, error="m", boost_error=False)
    rows = [bytes(row) for row in code.matrix]
    module = max(LEAST_MODULE_MM, LEAST_SIDE_MM / len(rows))
    side = len(rows) + 2 * QUIET
    data = "".join(f"M{x + QUIET} {y + QUIET}h{run}v1h-{run}z" for y, row in enumerate(rows) for x, run in _dark(row))
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}">'
        f'<rect width="{side}" height="{side}" fill="#ffffff"/><path d="{data}" fill="#000000"/></svg>'
    )
    return svg, round(side * module, 2)


def _dark(row: bytes) -> list[tuple[int, int]]:
    """Return where dark stretches of a row begin and how long they are."""
    found: list[tuple[int, int]] = []
    for x, dark in enumerate(row):
        if dark and found and sum(found[-1]) == x:
            found[-1] = (found[-1][0], found[-1][1] + 1)
        elif dark:
            found.append((x, 1))
    return found
