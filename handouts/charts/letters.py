"""A text in, its width in points out: the advance widths of Atkinson Hyperlegible, so that labels can be placed."""

from __future__ import annotations

# Thousandths of an em, in the order of _CHARACTERS, from the bundled font files; a test compares them.
_CHARACTERS = "".join(map(chr, range(0x20, 0x7F))) + "\u00a0°·½×é–—‘’“”…−"
_REGULAR = """
280 281 301 655 594 927 705 160 300 300 433 602 205 368 205 377 648 402 549 574 614 583 598 510 615
598 205 205 553 602 553 520 780 626 619 656 673 567 548 710 690 414 510 627 539 820 689 727 601 753
618 596 558 690 589 840 623 595 607 315 377 315 552 396 268 526 566 500 564 539 311 560 546 278 254
490 239 841 546 552 566 576 340 471 324 536 441 654 461 429 460 319 233 319 555 280 352 235 812 528
539 480 800 235 235 398 398 696 602
"""
_BOLD = """
320 283 410 783 619 977 702 222 366 366 434 618 243 374 243 442 652 448 586 605 626 612 632 543 625
561 243 243 573 618 573 614 754 690 639 673 686 580 544 719 679 458 560 659 537 842 700 764 626 781
654 619 617 663 656 883 699 687 621 333 442 333 589 430 314 553 596 520 596 566 367 597 572 315 259
567 314 886 572 573 596 601 372 534 379 570 526 723 533 518 516 370 234 370 533 320 404 301 856 539
566 508 842 277 277 498 498 803 594
"""
_OTHER = 650  # about an "n" with some air, for letters not listed


def _table(widths: str) -> dict[str, int]:
    return dict(zip(_CHARACTERS, map(int, widths.split()), strict=True))


_WIDTHS = {False: _table(_REGULAR), True: _table(_BOLD)}


def width(text: str, size: float, bold: bool = False) -> float:
    """Return the width of `text` in the units of `size` (kerning left aside)."""
    table = _WIDTHS[bold]
    return sum(table.get(letter, _OTHER) for letter in text) * size / 1000.0


def wrap(text: str, size: float, most: float, bold: bool = False) -> list[str]:
    """Break `text` at plain spaces into lines no wider than `most`; a single longer word keeps its own line."""
    lines: list[str] = []
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width(longer, size, bold) <= most:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
