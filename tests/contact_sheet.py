"""A kit's folder in, one picture with a small image of every page of its PDFs out: to look a whole kit over at once.

    python -m tests.contact_sheet KIT --out sheet.png [--dpi 45] [--gray]

A file a row (long ones break); below each page its number. `--gray` shows what a gray printer makes of it.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

import pypdfium2
from PIL import Image, ImageDraw, ImageFont

MARGIN, LABEL, PAPER, TABLE = 14, 22, (255, 255, 255), (128, 128, 128)
WIDEST = 2400  # pixels of a row before it breaks


def pages(path: Path, dpi: float) -> list[Image.Image]:
    """Return the pages of a PDF as pictures."""
    with pypdfium2.PdfDocument(path) as document:
        return [page.render(scale=dpi / 72.0).to_pil().convert("RGB") for page in document]


def rows(images: list[Image.Image]) -> Iterator[list[Image.Image]]:
    """Break pages into rows no wider than the widest."""
    row: list[Image.Image] = []
    for image in images:
        if row and sum(one.width + MARGIN for one in (*row, image)) > WIDEST:
            yield row
            row = []
        row.append(image)
    if row:
        yield row


def sheet(folder: Path, dpi: float = 45.0) -> Image.Image:
    """Return the contact sheet of all PDFs in a folder. Raises ValueError when there is none."""
    files = sorted(folder.glob("*.pdf"))
    if not files:
        raise ValueError(f"no PDF in {folder}")
    laid = [(path.name, row) for path in files for row in rows(pages(path, dpi))]
    width = max(sum(image.width + MARGIN for image in row) for _, row in laid) + MARGIN
    height = sum(max(image.height for image in row) + 2 * LABEL + MARGIN for _, row in laid) + MARGIN
    made = Image.new("RGB", (width, height), TABLE)
    draw, font = ImageDraw.Draw(made), ImageFont.load_default(size=14)
    y, number, last = MARGIN, 0, ""
    for name, row in laid:
        number = number if name == last else 0
        draw.text((MARGIN, y), name if name != last else f"{name}, further pages", fill=PAPER, font=font)
        x, tall, last = MARGIN, max(image.height for image in row), name
        for image in row:
            number += 1
            made.paste(image, (x, y + LABEL))
            draw.text((x, y + LABEL + tall), str(number), fill=PAPER, font=font)
            x += image.width + MARGIN
        y += tall + 2 * LABEL + MARGIN
    return made


def main(arguments: list[str] | None = None) -> int:
    """Write the contact sheet of a kit; exit code 2 when the folder holds no PDF."""
    parser = argparse.ArgumentParser(description="One picture of all pages of a kit.")
    parser.add_argument("kit", type=Path, help="the kit's folder")
    parser.add_argument("--out", type=Path, required=True, help="the picture to write (.png)")
    parser.add_argument("--dpi", type=float, default=45.0, help="how large the pages are (45)")
    parser.add_argument("--gray", action="store_true", help="as a gray printer shows it")
    given = parser.parse_args(arguments)
    try:
        made = sheet(given.kit, given.dpi)
    except ValueError as error:
        print(f"contact_sheet: {error}", file=sys.stderr)
        return 2
    (made.convert("L") if given.gray else made).save(given.out)
    print(f"{given.out}: {made.width} x {made.height} pixels")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
