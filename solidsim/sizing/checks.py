"""Checks of what a rule is given: the message says what the rule needs."""

import math
from collections.abc import Collection

from solidsim.errors import SizingError


def check_positive(**values: float) -> None:
    """Refuse a value that is not finite and above zero."""
    for name, value in values.items():
        if not 0.0 < value < math.inf:
            raise SizingError(f"{_words(name)} must be above zero; given {value:g}")


def check_not_negative(**values: float) -> None:
    """Refuse a value that is not finite and at least zero."""
    for name, value in values.items():
        if not 0.0 <= value < math.inf:
            raise SizingError(f"{_words(name)} must not be below zero; given {value:g}")


def check_between(least: float, most: float, **values: float) -> None:
    """Refuse a value outside a range that includes its ends."""
    for name, value in values.items():
        if not least <= value <= most:
            raise SizingError(
                f"{_words(name)} must lie between {least:g} and {most:g}; given {value:g}"
            )


def check_less(**values: float) -> None:
    """Refuse a first value that is not less than the second."""
    (small, low), (large, high) = values.items()
    if not low < high:
        raise SizingError(
            f"{_words(small)} must be less than {_words(large)}; given {low:g} and {high:g} (SI)"
        )


def check_known(known: Collection[str], **values: str) -> None:
    """Refuse a word that is not among the known ones."""
    for name, value in values.items():
        if value not in known:
            allowed = ", ".join(known)
            raise SizingError(f'{_words(name)} "{value}" is not known; allowed: {allowed}')


def check_count(least: int, most: int, **values: float) -> None:
    """Refuse a value that is not a whole number in the given range."""
    for name, value in values.items():
        if value not in range(least, most + 1):
            raise SizingError(
                f"{_words(name)} must be a whole number from {least} to {most}; given {value:g}"
            )


def _words(name: str) -> str:
    return name.replace("_", " ")
