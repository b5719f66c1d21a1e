"""The shelf's commands (shelf, outlook, store, food): arguments in, one call of its desk, a page or JSON out."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

import click

from handouts.cli import FINDINGS, _folders, _print_json, _today, cli, common
from handouts.errors import BadInput

REGISTER = "register.csv"
FORMATS = (".txt", ".html", ".pdf")


def _day(context: click.Context, option: click.Parameter, text: str | None) -> date | None:
    """Read an option's day. Raises BadInput."""
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadInput(f"--{option.name} is no day", found=text, expected="YYYY-MM-DD") from None


def _day_option(name: str, says: str) -> Callable[..., Any]:
    return click.option(name, metavar="DATE", callback=_day, help=says)


def page_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add what all four commands take: the place, the reader's units, a file to write to."""
    for option in (
        click.option("--place", help="A file, a name in the club's places, or zone=6a,lat=…"),
        click.option("--units", type=click.Choice(["us", "metric"]), help="The reader's units."),
        click.option("--out", type=click.Path(path_type=Path), help="Write the page: .txt, .html or .pdf."),
    ):
        command = option(command)
    return command


class _Desk:
    """What a command works with: the records, the place, the words, the reader's units."""

    def __init__(
        self, context: click.Context, place: str | None, units: str | None, year: int, near: Path | None = None
    ) -> None:
        from handouts import build
        from handouts.season.profile import Profile
        from handouts.shelf.outlook import Ground
        from handouts.shelf.words import read_words

        self.context = context
        self.where = _folders(context, near)
        self.library = build.library(self.where)
        club = self.library.club
        name = place or (club.place if club else None)
        known = build.known_place(name, Path.cwd(), self.where) if name else None
        if known is not None:
            profile = build.place_profile(known, self.where, year)
        else:
            profile = Profile(None, None, None, None, None, False, {}, {}, ())
        self.system: Any = units or (known.units if known else None) or (club.units if club else None) or "us"
        self.ground = Ground(self.library, read_words(self.library), profile, partial(build.season_of, self.library))

    def species(self, text: str | None) -> str:
        from handouts import build
        from handouts.shelf.desk import species_id

        return species_id(self.ground, text) if text else build.DEFAULT_SPECIES

    def register_path(self, given: Path | None) -> Path:
        """The register named, else the one in the club's folder. Raises BadInput when there is none."""
        if given is not None:
            return given
        club = self.where.club
        if club is None or not (club / REGISTER).is_file():
            raise BadInput(
                "there is no register",
                file=club / REGISTER if club else REGISTER,
                expected="number,species,formed,kept,moved,opened,lost,notes",
                remedy="Name one with --register, or start it with this line in the club's folder.",
            )
        return Path(club) / REGISTER

    def show(self, answer: Any, out: Path | None) -> None:
        """Print the page or its data, or write the page to a file."""
        if out is not None:
            self.write(answer.page, out)
        if self.context.obj.get("as_json"):
            _print_json(answer.data)
        elif out is not None:
            click.echo(out)
        else:
            click.echo(self.rendered(answer.page, ".txt").decode(), nl=False)

    def write(self, page: Any, out: Path) -> None:
        from handouts.files import write_together

        if out.suffix.lower() not in FORMATS:
            raise BadInput(
                f"a page is not made as {out.suffix or 'a file without an ending'}",
                file=out,
                expected=" or ".join(FORMATS),
            )
        write_together({out: self.rendered(page, out.suffix.lower())})

    def rendered(self, page: Any, suffix: str) -> bytes:
        from handouts.render import load_assets, render

        words = self.library.all_words()
        marks = {name: (entry["mark"], entry["name"]) for name, entry in words.marks.items()}
        theme = self.library.club.theme if self.library.club else None
        assets = load_assets(marks, words.labels, ink=theme.ink if theme else None, tint=theme.tint if theme else None)
        return render(page, suffix, assets).data


@cli.command()
@click.option("--register", type=click.Path(path_type=Path), help="The register; else register.csv of the club.")
@click.option("--tidy", type=click.Path(path_type=Path), help="Also write a clean copy of the register here.")
@click.option("--strict", is_flag=True, help="Exit 1 when a row could not be read.")
@page_options
@common
@click.pass_context
def shelf(
    context: click.Context,
    register: Path | None,
    tidy: Path | None,
    strict: bool,
    place: str | None,
    units: str | None,
    out: Path | None,
) -> None:
    """Say what is on the shelf: what is due, what waits for spring, what enters a second winter, your own times."""
    from handouts.files import write_together
    from handouts.shelf import desk
    from handouts.shelf import register as records

    today = _today(context)
    at = _Desk(context, place, units, today.year, register.parent if register else None)
    read = records.read(at.register_path(register), at.library, today)
    answer = desk.shelf_answer(at.ground, read, today, at.species(None), at.system)
    if tidy is not None:
        write_together({tidy: records.tidied(read).encode()})
    at.show(answer, out)
    if strict and read.errors:
        context.exit(FINDINGS)


@cli.command()
@_day_option("--formed", "The day the chrysalis formed (YYYY-MM-DD).")
@click.option("--species", help="The species; the black swallowtail when left out.")
@click.option("--kept", default="", help="Where it is kept, in your own words.")
@click.option("--register", type=click.Path(path_type=Path), help="A register: your own records, or all of its rows.")
@page_options
@common
@click.pass_context
def outlook(
    context: click.Context,
    formed: date | None,
    species: str | None,
    kept: str,
    register: Path | None,
    place: str | None,
    units: str | None,
    out: Path | None,
) -> None:
    """Say how likely a chrysalis opens this year or waits, and when to look; without --formed for a whole register."""
    from handouts.shelf import desk
    from handouts.shelf import register as records

    if formed is None and register is None:
        raise BadInput("there is no day to look from", expected="--formed YYYY-MM-DD, or --register FILE")
    today = _today(context) if context.obj.get("today") else None
    year = (formed or today or date.today()).year
    at = _Desk(context, place, units, year, register.parent if register else None)
    read = records.read(register, at.library, today) if register is not None else None
    if formed is None and read is not None:
        answer = desk.outlooks_answer(at.ground, read, at.species(species), at.system)
    else:
        assert formed is not None
        answer = desk.outlook_answer(at.ground, at.species(species), formed, kept, at.system, today, read)
    at.show(answer, out)
