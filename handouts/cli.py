"""The command line: arguments in, one call of `build`, text and an exit code out.

0 done; 1 findings that stop what was asked (or, with --strict, an abstention); 2 bad input or usage.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import click

from handouts import __version__
from handouts.errors import BadInput, HandoutsError, Stopped

DONE, FINDINGS, BAD = 0, 1, 2
PAPERS = ("letter", "a4", "tabloid", "a3")


def common(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options that every command takes, before or after its name."""
    for option in (
        click.option("--json", "as_json", is_flag=True, expose_value=False, callback=_keep, help="Print JSON."),
        click.option(
            "--today",
            metavar="DATE",
            expose_value=False,
            callback=_keep,
            help="The day findings are made for (YYYY-MM-DD).",
        ),
        click.option(
            "--club",
            type=click.Path(path_type=Path),
            expose_value=False,
            callback=_keep,
            help="The club's folder (holds club.yml).",
        ),
        click.option(
            "--content",
            type=click.Path(path_type=Path),
            expose_value=False,
            callback=_keep,
            help="Another content folder than the shipped one.",
        ),
    ):
        command = option(command)
    return command


def _keep(context: click.Context, option: click.Parameter, value: Any) -> Any:
    """Keep a common option where it was given; one given after the command wins."""
    settings = context.ensure_object(dict)
    if value not in (None, False):
        settings[option.name] = value
    return value


def _folders(context: click.Context, near: Path | None = None) -> Any:
    from handouts import build

    return build.folders(context.obj.get("content"), context.obj.get("club"), near)


def _today(context: click.Context) -> date:
    text = context.obj.get("today")
    if text is None:
        return date.today()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadInput("--today is no day", found=text, expected="YYYY-MM-DD") from None


def _print_json(data: Any) -> None:
    click.echo(json.dumps(data, indent=1, ensure_ascii=False, default=str))


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="handouts")
@common
@click.pass_context
def cli(context: click.Context) -> None:
    """Workshop kits, answers and calendar posters for the volunteer garden educator.

    Every figure says how it is known and is right for the place.
    """
    context.ensure_object(dict)


@cli.command()
@click.argument("event", type=click.Path(path_type=Path))
@click.option("--place", help="Make the kit for another place than the event's.")
@click.option("--out", required=True, type=click.Path(path_type=Path), help="The folder to write to.")
@common
@click.pass_context
def kit(context: click.Context, event: Path, place: str | None, out: Path) -> None:
    """Make all documents of the workshop in EVENT (a YAML file) and kit.json."""
    from handouts import build

    made = build.kit(event, out, _folders(context, event.parent), place, _today(context))
    if context.obj.get("as_json"):
        _print_json(made.manifest)
    else:
        for path in made.files:
            click.echo(path)
    for note in made.notes:
        click.echo(note, err=True)


@cli.command()
@click.argument("kind")
@click.argument("topic", required=False)
@click.option("--place", required=True, help="A file, a name in the club's places, or zone=6a,lat=…")
@click.option("--species", multiple=True, help="Another species than the topic's own.")
@click.option("--paper", type=click.Choice(PAPERS), help="The sheet.")
@click.option("--units", type=click.Choice(["us", "metric"]), help="The reader's units.")
@click.option("--year", type=click.IntRange(1950, 2100), help="The year of the dates.")
@click.option("--register", type=click.Path(path_type=Path), help="Fill date tags or a log in from this register.")
@click.option("--out", required=True, type=click.Path(path_type=Path), help="The file: .pdf, .html, .txt or .ics.")
@common
@click.pass_context
def make(
    context: click.Context,
    kind: str,
    topic: str | None,
    place: str,
    species: tuple[str, ...],
    paper: str | None,
    units: str | None,
    year: int | None,
    register: Path | None,
    out: Path,
) -> None:
    """Make one document of KIND on TOPIC: handout, talk-notes, faq-sheet, poster, calendar, claims, or a form such as
    date-tags. An unknown kind is answered with all of them.
    """
    from handouts import build
    from handouts.cli_shelf import fill_in

    if register is not None:
        fill_in(context, kind, register, out, place, species, paper, units)
        _print_json({"file": str(out)}) if context.obj.get("as_json") else click.echo(out)
        return
    made = build.make(kind, topic, place, out, _folders(context), species=species, paper=paper, units=units, year=year)
    if context.obj.get("as_json"):
        _print_json({"file": str(made)})
    else:
        click.echo(made)


@cli.command()
@common
@click.pass_context
def check(context: click.Context) -> None:
    """Hold every fact against its references and every text against its rules; print all findings."""
    from handouts.check import check_all
    from handouts.load import load_library

    where = _folders(context)
    findings = check_all(load_library(where.content, where.club), _today(context))
    _report(context, findings, "the content")


@cli.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@common
@click.pass_context
def inspect(context: click.Context, files: tuple[Path, ...]) -> None:
    """Hold finished FILES against the promises every document makes; print all findings."""
    from handouts import build

    _report(context, build.inspect(files, _folders(context)), "the files")


def _report(context: click.Context, findings: list[Any], what: str) -> None:
    errors = sum(finding.level == "error" for finding in findings)
    if context.obj.get("as_json"):
        _print_json([finding.to_json() for finding in findings])
    else:
        for finding in findings:
            click.echo(str(finding))
        click.echo(f"{errors} errors, {len(findings) - errors} warnings in {what}", err=True)
    if errors:
        context.exit(FINDINGS)


@cli.command()
@click.argument("place")
@click.option("--year", type=click.IntRange(1950, 2100), help="The year of the dates.")
@common
@click.pass_context
def place(context: click.Context, place: str, year: int | None) -> None:
    """Say what is known of PLACE, how, and what may not be said."""
    from handouts import build, show

    where = _folders(context)
    loaded = build.library(where)
    known = build.known_place(place, Path.cwd(), where)
    found = build.place_profile(known, where, year or build.default_year(loaded))
    _print_json(found.to_json()) if context.obj.get("as_json") else click.echo(show.place_page(found))


@cli.command()
@click.option("--place", help="A file, a name in the club's places, or zone=6a,lat=…")
@click.option("--species", multiple=True, help="A species id; more than one may be given.")
@click.option("--year", type=click.IntRange(1950, 2100), help="The year of the dates.")
@click.option("--from", "source", type=click.Path(path_type=Path), help="Many places: CSV, columns as place keys.")
@click.option("--to", "target", type=click.Path(path_type=Path), help="Where their seasons go: .csv or .jsonl.")
@common
@click.pass_context
def season(
    context: click.Context,
    place: str | None,
    species: tuple[str, ...],
    year: int | None,
    source: Path | None,
    target: Path | None,
) -> None:
    """Say when a species does what at a place, or at many, each window with its basis."""
    from handouts import build, show

    where = _folders(context)
    if source is not None and target is not None and place is None:
        _many_seasons(source, target, where, species, year)
        return
    if place is None or source is not None or target is not None:
        raise BadInput("give either --place, or --from and --to", remedy="See handouts season --help.")
    found = build.seasons(where, place, species, year)
    if context.obj.get("as_json"):
        _print_json([item.to_json() for item in found] if len(found) > 1 else found[0].to_json())
    else:
        click.echo("\n\n".join(show.season_page(item) for item in found))


def _many_seasons(source: Path, target: Path, where: Any, species: tuple[str, ...], year: int | None) -> None:
    """Work through a file of places; the bar is drawn only on a terminal, refused rows are named."""
    from handouts import batch

    with click.progressbar(length=1, label="places", file=sys.stderr, hidden=not sys.stderr.isatty()) as bar:

        def progress(done: int, total: int) -> None:
            bar.length = total
            bar.update(done - bar.pos)

        counts = batch.seasons_file(source, target, where, species, year, progress)
    for _, problem in counts.refused[:20]:
        click.echo(f"refused: {problem}", err=True)
    if len(counts.refused) > 20:
        click.echo(f"refused: {len(counts.refused) - 20} more, each with its line in {target}", err=True)
    places = "place" if counts.done == 1 else "places"
    click.echo(f"{counts.done} {places} done, {len(counts.refused)} refused", err=True)


@cli.command()
@click.argument("name", required=False)
@click.option("--used-by", type=click.Path(path_type=Path), help="The facts a finished file or a kit shows.")
@click.option("--uses", metavar="ID", help="The texts that name a fact.")
@common
@click.pass_context
def facts(context: click.Context, name: str | None, used_by: Path | None, uses: str | None) -> None:
    """Look up a fact, a subject or all of them: what is said, how it is known, where it is used."""
    from handouts import build, show, trace

    loaded = build.library(_folders(context))
    if used_by is not None:
        found = trace.used_by(used_by, loaded)
    elif uses is not None:
        found = trace.uses(uses, loaded)
    else:
        found = trace.look_up(name, loaded)
    _print_json(found) if context.obj.get("as_json") else click.echo(show.facts_page(found))


@cli.command()
@common
@click.pass_context
def doctor(context: click.Context) -> None:
    """Say what is installed, what is missing, and the line that mends it."""
    from handouts.doctor import examine

    found = examine()
    if context.obj.get("as_json"):
        _print_json(found)
    else:
        for item in found:
            state = "ok     " if item["ok"] else "MISSING"
            click.echo(f"{state}  {item['name']}: {item['found']}")
            if not item["ok"]:
                click.echo(f"         needed for {item['needed_for']}; mend with: {item['mend']}")


def main() -> None:
    """Run the command line; every refusal is one message on standard error and exit code 2."""
    try:
        code = cli.main(standalone_mode=False, obj={})
        sys.exit(code if isinstance(code, int) else DONE)
    except Stopped as error:
        click.echo(f"handouts: {error}", err=True)
        sys.exit(FINDINGS)
    except HandoutsError as error:
        click.echo(f"handouts: {error}", err=True)
        sys.exit(BAD)
    except click.ClickException as error:
        error.show()
        sys.exit(BAD)
    except (click.Abort, KeyboardInterrupt):
        click.echo("handouts: stopped", err=True)
        sys.exit(130)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(DONE)


import handouts.cli_answer  # noqa: E402  (adds answer)
import handouts.cli_editions  # noqa: E402  (adds editions, approve, withdraw, enter, recall, report)
import handouts.cli_shelf  # noqa: E402, F401  (adds shelf, outlook, store, food)
