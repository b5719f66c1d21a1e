"""The answer command: a question, a file of comments, drafts to look through, or the report on the club's log."""

from __future__ import annotations

import os
import sys
from contextlib import AbstractContextManager, nullcontext
from datetime import date
from pathlib import Path
from typing import Any

import click

from handouts.cli import FINDINGS, _print_json, _today, cli, common
from handouts.errors import BadInput
from handouts.paths import folders

LENGTHS = ("brief", "standard", "spoken")
_PATH = click.Path(path_type=Path)


@cli.command()
@click.argument("question", required=False)
@click.option("--place", help="The asker's place.")
@click.option("--date", "day", metavar="DATE", help="The day the answer is for (YYYY-MM-DD).")
@click.option("--length", type=click.Choice(LENGTHS), help="How long: standard, of drafts brief, if not said.")
@click.option("--from", "source", type=_PATH, help="Many questions: JSON lines, or CSV.")
@click.option("--to", "target", type=_PATH, help="Where their answers go, or the final file of drafts.")
@click.option("--drafts", type=_PATH, help="With --from: write drafts to look through. With --to: finish them.")
@click.option("--report", is_flag=True, help="Say what the club's log of questions shows.")
@click.option("--strict", is_flag=True, help="Exit 1 when a question has no answer.")
@common
@click.pass_context
def answer(
    context: click.Context,
    question: str | None,
    place: str | None,
    day: str | None,
    length: str | None,
    source: Path | None,
    target: Path | None,
    drafts: Path | None,
    report: bool,
    strict: bool,
) -> None:
    """Answer QUESTION (or standard input with -) from the checked answers, or say that there is none.

    Many comments: --from COMMENTS --drafts DRAFTS, look DRAFTS through, --drafts DRAFTS --to FINAL.
    """
    given = {"QUESTION": question, "--from": source, "--to": target, "--drafts": drafts, "--report": report or None}
    form = tuple(name for name, value in given.items() if value is not None)
    where = folders(context.obj.get("content"), context.obj.get("club"))
    refused = 0
    if form == ("--report",):
        _report(context, where)
    elif form == ("--from", "--drafts") and source is not None and drafts is not None:
        refused = _draft(source, drafts, where, place, day, length or "brief")
    elif form == ("--to", "--drafts") and target is not None and drafts is not None:
        _finish(drafts, target, where, _today(context))
    elif form == ("--from", "--to") and source is not None and target is not None:
        refused = _many(context, source, target, where, place, day, length or "standard")
    elif form == ("QUESTION",) and question is not None:
        refused = _one(context, question, where, place, day, length or "standard")
    elif not form:
        raise BadInput("there is no question", remedy="Write it after the command, or - to read standard input.")
    else:
        raise BadInput(
            "these do not go together",
            found=" ".join(form),
            expected="a QUESTION, --from and --to, --from and --drafts, --drafts and --to, or --report",
        )
    if strict and refused:
        context.exit(FINDINGS)


def _one(context: click.Context, question: str, where: Any, place: str | None, day: str | None, length: str) -> int:
    # no plugin has a part in reading our records, and looking for some takes as long as the answer
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    from handouts.answer.kept import unwatched

    with unwatched():
        from handouts.desk import Desk, answer_text

        desk, stream = Desk(where, keep=True), sys.stdin.buffer if question == "-" else None
        reply, text = answer_text(question, stream, desk, place=place, length=length, day=day)
    _print_json(reply.to_json()) if context.obj.get("as_json") else click.echo(reply.answer)
    with _log(desk, _today(context)) as log:
        if log is not None:
            log.reply(text, reply)
    return not reply.answered


def _many(
    context: click.Context, source: Path, target: Path, where: Any, place: str | None, day: str | None, length: str
) -> int:
    from handouts.desk import Desk, answer_file

    desk = Desk(where)
    with _log(desk, _today(context)) as log:
        note = log.reply if log is not None else None
        counts = answer_file(source, target, desk, place=place, length=length, day=day, note=note)
    click.echo(f"{counts.answered} answered, {counts.refused} without an answer", err=True)
    return counts.refused


def _draft(source: Path, drafts: Path, where: Any, place: str | None, day: str | None, length: str) -> int:
    from handouts.desk import Desk, read_day, read_length
    from handouts.routine.drafts import write_drafts

    when, wanted = read_day(day, "--date"), read_length(length)
    counts = write_drafts(Desk(where), source, drafts, place=place, length=wanted, day=when)
    click.echo(f"{counts.answered} drafts with an answer, {counts.refused} without", err=True)
    click.echo(f"In {drafts}, write accept, edit or skip in the column decision; change what you edit.", err=True)
    return counts.refused


def _finish(drafts: Path, target: Path, where: Any, today: date) -> None:
    from handouts.desk import Desk
    from handouts.routine.review import write_final

    desk = Desk(where)
    with _log(desk, today) as log:
        counts = write_final(desk, drafts, target, log)
    click.echo(
        f"{counts.accepted} accepted, {counts.edited} edited, {counts.skipped} skipped, {counts.undecided} not decided",
        err=True,
    )
    for line in counts.added:
        click.echo(f"line {line}: a caution was missing and stands at the end again", err=True)


def _report(context: click.Context, where: Any) -> None:
    from handouts import build
    from handouts.answer.base import load_base
    from handouts.routine import report as reports

    base = load_base(build.library(where))
    found = reports.make_report(where.club, base)
    if context.obj.get("as_json"):
        _print_json(reports.as_json(found, base))
    else:
        click.echo(reports.page(found, base))


def _log(desk: Any, today: date) -> AbstractContextManager[Any]:
    """Return the club's log, opened when entered; a club that keeps none gets none."""
    if desk.where.club is None:
        return nullcontext()
    from handouts.routine.log import Log, log_folder

    folder = log_folder(desk.where.club)
    return Log(folder, today, desk.base.vocabulary) if folder is not None else nullcontext()
