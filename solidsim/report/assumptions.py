"""What an answer rests on: what was given, what a card preset, what was assumed."""

import re
from collections.abc import Mapping
from typing import Any


def count_given(provenance: Mapping[str, Any]) -> int:
    """How many values the case gave."""
    return sum(standing == "given" for _, _, standing in provenance["resolved"])


def open_values(provenance: Mapping[str, Any]) -> list[tuple[str, str, str]]:
    """Standing, key and text of what the case left to the program and to the cards.

    Parts and sides that were left the same are told once.
    """
    rows = [
        ("assumed", _general(key), text)
        for key, text, standing in provenance["resolved"]
        if standing != "given"
    ]
    for name, properties in provenance["properties"].items():
        count = sum(own["standing"] == "preset" for own in properties)
        if count:
            rows.append(("preset", name, f"{count} values; solidsim materials {name}"))
    return list(dict.fromkeys(rows))


def _general(key: str) -> str:
    """Key of one part or side as that of any."""
    key = re.sub(r'^part\.("[^"]*"|[^.]*)', "part.*", key)
    return re.sub(r"^boundary\.(left|right|bottom|top)\b", "boundary.*", key)
