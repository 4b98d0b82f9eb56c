"""`solidsim size`: pencil arithmetic, one rule at a time, with its formula and its source."""

from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING, Any

import click

from solidsim.cli.output import json_option, table, write_json

if TYPE_CHECKING:
    from solidsim.quantities import Units
    from solidsim.sizing import Argument, Rule, Worked
    from solidsim.sizing.rule import Value

MARKS = {"given": "  ", "assumed": "~ "}


@click.command(short_help="Work a rule of the trade, with formula and source.")
@click.argument("rule", required=False)
@click.argument("values", nargs=-1, metavar="[NAME=VALUE]...")
@click.option(
    "--units", type=click.Choice(["metric", "inch"]), help="Of the answer; as given without it."
)
@json_option
def size(rule: str | None, values: tuple[str, ...], units: str | None, as_json: bool) -> None:
    """Work a rule: solidsim size casting-yield casting_weight="12 lb" rigging_weight="5 lb".

    Without RULE all rules are listed, by subject. With a RULE alone it says what it needs.
    """
    from solidsim.sizing import RULES, find_rule, read_arguments, work

    if rule is None:
        _list_rules(list(RULES.values()), as_json)
        return
    found, texts = find_rule(rule), _texts(values)
    if not texts and any(argument.default is None for argument in found.arguments):
        _write_needs(found, as_json)
        return
    worked = work(found, read_arguments(found, texts))
    if as_json:
        write_json(_head(found) | _worked_document(worked))
    else:
        _write_worked(worked, _system(units, texts.values()))


def _texts(values: Sequence[str]) -> dict[str, str]:
    """Arguments by name; each NAME=VALUE, and each once."""
    texts: dict[str, str] = {}
    for each in values:
        name, sign, text = each.partition("=")
        if not (name and sign and text):
            raise click.UsageError(f'"{each}" is no NAME=VALUE, as head="4 in"')
        if name in texts:
            raise click.UsageError(f"{name} is given twice")
        texts[name] = text
    return texts


def _system(chosen: str | None, texts: Any) -> "Units":
    """Units of the answer: those chosen, else those that most arguments are written in."""
    from solidsim.quantities import units_of

    systems = [units_of(text) for text in texts]
    inch = systems.count("inch") > systems.count("metric")
    return "inch" if chosen == "inch" or (chosen is None and inch) else "metric"


def _list_rules(rules: "list[Rule]", as_json: bool) -> None:
    if as_json:
        write_json({"rules": [_head(rule) for rule in rules]})
        return
    for subject, group in groupby(sorted(rules, key=lambda rule: rule.subject), _subject):
        click.echo(subject)
        click.echo(table([("", rule.name, rule.title) for rule in group]))
    click.echo("\nsolidsim size RULE says what a rule needs.")


def _subject(rule: "Rule") -> str:
    return rule.subject


def _head(rule: "Rule") -> dict[str, Any]:
    keys = ("name", "subject", "title", "formula", "source", "grade")
    return {key: getattr(rule, key) for key in keys}


def _write_head(rule: "Rule") -> None:
    click.echo(f"{rule.name}: {rule.title}")
    for name in ("formula", "source", "grade"):
        click.echo(f"{name:8} {getattr(rule, name)}")


def _write_needs(rule: "Rule", as_json: bool) -> None:
    """Say what a rule needs and what it takes for granted."""
    from solidsim.sizing import wanted

    if as_json:
        keys = ("name", "kind", "meaning", "choices", "default")
        needs = [{key: getattr(each, key) for key in keys} for each in rule.arguments]
        write_json(_head(rule) | {"arguments": needs, "results": rule.results})
        return
    _write_head(rule)
    rows = [(f"  {each.name}", _default(each), wanted(each), each.meaning)
            for each in rule.arguments]  # fmt: skip
    click.echo(table([("needs", "", "", ""), *rows]))
    click.echo(
        table([("gives", ""), *((f"  {name}", kind) for name, kind in rule.results.items())])
    )


def _default(argument: "Argument") -> str:
    if argument.default is None:
        return ""
    return f"~ {_shown(argument.default, argument.kind, 'metric')}"


def _write_worked(worked: "Worked", units: "Units") -> None:
    """Write formula, source, grade, what went in (~ where assumed) and what came out."""
    rule = worked.rule
    _write_head(rule)
    rows = []
    for argument in rule.arguments:
        value = _shown(worked.arguments[argument.name], argument.kind, units)
        rows.append((MARKS[_standing(worked, argument)] + argument.name, value, argument.meaning))
    click.echo(table([("from", "", ""), *rows]))
    answers = [
        (f"  {name}", _shown(value, rule.results[name], units))
        for name, value in worked.results.items()
    ]
    click.echo(table([("gives", ""), *answers]))
    if worked.defaults:
        click.echo("~ assumed; give it to change it")


def _standing(worked: "Worked", argument: "Argument") -> str:
    return "assumed" if argument.name in worked.defaults else "given"


def _shown(value: "Value", kind: str, units: "Units") -> str:
    from solidsim.quantities import write_quantity

    return value if isinstance(value, str) else write_quantity(value, kind, units)


def _worked_document(worked: "Worked") -> dict[str, Any]:
    """What went in and what came out, in SI."""
    arguments = {
        argument.name: {
            "value": worked.arguments[argument.name],
            "kind": argument.kind,
            "standing": _standing(worked, argument),
        }
        for argument in worked.rule.arguments
    }
    results = {
        name: {"value": value, "kind": worked.rule.results[name]}
        for name, value in worked.results.items()
    }
    return {"arguments": arguments, "results": results}
