"""The commands of editions (editions, approve, withdraw, enter, recall, report): arguments in, a list or files out."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import click

from handouts.cli import FINDINGS, _folders, _print_json, _today, cli, common
from handouts.errors import BadInput, Stopped

NOTICE = ("correction-notice.pdf", "correction-notice.html")
COMMENT, WEB_PAGE = "correction-comment.txt", "corrections.html"


def _day(context: click.Context, text: str | None) -> date:
    """Return the day of --date, else today. Raises BadInput."""
    if text is None:
        return _today(context)
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadInput("--date is no day", found=text, expected="YYYY-MM-DD") from None


def _record(model: Any, **given: Any) -> Any:
    """Type what stood on the command line. Raises BadInput naming the option."""
    from pydantic import ValidationError

    try:
        return model(**given)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        name = str(first["loc"][0]) if first["loc"] else ""
        message = str(first["msg"]).removeprefix("Value error, ")
        raise BadInput(f"--{name}: {message}", found=str(given.get(name, ""))) from None


def _today_of(library: Any, where: Any) -> Any:
    from handouts import build
    from handouts.editions.current import Today

    return Today(
        library,
        lambda known, year: build.place_profile(known, where, year),
        lambda profile: build.season_of(library, profile),
    )


@cli.command()
@common
@click.pass_context
def editions(context: click.Context) -> None:
    """List what the club has given out: editions with their status, and videos, sheets and posts from outside."""
    from handouts.editions import approve as status
    from handouts.editions import record

    found = record.read_all(record.need_folder(_folders(context).club))
    if context.obj.get("as_json"):
        _print_json(status.listing(found))
        return
    for one in found.editions:
        where = f", {one.place}" if one.place else ""
        signed = f" by {one.approved.name}" if one.status == "approved" and one.approved else ""
        click.echo(f"{one.id}  {one.status}{signed}  {one.date}  {one.kind}: {one.title}{where}")
    for entry in found.outside:
        click.echo(f"{entry.id}  {entry.kind}  {entry.date}  {entry.title}")
    click.echo(f"{len(found.editions)} editions, {len(found.outside)} from outside", err=True)


@cli.command()
@click.argument("edition", nargs=-1, required=True)
@click.option("--name", required=True, help="Who approves it.")
@click.option("--role", required=True, help="As what: for example Extension educator.")
@click.option("--date", "day", metavar="DATE", help="The day of the approval (YYYY-MM-DD); today when left out.")
@common
@click.pass_context
def approve(context: click.Context, edition: tuple[str, ...], name: str, role: str, day: str | None) -> None:
    """Approve each EDITION (the id at the foot of a sheet, or a kit.json for all of a kit)."""
    from handouts import build
    from handouts.editions import approve as status
    from handouts.editions import record
    from handouts.editions.recall import recall as look
    from handouts.files import write_together

    where = _folders(context)
    folder = record.need_folder(where.club)
    signed = _record(record.Approval, name=name, role=role, date=_day(context, day))
    done, files = status.approve(folder, edition, signed)
    library = build.library(where)
    stale = look(record.Records(folder, tuple(done), ()), _today_of(library, where)).affected
    if stale:
        first = stale[0].changes[0]
        raise Stopped(
            f"the edition {stale[0].item.id} states something that has changed since it was made",
            found=first.label,
            remedy="Make the kit again and approve the new edition.",
        )
    write_together(files)
    _say_done(context, done, "approved", "Make the kit again: its sheets then say who approved them.")


@cli.command()
@click.argument("edition", nargs=-1, required=True)
@click.option("--why", required=True, help="Why it must no longer be handed out.")
@click.option("--date", "day", metavar="DATE", help="Since when (YYYY-MM-DD); today when left out.")
@common
@click.pass_context
def withdraw(context: click.Context, edition: tuple[str, ...], why: str, day: str | None) -> None:
    """Withdraw each EDITION (the id at the foot of a sheet, or a kit.json): it must no longer be handed out."""
    from handouts.editions import approve as status
    from handouts.editions import record
    from handouts.files import write_together

    folder = record.need_folder(_folders(context).club)
    done, files = status.withdraw(folder, edition, _record(record.Withdrawal, why=why, date=_day(context, day)))
    write_together(files)
    _say_done(context, done, "withdrawn", "Collect what is left of it.")


def _say_done(context: click.Context, done: list[Any], word: str, then: str) -> None:
    if context.obj.get("as_json"):
        _print_json([{"id": one.id, "status": one.status, "file": str(one.origin)} for one in done])
        return
    for one in done:
        click.echo(f"{one.id}  {word}  {one.kind}: {one.title}")
    click.echo(then, err=True)


@cli.command()
@click.argument("name")
@click.option("--title", required=True, help="Its title.")
@click.option("--kind", type=click.Choice(["video", "sheet", "post"]), required=True)
@click.option("--link", help="Where it can be found.")
@click.option("--date", "day", metavar="DATE", help="When it was made (YYYY-MM-DD); today when left out.")
@click.option(
    "--states",
    "facts",
    multiple=True,
    required=True,
    metavar="FACT[=WORDS]",
    help="A fact it states: its id, and the words it used when they were others than ours.",
)
@common
@click.pass_context
def enter(
    context: click.Context,
    name: str,
    title: str,
    kind: str,
    link: str | None,
    day: str | None,
    facts: tuple[str, ...],
) -> None:
    """Enter a video, sheet or post from outside under NAME, so that `recall` looks after it too."""
    from handouts import build
    from handouts.editions.outside import new_entry
    from handouts.editions.record import need_folder
    from handouts.files import write_together

    where = _folders(context)
    folder = need_folder(where.club)
    library = build.library(where)
    entry = {"title": title, "kind": kind, "link": link, "date": _day(context, day)}
    path, data = new_entry(folder, name, entry, facts, _today_of(library, where))
    write_together({path: data})
    _print_json({"file": str(path)}) if context.obj.get("as_json") else click.echo(path)


@cli.command()
@click.option("--out", type=click.Path(path_type=Path), help="Also write the correction into this folder.")
@click.option("--strict", is_flag=True, help="Exit 1 when something given out has changed.")
@common
@click.pass_context
def recall(context: click.Context, out: Path | None, strict: bool) -> None:
    """Say which editions, sheets and videos state something that has changed since; --out writes the correction."""
    from handouts import build
    from handouts.editions import record
    from handouts.editions.recall import recall as look
    from handouts.files import check_folder, write_together

    where = _folders(context)
    folder = record.need_folder(where.club)
    if out is not None:
        check_folder(out)
    library = build.library(where)
    today = _today_of(library, where)
    found = look(record.read_all(folder), today)
    files = {} if out is None else _correction(library, today, found, out)
    write_together(files)
    if context.obj.get("as_json"):
        _print_json({**found.to_json(), "files": [str(path) for path in files]})
    else:
        _list(found)
        for path in files:
            click.echo(path)
    for note in found.notes:
        click.echo(note, err=True)
    counted = f"{found.editions} editions and {found.outside} from outside were looked through"
    said = f"{len(found.affected)} state something that has changed" if found.affected else "nothing has changed"
    click.echo(f"{counted}; {said}.", err=True)
    if strict and found.affected:
        context.exit(FINDINGS)


def _correction(library: Any, today: Any, found: Any, out: Path) -> dict[Path, bytes]:
    """Return the files of the correction; without a change a reader would see, only the page for the web."""
    from handouts import build
    from handouts.editions import pages
    from handouts.editions.words import read_words
    from handouts.render import render

    words, assets, setting = read_words(library), build.assets_of(library), today.setting()
    affected = pages.loud(found)
    files = {out / WEB_PAGE: render(pages.web_page(setting, words, affected), ".html", assets).data}
    if affected:
        notice = pages.notice(setting, words, affected)
        files.update({out / name: render(notice, Path(name).suffix, assets).data for name in NOTICE})
        comments = pages.comments(setting, words, affected)
        files[out / COMMENT] = b"\n\n".join(render(one, ".txt", assets).data for one in comments)
    return files


def _list(found: Any) -> None:
    """Print what is affected, a line each, with its changes below it."""
    from handouts.editions.recall import places_of

    for one in found.affected:
        item = one.item
        more = [item.date.isoformat()]
        if one.what == "edition":
            more = [f"{item.kind} {item.id}", item.status, *more, *([item.place] if item.place else [])]
        else:
            more = [f"{item.kind} {item.id}", *more, *([item.link] if item.link else [])]
        handed = places_of(item)
        click.echo(f"{item.title} ({', '.join((*more, *handed))})")
        for change in one.changes:
            if change.caution is not None:
                said = f'new caution "{change.caution}"'
            else:
                before, after = _days(change)
                now = f'now "{change.new}"{after}' if change.claim is not None else "no longer stated"
                said = f'was "{change.old or ""}"{before}, {now}'
            quiet = "; the words on the page stay the same" if change.same_words else ""
            text = f"  {change.label}: {said} ({', '.join(change.why)}{quiet})"
            click.echo(text.replace("\u00a0", " "))


def _days(change: Any) -> tuple[str, str]:
    """Return the days behind a window's words, where the words alone show no difference."""
    data = change.to_json()
    values = [data["old_value"], data["new_value"]]
    same = (data["old"] or "").replace("\u00a0", " ") == (data["new"] or "").replace("\u00a0", " ")
    if not same or not all(isinstance(value, dict) and {"low", "high"} <= set(value) for value in values):
        return "", ""
    before, after = (f" ({value['low']} to {value['high']})" for value in values)
    return (before, after) if before != after else ("", "")


@cli.command()
@click.argument("event", type=click.Path(path_type=Path))
@click.option("--hours", type=float, help="Volunteer hours at the workshop, all helpers together.")
@click.option("--travel", type=float, help="Hours of travel.")
@click.option("--preparation", type=float, help="Hours of preparation.")
@click.option("--contacts", type=int, help="People reached.")
@click.option(
    "--tallies",
    type=click.Path(path_type=Path),
    help="What was counted, as in after.yml; when left out, after.yml of the club's folder is read.",
)
@click.option("--append", type=click.Path(path_type=Path), help="Add the row to this CSV file.")
@click.option("--out", type=click.Path(path_type=Path), help="Write the one-page summary: .html or .pdf.")
@common
@click.pass_context
def report(
    context: click.Context,
    event: Path,
    hours: float | None,
    travel: float | None,
    preparation: float | None,
    contacts: int | None,
    tallies: Path | None,
    append: Path | None,
    out: Path | None,
) -> None:
    """Make the report row of the workshop in EVENT, and a one-page summary, from hours, people and tallies."""
    from handouts import build
    from handouts.editions import report as reports
    from handouts.editions.words import read_words
    from handouts.files import check_folder, write_together
    from handouts.load import read_record
    from handouts.model.event import EventFile

    if out is not None and out.suffix.lower() not in (".html", ".pdf"):
        raise BadInput("the summary is made as .html or .pdf", file=out, found=out.suffix or "no ending")
    for path in filter(None, (append, out)):
        check_folder(path.parent)
    where = _folders(context, event.parent)
    held = read_record(EventFile, event, "event file")
    library = build.library(where)
    source = tallies
    if source is None and where.club is not None and (where.club / reports.FILE).is_file():
        source = where.club / reports.FILE
    after = reports.read_after(source, held) if source is not None else reports.After()
    typed = {"hours": hours, "travel": travel, "preparation": preparation, "contacts": contacts}
    base = {key: value for key, value in after.model_dump(exclude={"tallies"}).items() if value not in (None, {})}
    base.update({key: value for key, value in typed.items() if value is not None})
    if not base.keys() & {"hours", "contacts", "groups"} and not after.tallies:
        raise BadInput(
            "nothing was counted",
            expected=f"--hours, --contacts or --tallies FILE, or {reports.FILE} in the club's folder",
        )
    after = _record(reports.After, **base).model_copy(update={"tallies": after.tallies})
    after = reports.named_items(library, held, after)
    known = build.event_place(held, event, where)
    made = reports.Report(held, known.name or "", after)
    files: dict[Path, bytes] = {}
    if append is not None:
        files[append] = reports.appended(append, made.row())
    pages = None
    if out is not None:
        from handouts.render import render

        page = reports.summary(_today_of(library, where).setting(), read_words(library), made)
        done = render(page, out.suffix.lower(), build.assets_of(library))
        files[out], pages = done.data, done.pages
    write_together(files)
    if context.obj.get("as_json"):
        _print_json({**reports.to_json(made), "files": [str(path) for path in files]})
    else:
        click.echo(reports.as_csv(made.row()), nl=False)
    for path in files:
        click.echo(f"Written: {path}", err=True)
    if pages is not None and pages > 1:
        click.echo(f"The summary takes {pages} pages; fewer tallies would make it one.", err=True)
