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
        raise BadInput(f"{option.opts[0]} is no day", found=text, expected="YYYY-MM-DD") from None


def _day_option(*names: str) -> Callable[..., Any]:
    """An option that takes a day; the last of its words is its help."""
    return click.option(*names[:-1], metavar="DATE", callback=_day, help=names[-1])


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
        self, context: click.Context, place: str | None, units: str | None, year: int | None, near: Path | None = None
    ) -> None:
        from handouts import build
        from handouts.season.profile import Profile
        from handouts.shelf.outlook import Ground
        from handouts.shelf.words import read_words

        self.context = context
        self.where = _folders(context, near)
        if self.where.club is None:  # a log may come from anywhere; the club is then the one worked in
            self.where = _folders(context)
        self.library = build.library(self.where)
        club = self.library.club
        name = place or (club.place if club else None)
        known = build.known_place(name, Path.cwd(), self.where) if name else None
        self.year = year or build.default_year(self.library)
        if known is not None:
            profile = build.place_profile(known, self.where, self.year)
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
        found = given or self.club_register()
        if found is None:
            club = self.where.club
            raise BadInput(
                "there is no register",
                file=club / REGISTER if club else REGISTER,
                expected="number,species,formed,kept,moved,opened,lost,notes",
                remedy="Name one with --register, or start it with this line in the club's folder.",
            )
        return found

    def club_register(self) -> Path | None:
        """The register in the club's folder, if there is one."""
        path = self.where.club / REGISTER if self.where.club is not None else None
        return path if path is not None and path.is_file() else None

    def show(self, answer: Any, out: Path | None) -> None:
        """Print the page or its data, or write the page to a file."""
        if out is not None:
            self.write(answer.page if out.suffix.lower() == ".txt" else answer.paper or answer.page, out)
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

    def write_form(self, kind: str, register: Any, out: Path, paper: str | None = None) -> None:
        """Write a form filled in from a register. Raises BadInput."""
        from handouts import build
        from handouts.compose.kinds import FORMATS as FORMATS_OF
        from handouts.shelf import forms

        if out.suffix.lower() not in FORMATS_OF.get(kind, ()):
            found = out.suffix or "no ending"
            expected = " or ".join(FORMATS_OF.get(kind, ())) or "another kind of document"
            raise BadInput(f"a {kind} is not made like this", file=out, found=found, expected=expected)
        theme = self.library.club.theme if self.library.club else None
        sheet = forms.filled(self.ground, register, kind, self.system, paper or (theme and theme.paper) or "letter")
        build.stop_on_errors(self.library, [sheet], None)
        self.write(sheet, out)

    def rendered(self, page: Any, suffix: str) -> bytes:
        from handouts.render import load_assets, render

        words = self.library.all_words()
        marks = {name: (entry["mark"], entry["name"]) for name, entry in words.marks.items()}
        theme = self.library.club.theme if self.library.club else None
        assets = load_assets(marks, words.labels, ink=theme.ink if theme else None, tint=theme.tint if theme else None)
        return render(page, suffix, assets).data


def fill_in(
    context: click.Context,
    kind: str,
    register: Path,
    out: Path,
    place: str,
    species: tuple[str, ...],
    paper: str | None,
    units: str | None,
) -> None:
    """Make a form of `kind` filled in from a register; rows that cannot be read are named on standard error."""
    from handouts.shelf import register as records

    at = _Desk(context, place, units, None, register.parent)
    read = records.read(at.register_path(register), at.library)
    wanted = {at.species(name) for name in species}
    at.write_form(kind, read.only(wanted) if wanted else read, out, paper)
    for problem in read.problems:
        click.echo(f"{register}:{problem.line}: {problem.says}; found {problem.found}", err=True)


@cli.command()
@click.option("--register", type=click.Path(path_type=Path), help="The register; else register.csv of the club.")
@click.option("--tidy", type=click.Path(path_type=Path), help="Also write a clean copy of the register here.")
@click.option("--tags", type=click.Path(path_type=Path), help="Also write date tags, filled in: .pdf or .html.")
@click.option("--sheets", type=click.Path(path_type=Path), help="Also write winter logs, one a place: .pdf or .html.")
@click.option("--strict", is_flag=True, help="Exit 1 when a row could not be read.")
@page_options
@common
@click.pass_context
def shelf(
    context: click.Context,
    register: Path | None,
    tidy: Path | None,
    tags: Path | None,
    sheets: Path | None,
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
    for kind, target in (("date-tags", tags), ("winter-log", sheets)):
        if target is not None:
            at.write_form(kind, read, target)
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

    today = _today(context) if context.obj.get("today") else None
    year = (formed or today or date.today()).year
    at = _Desk(context, place, units, year, register.parent if register else None)
    if formed is None and register is None:
        register = at.club_register()
        if register is None:
            raise BadInput(
                "there is no day to look from",
                expected=f"--formed YYYY-MM-DD, --register FILE, or {REGISTER} in the club's folder",
            )
    read = records.read(register, at.library, today) if register is not None else None
    if formed is None and read is not None:
        answer = desk.outlooks_answer(at.ground, read, at.species(species), at.system)
    else:
        assert formed is not None
        answer = desk.outlook_answer(at.ground, at.species(species), formed, kept, at.system, today, read)
    at.show(answer, out)


@cli.command()
@click.argument("log", required=False, type=click.Path(path_type=Path))
@click.option("--unit", type=click.Choice(["F", "C"]), help="The log's unit, where its header does not say it.")
@click.option("--species", help="The species; the black swallowtail when left out.")
@click.option("--kept", default="", help="Where the log was kept, in your own words.")
@_day_option("--from", "first", "Count from this day on.")
@_day_option("--to", "last", "Count up to this day.")
@click.option("--plot", type=click.Path(path_type=Path), help="Also write the drawing here (.svg).")
@page_options
@common
@click.pass_context
def store(
    context: click.Context,
    log: Path | None,
    unit: str | None,
    species: str | None,
    kept: str,
    first: date | None,
    last: date | None,
    plot: Path | None,
    place: str | None,
    units: str | None,
    out: Path | None,
) -> None:
    """Judge the temperature LOG of a winter store: heat, cold, thaws, swings; without one, print a checklist."""
    from handouts.files import write_together
    from handouts.place.table import Unit
    from handouts.shelf import desk
    from handouts.shelf import log as logs

    if first is not None and last is not None and first > last:
        raise BadInput("--from lies after --to", found=f"{first} and {last}")
    if plot is not None and (log is None or plot.suffix.lower() != ".svg"):
        raise BadInput("--plot needs a log and a file that ends in .svg", file=plot)
    # A long log can span many years; the place's own windows are worked out for each.
    read = logs.read(log, Unit(unit) if unit else None) if log is not None else None
    year = read.days[-1].day.year if read is not None else date.today().year
    at = _Desk(context, place, units, year, log.parent if log else None)
    if read is None:
        answer = desk.checklist_answer(at.ground, at.species(species), year, at.system)
    else:
        answer = desk.store_answer(at.ground, read, at.species(species), kept, at.system, first, last)
    if plot is not None:
        write_together({plot: desk.drawing(answer.page).encode()})
    at.show(answer, out)


@cli.command()
@click.option("--caterpillars", required=True, type=click.IntRange(1, 100_000), help="How many feed at one time.")
@click.option("--plant", multiple=True, help="A plant id; more than one may be given.")
@click.option("--per-plant", type=click.FloatRange(0.1, 100), help="Caterpillars to a plant, from your own experience.")
@click.option("--species", help="The species; the black swallowtail when left out.")
@click.option("--year", type=click.IntRange(1950, 2100), help="The year of the dates.")
@page_options
@common
@click.pass_context
def food(
    context: click.Context,
    caterpillars: int,
    plant: tuple[str, ...],
    per_plant: float | None,
    species: str | None,
    year: int | None,
    place: str | None,
    units: str | None,
    out: Path | None,
) -> None:
    """Say how many plants some caterpillars need, when to sow them, and when a failed sowing is felt."""
    from handouts.shelf import desk

    at = _Desk(context, place, units, year)
    answer = desk.food_answer(at.ground, caterpillars, at.species(species), at.year, at.system, plant, per_plant)
    at.show(answer, out)
