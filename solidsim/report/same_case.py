"""Whether a run is that of a case as it stands now."""

from collections.abc import Mapping
from typing import Any

from solidsim.model import Model
from solidsim.results.run import Run

FREE = ("title", "units", "base", "workshop.", "output.")
"""Keys that change no result."""


def same_case(run: Run, model: Model) -> bool:
    """Whether all that decides the result of a run is as the model has it, cards and all."""
    stored, here = run.provenance, model.provenance
    return _deciding(stored) == _deciding(here) and stored.get("cards") == here["cards"]


def _deciding(provenance: Mapping[str, Any]) -> set[tuple[str, str]]:
    rows = provenance.get("resolved", ())
    return {(key, text) for key, text, _ in rows if not key.startswith(FREE)}
