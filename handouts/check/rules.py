"""The list of all rules, and the run over them: all findings at once, those accepted on purpose left out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date

from handouts.check import bounds, formulas, hazards, links, order, records, sources, texts, values
from handouts.check.context import Context
from handouts.model.finding import Finding
from handouts.model.library import Library

Rule = Callable[[Context], Iterable[Finding]]

RULES: tuple[Rule, ...] = (
    values.shape,
    values.dangling_reference,
    values.missing_parent,
    values.outside_reference,
    values.reference_of_another,
    values.proxy_name,
    values.missing_locator,
    values.contradiction_unsaid,
    values.published_against_practice,
    values.memory,
    values.replaced_entry,
    formulas.derived_value,
    bounds.out_of_bounds,
    bounds.unknown_term,
    bounds.weak_basis,
    bounds.own_records,
    bounds.safety_value,
    order.season_order,
    order.sowing_order,
    sources.source_record,
    sources.not_a_source,
    sources.one_record_a_source,
    texts.typed_numeral,
    texts.unknown_name,
    texts.markup,
    texts.memory_reachable,
    texts.forbidden_claim,
    texts.opening_name,
    texts.entry_length,
    texts.reading_grade,
    hazards.hazard_without_class,
    hazards.hazard_dropped,
    hazards.caution_says,
    links.class_without_caution,
    links.carrier_without_class,
    links.missing_contact,
    links.missing_record,
    links.season_region,
    links.stale_review,
    links.past_date,
    links.unused,
    links.unused_reference,
    records.shared_name,
    records.stand_in,
    records.region_box,
    records.basis_marks,
    records.named_twice,
    records.acceptance,
    records.zone_table,
)
_LEVELS = {"error": 0, "warning": 1}


def check_all(library: Library, today: date) -> list[Finding]:
    """Run every rule; errors first, each group by file and line."""
    context = Context(library, today)
    found = [finding for rule in RULES for finding in rule(context)]
    found = _accepted(context, found)
    return sorted(
        found, key=lambda item: (_LEVELS[item.level], str(item.file), item.line or 0, item.rule, item.key or "")
    )


def _accepted(context: Context, found: list[Finding]) -> list[Finding]:
    """Leave out what is accepted on purpose; an acceptance that is over or meets nothing is a finding itself."""
    kept = list(found)
    for item in context.library.accepted.accepted:
        met = [
            finding
            for finding in kept
            if finding.rule == item.rule and finding.key == item.key and item.rule not in records.NEVER_ACCEPTED
        ]
        if item.until < context.today:
            kept.append(
                context.finding(
                    "accepted",
                    file=item.origin,
                    line=item.line,
                    key=item.key,
                    found=f"accepted until {item.until}",
                    remedy=f"Take the way out: {item.way_out}",
                )
            )
        elif not met:
            kept.append(
                context.finding(
                    "accepted",
                    level="warning",
                    file=item.origin,
                    line=item.line,
                    key=item.key,
                    found="nothing to accept",
                    remedy="Remove it from accepted.yml.",
                )
            )
        else:
            kept = [finding for finding in kept if finding not in met]
    return kept
