"""A Library in, findings out: facts against references, texts against their rules. Nothing is edited."""

from handouts.check.rules import RULES, check_all

__all__ = ["RULES", "check_all"]
