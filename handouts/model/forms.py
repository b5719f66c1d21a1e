"""The kinds of documents that are forms to write on: their ids, which of them lie, which a register can fill in."""

from __future__ import annotations

FORMS = ("date-tags", "rearing-log", "winter-log", "sowing-plan", "sign-in", "evaluation")
# Sheets of a species at a place, whatever the topic: a kit makes each once, and draws them smaller until they fit.
OF_PLACE = (*FORMS, "place-sheet")
# Forms with more columns than fit an upright sheet.
LYING = frozenset({"rearing-log", "winter-log"})
FROM_REGISTER = ("date-tags", "rearing-log", "winter-log")
# What a form says of itself in `Document.extra` when it takes as many sheets as it needs.
MANY_SHEETS = "many-sheets"
