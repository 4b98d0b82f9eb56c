"""How is solidsim asked, and how does it answer? The commands; the only place that prints.

One thin file a command: options in, calls of the library, text or JSON out. ``group`` finds the
commands and turns errors into lines and exit codes, ``output`` and ``progress`` say things.
"""

from solidsim.cli.group import main

__all__ = ["main"]
