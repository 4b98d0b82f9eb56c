"""The one family of errors: what went wrong, where, and what to type instead."""

from dataclasses import dataclass


class SolidsimError(Exception):
    """Any failure that solidsim reports in one line."""


class QuantityError(SolidsimError, ValueError):
    """A text that cannot be read as a quantity with a unit: its fault, without the place."""

    def __init__(self, given: str, allowed: str, write: str):
        self.given, self.allowed, self.write = given, allowed, write
        super().__init__(f"{given}; {allowed}; write {write}")


@dataclass(frozen=True)
class Fault:
    """One fault in an input file: where it stands, what was given, what to write."""

    file: str
    line: int
    column: int
    key: str
    given: str
    allowed: str
    write: str

    def __str__(self) -> str:
        """The fault in one line."""
        said = f"{self.file}:{self.line}:{self.column}: {self.key}: {self.given}; {self.allowed}"
        said += f"; write {self.write}" if self.write else ""
        return " ".join(said.splitlines())


class FaultyInputError(SolidsimError, ValueError):
    """An input file with faults, all of them, in the order of the file."""

    def __init__(self, faults: list[Fault]):
        self.faults = sorted(faults, key=lambda fault: (fault.file, fault.line, fault.column))
        super().__init__("\n".join(str(fault) for fault in self.faults))


class CaseError(FaultyInputError):
    """A case file that cannot be turned into a model."""


class MaterialError(FaultyInputError):
    """A material card that is not whole or not physical."""


class SectionError(SolidsimError, ValueError):
    """Shapes that cannot be laid on a grid."""


class SizingError(SolidsimError, ValueError):
    """Numbers from which a rule of the trade cannot be worked."""


class SolverError(SolidsimError):
    """A computation that stopped for a stated reason."""


class ResultsError(SolidsimError):
    """A results file that cannot be written or read."""
