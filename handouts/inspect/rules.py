"""The table of all rules and the run over them: finished files in, findings out. Nothing is edited."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

from handouts.inspect import (
    basis,
    calendar_rules,
    carriers,
    contrast,
    figures,
    parts,
    print_rules,
    structure,
)
from handouts.inspect.kit import Kit, kit_of, read_kit
from handouts.inspect.page import PUBLIC, Format, Page, Trouble, read_page
from handouts.model.finding import Finding, Level
from handouts.model.forms import FORMS
from handouts.model.library import Library

ALL: tuple[Format, ...] = ("html", "pdf", "text", "ics")
FLAT: tuple[Format, ...] = ("pdf", "text", "ics")
MOST_FINDINGS = 100
PROSE = ("handout", "handout-large-print", "faq-sheet", "talk-notes", "video-notes")
ONE_SHEET = ("bench-card", "childrens-sheet")


@dataclass(frozen=True)
class Rule:
    """One promise: its name, the formats and kinds it holds for (no kinds: all), and the function that looks."""

    name: str
    formats: tuple[Format, ...]
    check: Callable[[Page], Iterable[Trouble]]
    kinds: tuple[str, ...] = ()
    level: Level = "error"

    @property
    def says(self) -> str:
        """The rule in a sentence."""
        return (self.check.__doc__ or "").partition("\n")[0]

    def applies(self, page: Page) -> bool:
        """Whether a file must keep this promise."""
        return page.format in self.formats and (not self.kinds or page.kind in self.kinds)


RULES: tuple[Rule, ...] = (
    Rule("figure-markup", ("html",), figures.figure_markup),
    Rule("fact-text", ("html",), figures.fact_text),
    Rule("fact-known", ("html",), figures.fact_known),
    Rule("leaf-figure", ("html",), figures.leaf_figures),
    Rule("machine-value", ("html",), figures.machine_value),
    Rule("css-figure", ("html",), figures.css_figure),
    Rule("figure-traced", FLAT, figures.figure_traced),
    Rule("unseen-figure", ("html", "pdf"), figures.unseen_figure, level="warning"),
    Rule("leftover-name", ALL, figures.leftover_name),
    Rule("caution-missing", ALL, carriers.caution_missing),
    Rule("memory-value", ALL, basis.memory_value),
    Rule("basis-agrees", ALL, basis.basis_agrees),
    Rule("claim-sources", ALL, basis.claim_sources),
    Rule("proxy-named", ALL, basis.proxy_named),
    Rule("practice-marked", ("html", "pdf", "text"), basis.practice_marked),
    Rule("not-known-said", ALL, basis.not_known_said),
    Rule("forbidden-claim", ALL, parts.forbidden_claim),
    Rule("language", ("html",), structure.language),
    Rule("title", ("html",), structure.title),
    Rule("heading-order", ("html",), structure.headings),
    Rule("alt-text", ("html",), structure.alt_text),
    Rule("table-header", ("html",), structure.table_headers),
    Rule("link-text", ("html",), structure.links),
    Rule("unique-id", ("html",), structure.ids),
    Rule("latin-name", ("html",), structure.latin, kinds=(*PUBLIC, *FORMS)),
    Rule("self-contained", ("html",), structure.self_contained),
    Rule("text-contrast", ("html",), contrast.text_contrast),
    Rule("hidden-words", ("html",), contrast.hidden_words),
    Rule("main-message", ("html",), parts.main_message, kinds=PUBLIC),
    Rule("needed-part", ("html",), parts.needed_parts, kinds=(*PROSE, *ONE_SHEET)),
    Rule("named-part", ("pdf", "text"), parts.named_parts, kinds=("handout", "handout-large-print")),
    Rule("edition-line", ("html", "pdf", "text"), parts.edition_line, kinds=(*PUBLIC, *FORMS, "place-sheet", "claims")),
    Rule("statement", ("html", "pdf", "text"), parts.statements, kinds=(*PROSE, *ONE_SHEET, *FORMS)),
    Rule("reading-grade", ("html", "pdf", "text"), parts.reading_grade, kinds=PUBLIC),
    Rule("sentence-length", ("html",), parts.sentence_length, kinds=(*PROSE, *ONE_SHEET), level="warning"),
    Rule("word-count", ("html",), parts.word_count, kinds=("handout",), level="warning"),
    Rule("minute-plan", ("html",), parts.minute_plan, kinds=("talk-notes",)),
    Rule("page-count", ("pdf",), print_rules.page_count),
    Rule("page-size", ("pdf",), print_rules.page_size),
    Rule("pdf-tagged", ("pdf",), print_rules.tagged),
    Rule("pdf-language", ("pdf",), print_rules.pdf_language),
    Rule("pdf-title", ("pdf",), print_rules.pdf_title),
    Rule("pdf-fonts", ("pdf",), print_rules.fonts),
    Rule("pdf-alt", ("pdf",), print_rules.pdf_alt),
    Rule("pdf-headings", ("pdf",), print_rules.pdf_headings),
    Rule("pdf-tables", ("pdf",), print_rules.pdf_tables),
    Rule("pdf-active", ("pdf",), print_rules.active),
    Rule("pdf-margins", ("pdf",), print_rules.margins),
    Rule("letter-size", ("pdf",), print_rules.letter_size, level="warning"),
    Rule("ics-lines", ("ics",), calendar_rules.ics_lines),
    Rule("ics-calendar", ("ics",), calendar_rules.ics_calendar),
    Rule("ics-uid", ("ics",), calendar_rules.ics_uid),
    Rule("ics-stamp", ("ics",), calendar_rules.ics_stamp),
    Rule("ics-dates", ("ics",), calendar_rules.ics_dates),
    Rule("ics-transparent", ("ics",), calendar_rules.ics_transparent),
    Rule("ics-quiet", ("ics",), calendar_rules.ics_quiet),
)


def inspect_files(
    paths: Sequence[Path], library: Library, kit: Kit | Path | Mapping[str, Any] | None = None
) -> list[Finding]:
    """Return the findings on finished files, file by file, errors first.

    `kit` is the manifest (a path, parsed JSON, or read already); by default the `kit.json` in the folder of each file.
    A folder or the manifest itself among `paths` stands for all files the manifest lists. Raises BadInput for a file
    that is missing, too large, broken, or of no known format.
    """
    given = _given(kit)
    read: dict[Path, Kit | None] = {}
    found: list[Finding] = []
    for path in _files(paths):
        folder = path.parent
        if given is None and folder not in read:
            beside = folder / "kit.json"
            read[folder] = read_kit(beside) if beside.is_file() else None
        page = read_page(path, library, given or read.get(folder))
        found.extend(inspect_page(page))
    return found


def inspect_page(page: Page) -> list[Finding]:
    """Return the findings of all rules on one file, errors first."""
    found = [finding for rule in RULES if rule.applies(page) for finding in findings(rule, page)]
    return sorted(found, key=lambda item: (item.level != "error", item.line or 0))


def findings(rule: Rule, page: Page) -> Iterator[Finding]:
    """Yield what one rule has against a file: the first hundred findings, since the rest is more of the same."""
    for trouble in islice(rule.check(page), MOST_FINDINGS):
        yield Finding(
            level=trouble.level or rule.level,
            rule=rule.name,
            file=page.path,
            line=trouble.line,
            key=trouble.key or None,
            expected=trouble.expected,
            found=trouble.found,
            remedy=trouble.remedy,
        )


def _given(kit: Kit | Path | Mapping[str, Any] | None) -> Kit | None:
    if kit is None or isinstance(kit, Kit):
        return kit
    return read_kit(kit) if isinstance(kit, Path) else kit_of(kit)


def _files(paths: Sequence[Path]) -> Iterator[Path]:
    for path in paths:
        manifest = path / "kit.json" if path.is_dir() and (path / "kit.json").is_file() else path
        if manifest.name == "kit.json" and manifest.is_file():
            yield from (manifest.parent / name for name in read_kit(manifest).records)
        else:
            yield path
