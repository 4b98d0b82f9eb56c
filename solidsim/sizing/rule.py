"""A rule as a thing that can be listed, asked for its arguments, and worked by name."""

import inspect
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, Literal, get_args, get_origin, get_type_hints

from solidsim.criteria.finding import Grade
from solidsim.errors import QuantityError, SizingError
from solidsim.quantities import phrase, read_quantity

Value = float | str


@dataclass(frozen=True)
class Argument:
    """What a rule asks for.

    Parameters
    ----------
    name, meaning : str
    kind : str
        A key of ``solidsim.quantities.KINDS``, or ``"choice"``.
    choices : tuple of str
        Of a ``"choice"``; empty otherwise.
    default : float, str or None
        SI; None where the argument must be given.
    """

    name: str
    kind: str
    meaning: str
    choices: tuple[str, ...] = ()
    default: Value | None = None

    def read(self, text: str) -> Value:
        """Value of a text: SI, or one of the choices.

        Raises
        ------
        SizingError
            With the argument's name, what is allowed and what to write.
        """
        if self.choices:
            return self.check(text)
        try:
            return read_quantity(text, self.kind)
        except QuantityError as error:
            raise SizingError(f"{self.name}: {error}") from error

    def check(self, value: Value) -> Value:
        """Value as it came, if it is a number or one of the choices."""
        if self.choices and value not in self.choices:
            allowed = ", ".join(self.choices)
            raise SizingError(f'{self.name}: "{value}" is not known; allowed: {allowed}')
        if not self.choices and isinstance(value, str | bool):
            raise SizingError(f"{self.name}: {value!r} is not a number in SI")
        return value


@dataclass(frozen=True)
class Rule:
    """One rule of the trade.

    Parameters
    ----------
    name, title, formula, source : str
        Title, formula and source are those of the function's docstring.
    grade : {"exact", "measured", "handbook", "estimated"}
        Of the rule's constants; ``exact`` is a definition or a balance.
    arguments : tuple of Argument
    results : dict of str to str
        Kind of each answer, by its name.
    function : callable
        SI in, a float or a NamedTuple of floats and words out.
    """

    name: str
    title: str
    formula: str
    source: str
    grade: Grade
    arguments: tuple[Argument, ...]
    results: dict[str, str]
    function: Callable[..., Any]

    @property
    def subject(self) -> str:
        """What the rule belongs to: the name of its module, in words."""
        return self.function.__module__.rpartition(".")[2].replace("_", " ")


@dataclass(frozen=True)
class Worked:
    """A rule with its numbers, SI: all arguments, which of them are defaults, and the answers."""

    rule: Rule
    arguments: dict[str, Value]
    defaults: frozenset[str]
    results: dict[str, Value]


def describe(function: Callable[..., Any], grade: Grade) -> Rule:
    """Rule of a function, from its signature and its docstring."""
    hints = get_type_hints(function, include_extras=True)
    answer = hints.pop("return")
    title, sections = _sections(inspect.getdoc(function) or "")
    meanings = _meanings(sections.get("Parameters", ""))
    given = inspect.signature(function).parameters
    arguments = tuple(
        _argument(name, hint, meanings.get(name, ""), given[name].default)
        for name, hint in hints.items()
    )
    name = function.__name__
    named = get_type_hints(answer, include_extras=True) if hasattr(answer, "_fields") else {}
    results = {each: _kind(hint) for each, hint in (named or {name: answer}).items()}
    return Rule(
        name=name.replace("_", "-"),
        title=title,
        formula=" ".join(sections["Notes"].split()),
        source=" ".join(sections["References"].split()),
        grade=grade,
        arguments=arguments,
        results=results,
        function=function,
    )


def work(rule: Rule, given: Mapping[str, Value]) -> Worked:
    """Work a rule from values in SI; arguments left out take their defaults.

    Raises
    ------
    SizingError
        For an unknown, missing or impossible argument, with what is needed.
    """
    arguments = {_named(rule, name): value for name, value in given.items()}
    values: dict[str, Value] = {}
    missing = []
    for argument in rule.arguments:
        value = arguments.get(argument.name, argument.default)
        if value is None:
            missing.append(f"{argument.name} ({wanted(argument)})")
        else:
            values[argument.name] = argument.check(value)
    if missing:
        raise SizingError(f"{rule.name} also needs {', '.join(missing)}")
    answer = rule.function(**values)
    answers = answer if isinstance(answer, tuple) else (answer,)
    results = dict(zip(rule.results, answers, strict=True))
    return Worked(rule, values, frozenset(values) - frozenset(arguments), results)


def read_arguments(rule: Rule, texts: Mapping[str, str]) -> dict[str, Value]:
    """Values [SI] of arguments written as texts with units.

    Raises
    ------
    SizingError
        All faults, a line each.
    """
    known = {each.name: each for each in rule.arguments}
    values: dict[str, Value] = {}
    faults = []
    for name, text in texts.items():
        try:
            values[name] = known[_named(rule, name)].read(text)
        except SizingError as error:
            faults.append(str(error))
    if faults:
        raise SizingError("\n".join(faults))
    return values


def _named(rule: Rule, name: str) -> str:
    """Name of the argument that is meant; a hyphen is as good as an underscore."""
    names = [each.name for each in rule.arguments]
    wanted = name.replace("-", "_")
    if wanted not in names:
        near = get_close_matches(wanted, names, n=1)
        meant = f"did you mean {near[0]}?" if near else f"it takes {', '.join(names)}"
        raise SizingError(f"{rule.name} takes no {name}; {meant}")
    return wanted


def wanted(argument: Argument) -> str:
    """What to give for an argument, in words."""
    return "one of " + ", ".join(argument.choices) if argument.choices else phrase(argument.kind)


def _argument(name: str, hint: Any, meaning: str, default: Any) -> Argument:
    default = None if default is inspect.Parameter.empty else default
    if get_origin(hint) is Literal:
        return Argument(name, "choice", meaning, get_args(hint), default)
    return Argument(name, _kind(hint), meaning, (), default)


def _kind(hint: Any) -> str:
    return "text" if hint is str else hint.__metadata__[0]


def _sections(docstring: str) -> tuple[str, dict[str, str]]:
    """First line of a numpy docstring, and its sections by heading."""
    head, *parts = re.split(r"^(\w+)\n-+\n", docstring, flags=re.MULTILINE)
    bodies = [part.strip("\n") for part in parts[1::2]]
    return head.splitlines()[0], dict(zip(parts[::2], bodies, strict=True))


def _meanings(parameters: str) -> dict[str, str]:
    """Meaning of each parameter in the section of a numpy docstring that lists them."""
    entries = re.findall(r"^(\S.*?) : .*((?:\n    .*)*)", parameters, flags=re.MULTILINE)
    return {
        name: " ".join(meaning.split()) for names, meaning in entries for name in names.split(", ")
    }
