"""Cards as files: those that come with solidsim, and a founder's own beside a case."""

import re
import tomllib
from collections.abc import Mapping
from difflib import get_close_matches
from functools import cache
from pathlib import Path
from typing import Any

from solidsim.errors import Fault, MaterialError

CARDS = Path(__file__).with_name("cards")
NOT_MATERIALS = frozenset({"interfaces", "minerals"})
COMPOSED = ("iron", "sand")  # tables laid over a base key by key


def library_names() -> list[str]:
    """Names of all cards, in alphabetical order."""
    return sorted({path.stem for path in CARDS.glob("*.toml")} - NOT_MATERIALS)


def plain_name(name: str) -> str:
    """Name in small letters with hyphens."""
    return re.sub(r"[\s_-]+", "-", name.strip().casefold())


def card_name(name: str) -> str | None:
    """Name of the library card that is called so, or None.

    ``Soft gray iron`` and ``soft-gray-iron`` are the same.
    """
    return _names().get(plain_name(name))


def nearest_names(name: str) -> list[str]:
    """Names of library cards that are spelled most like this."""
    return get_close_matches(plain_name(name), library_names(), n=3, cutoff=0.4)


def card_text(name: str) -> str:
    """Exact text of a library card.

    Raises
    ------
    MaterialError
        If there is no card of this name; the message gives the nearest names.
    """
    found = card_name(name)
    if found is None:
        allowed = f"one of {', '.join(nearest_names(name) or library_names())}"
        raise MaterialError([Fault("cards", 1, 1, "material", f'"{name}"', allowed, "")])
    return (CARDS / f"{found}.toml").read_text(encoding="utf-8")


def read_card(name: str) -> dict[str, Any]:
    """Read one library card as written.

    Raises
    ------
    MaterialError
        If there is no card of this name.
    """
    return tomllib.loads(card_text(name))


def laid_over_base(data: Mapping[str, Any]) -> dict[str, Any]:
    """Lay a card over the library card that it names as its ``base``, key by key."""
    base = laid_over_base(read_card(data["base"])) if "base" in data else {}
    merged = {**base, **data}
    for key in COMPOSED:
        if isinstance(base.get(key), Mapping) and isinstance(data.get(key), Mapping):
            merged[key] = {**base[key], **data[key]}
    merged.pop("base", None)
    return merged


@cache
def _names() -> dict[str, str]:
    found = {}
    for name in library_names():
        text = (CARDS / f"{name}.toml").read_text(encoding="utf-8")
        for other in (name, *tomllib.loads(text).get("also", ())):
            found[plain_name(other)] = name
    return found
