"""Pencil arithmetic of the foundry: what a handbook rule says, and on whose word.

One small function a rule, SI in and out, formula and source in its docstring. ``RULES`` lists
them by name with grade, arguments and answers, so that one can be worked by name. Whatever a
rule is given that cannot be so raises ``SizingError`` (a ``ValueError``) and says what is needed.
"""

from solidsim.sizing.rule import Argument, Rule, Worked, read_arguments, wanted, work
from solidsim.sizing.rules import RULES, find_rule, work_rule

__all__ = [
    "RULES",
    "Argument",
    "Rule",
    "Worked",
    "find_rule",
    "read_arguments",
    "wanted",
    "work",
    "work_rule",
]
