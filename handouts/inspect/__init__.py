"""Finished files in, findings out: the promises every document makes, looked for in what was really written."""

from handouts.inspect.rules import RULES, Rule, inspect_files, inspect_page

__all__ = ["RULES", "Rule", "inspect_files", "inspect_page"]
