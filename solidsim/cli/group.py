"""The group of commands: loads each when it is asked for, turns errors into exit codes."""

import sys
from difflib import get_close_matches
from importlib import import_module
from typing import Any

import click

from solidsim.cli.output import BAD_INPUT, FAILED, INTERRUPTED, write_json
from solidsim.errors import FaultyInputError, SolidsimError

COMMANDS = (
    *("new", "check", "size", "pour", "judge", "sheet", "record"),
    *("compare", "sweep", "search"),
    *("movie", "export", "materials"),
)


class Commands(click.Group):
    """Commands that cost nothing until they are used."""

    def list_commands(self, context: click.Context) -> list[str]:
        """Names of the commands, in the order of the work."""
        return list(COMMANDS)

    def get_command(self, context: click.Context, name: str) -> click.Command | None:
        """Load one command."""
        if name not in COMMANDS:
            return None
        command: click.Command = getattr(import_module(f"solidsim.cli.{name}"), name)
        return command

    def resolve_command(self, context: click.Context, words: list[str]) -> Any:
        """Find the command, or name the nearest."""
        if words[0] not in COMMANDS and (near := get_close_matches(words[0], COMMANDS, n=1)):
            context.fail(f"No such command '{words[0]}'; did you mean '{near[0]}'?")
        return super().resolve_command(context, words)

    def invoke(self, context: click.Context) -> Any:
        """Run a command; what the user can mend is said in lines, without a traceback."""
        try:
            return super().invoke(context)
        except SolidsimError as error:
            code = BAD_INPUT if isinstance(error, ValueError) else FAILED
            _say_failure(context, error, code)
        except OSError as error:
            if isinstance(error, BrokenPipeError):
                raise
            _say_failure(context, error, FAILED)
        except KeyboardInterrupt:
            click.echo("interrupted", err=True)
            context.exit(INTERRUPTED)


def _say_failure(context: click.Context, error: Exception, code: int) -> None:
    faults = error.faults if isinstance(error, FaultyInputError) else []
    if context.meta.get("json"):
        write_json({"error": str(error), "exit_code": code, "faults": faults})
    click.echo(str(error), err=True)
    context.exit(code)


@click.group(cls=Commands, epilog="Exit codes: 0 done, 1 failed, 2 usage, 3 faulty case or "
             "material, 4 a finding failed (with --fail-on), 130 interrupted.")  # fmt: skip
@click.version_option(package_name="solidsim")
def main() -> None:
    """What does a casting do while it freezes? Ask it of a 2-D section of the rigged mold.

    An estimate: local codes and a competent founder decide.
    """
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
