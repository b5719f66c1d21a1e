"""Notes for a video: an outline, points to speak with the figures behind each, words for the screen and the post."""

from __future__ import annotations

import math
from dataclasses import dataclass

from handouts.compose.carriers import classes_named
from handouts.compose.composer import Composer, words_of
from handouts.compose.finish import caution_slot, finish
from handouts.compose.kinds import shared
from handouts.compose.prose import NAME, plain
from handouts.errors import BadContent
from handouts.model.document import (
    Block,
    Const,
    Document,
    Figure,
    Heading,
    Items,
    Para,
    Run,
    Runs,
    Slot,
    Styled,
    Table,
    Text,
)
from handouts.model.plan_parts import Scene, Video
from handouts.model.records import Plan
from handouts.reading import words_in

# A pinned comment is read on a phone, its cautions with it.
COMMENT_WORDS = 90
# Spoken lengths are rounded up to so many seconds.
ROUND_TO = 5


@dataclass(frozen=True)
class Take:
    """One scene with its words resolved, its start and its spoken length in seconds."""

    scene: Scene
    title: Runs
    say: tuple[Runs, ...]
    screen: tuple[Runs, ...]
    show: tuple[Runs, ...]
    start: int
    seconds: int

    @property
    def clock(self) -> str:
        """When it starts, as minutes and seconds."""
        return clock(self.start)


def clock(seconds: int) -> str:
    """Write seconds as players do; the first sign is always a nought, so that no one reads a mixing ratio."""
    minutes, rest = divmod(seconds, 60)
    return f"{minutes:02}:{rest:02}" if minutes < 10 else f"{minutes // 60:02}:{minutes % 60:02}:{rest:02}"


def build(composer: Composer, plan: Plan) -> Document:
    """Compose the video notes of a plan. Raises NoSheet when it has none, BadContent when its comment is too long."""
    video = plan.video
    if video is None:
        raise shared.lacking(plan, "video-notes", "video")
    say = composer.library.say
    composer.subjects.update(dict.fromkeys([*plan.species, *plan.subjects]))
    message = shared.main_message(composer, plan)
    pace, pace_runs = _pace(composer, plan, video)
    takes = _takes(composer, plan, video, pace)
    length = takes[-1].start + takes[-1].seconds
    comment = _comment(composer, plan, video)
    description = composer.inline(video.description, plan.origin, video.line)
    gaps = shared.not_known(composer, plan)
    composer.constants.update(dict.fromkeys((*(take.clock for take in takes), clock(length))))
    scenes = [_scene(composer, take) for take in takes]
    spoken: tuple[Block, ...] = (message, *scenes, comment, gaps, Para(description))
    cautions = caution_slot(composer, spoken, plan.cautions)
    numbers = _numbers(composer)
    body: list[Block] = [message, _outline(composer, takes, length)]
    body.extend(_with_evidence(composer, scene, take, numbers) for scene, take in zip(scenes, takes, strict=True))
    body.extend((_description(composer, plan, description, takes), comment, gaps))
    subtitle: Runs = (
        Const("event", clock(length)),
        Text(f" {say('video-at')} "),
        *pace_runs,
        Text(". "),
        *shared.where(composer),
    )
    return finish(
        composer,
        kind="video-notes",
        topic=plan.id,
        title=video.title,
        subtitle=subtitle,
        body=tuple(body),
        cautions=cautions,
        plan=plan,
        listed=False,
    )


def _pace(composer: Composer, plan: Plan, video: Video) -> tuple[float, Runs]:
    """Return the words spoken in a minute, as a number and as it stands on the page."""
    runs = composer.inline(video.pace, plan.origin, video.line)
    fact = composer.library.fact(video.pace.strip("{}"), plan.origin, video.line)
    span = fact.preferred.span
    low, high = span.ends if span is not None else (None, None)
    if low is None or high is None or low <= 0:
        raise BadContent("the pace is no number of words a minute", file=plan.origin, line=video.line, found=video.pace)
    return (low + high) / 2, runs


def _takes(composer: Composer, plan: Plan, video: Video, pace: float) -> list[Take]:
    """Resolve the scenes and time them by their spoken words."""
    takes: list[Take] = []
    start = 0
    for scene in video.scenes:
        title, *rest = (
            composer.inline(text, plan.origin, scene.line)
            for text in (scene.title, *scene.say, *scene.screen, *scene.show)
        )
        say, screen = rest[: len(scene.say)], rest[len(scene.say) : len(scene.say) + len(scene.screen)]
        show = rest[len(scene.say) + len(scene.screen) :]
        words = sum(len(words_in(plain(runs))) for runs in say)
        seconds = max(ROUND_TO, math.ceil(words / pace * 60 / ROUND_TO) * ROUND_TO)
        takes.append(Take(scene, title, tuple(say), tuple(screen), tuple(show), start, seconds))
        start += seconds
    return takes


def _outline(composer: Composer, takes: list[Take], length: int) -> Slot:
    say = composer.library.say
    rows: list[tuple[Runs, ...]] = []
    for take in takes:
        lasts = clock(take.seconds)
        composer.constants[lasts] = None
        rows.append((take.title, (Const("event", take.clock),), (Const("event", lasts),)))
    rows.append(((Text(say("video-end")),), (Const("event", clock(length)),), (Text("\u2013"),)))
    head = (say("video-scene"), say("video-from"), say("video-lasts"))
    return Slot("outline", (Table(say("outline"), head, tuple(rows), "outline"),), (Text(say("outline")),))


def _scene(composer: Composer, take: Take) -> Slot:
    say = composer.library.say
    blocks: list[Block] = []
    for role, name, lines in (
        ("say", "say", take.say),
        ("screen", "on-screen", take.screen),
        ("show", "show", take.show),
    ):
        if lines:
            blocks.extend((Heading(3, (Text(say(name)),)), Items(lines, role=role)))
    head: Runs = (*take.title, Text(" \u2013 "), Const("event", take.clock))
    return Slot("scene", tuple(blocks), head)


def _with_evidence(composer: Composer, scene: Slot, take: Take, numbers: dict[str, int]) -> Slot:
    """Put behind a scene's points the figures spoken in them, each with how it is known and its sources by number."""
    library = composer.library
    say = library.say
    rows: list[tuple[Runs, ...]] = []
    for figure in dict.fromkeys(run for runs in take.say for run in _figures(runs)):
        claim = composer.claims[figure.claim]
        basis = library.all_words().marks.get(claim.basis, {}).get("name", claim.basis.replace("-", " "))
        how = composer.const(f"{basis} ({claim.proxy})" if claim.proxy else basis, "name")
        found = dict.fromkeys(numbers[name] for name in _sources(claim.references) if name in numbers)
        cited: list[Run] = []
        for number in found:
            cited.extend((Text(", " if cited else ""), Const("list", str(number))))
        rows.append(((figure,), how, tuple(run for run in cited if run != Text("")) or (Text("\u2013"),)))
    if not rows:
        return scene
    head = (say("video-as-said"), say("basis"), say("video-source"))
    table = Table(f"{say('video-figures')}: {plain(take.title)}", head, tuple(rows), "evidence")
    return Slot(scene.name, (*scene.blocks[:2], table, *scene.blocks[2:]), scene.title)


def _figures(runs: Runs) -> list[Figure]:
    found: list[Figure] = []
    for run in runs:
        if isinstance(run, Styled):
            found.extend(_figures(run.runs))
        elif isinstance(run, Figure):
            found.append(run)
    return found


def _sources(references: tuple[str, ...]) -> list[str]:
    return [reference.partition("#")[0] for reference in references]


def _numbers(composer: Composer) -> dict[str, int]:
    """Number the sources as the source list does."""
    return {name: number for number, name in enumerate(composer.source_ids(), 1)}


def _description(composer: Composer, plan: Plan, text: Runs, takes: list[Take]) -> Slot:
    """Return the words to post below the video: what it is about, chapters, cautions, the sources in full."""
    say = composer.library.say
    chapters = tuple((Const("event", take.clock), Text(" "), *take.title) for take in takes)
    written = plan.video.description if plan.video else ""
    care = _short(composer, plan, words_of((Para(text), Items(chapters))), written)
    sources = composer.sources()
    blocks: list[Block] = [
        Para(text),
        Heading(3, (Text(say("chapters")),)),
        Items(chapters, role="plainlist"),
    ]
    if care:
        blocks.extend((Heading(3, (Text(say("cautions")),)), Items(care, role="care")))
    if sources:
        heading = (Text(say("sources")),)
        blocks.append(Slot("sources", (composer.numbered(sources, "sources"),), heading))
    return Slot("description", tuple(blocks), (Text(say("description")),))


def _comment(composer: Composer, plan: Plan, video: Video) -> Slot:
    """Return the comment to pin, its cautions in it. Raises BadContent when it is too long for that."""
    runs = composer.inline(video.comment, plan.origin, video.line)
    care = _short(composer, plan, plain(runs), video.comment)
    words = sum(len(plain(said).split()) for said in (runs, *care))
    if words > COMMENT_WORDS:
        raise BadContent(
            "the pinned comment is too long with its cautions",
            file=plan.origin,
            line=video.line,
            found=f"{words} words",
            expected=f"at most {COMMENT_WORDS}",
        )
    blocks: tuple[Block, ...] = (Para(runs, "post"), *((Items(care, role="care"),) if care else ()))
    return Slot("pinned-comment", blocks, (Text(composer.library.say("pinned-comment")),))


def _short(composer: Composer, plan: Plan, shown: str, written: str) -> tuple[Runs, ...]:
    """Return the short cautions that a text must carry when it stands alone: of the plan, its names and its facts."""
    library = composer.library
    owners = [library.owner.get(name.partition("|")[0], "") for name in NAME.findall(written)]
    needed = list(dict.fromkeys((*plan.cautions, *library.classes_of(owner for owner in owners if owner))))
    lines: list[Runs] = []
    done: list[str] = []
    while True:
        named = classes_named(library, " ".join((shown, *map(plain, lines))))
        pending = [name for name in dict.fromkeys((*needed, *named)) if name not in done]
        if not pending:
            return tuple(lines)
        for name in pending:
            caution = library.caution(name)
            lines.append(composer.inline(caution.short, caution.origin, caution.line))
        done.extend(pending)
