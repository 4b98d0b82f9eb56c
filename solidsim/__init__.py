"""solidsim: what a casting does while it freezes, from a 2-D section of the rigged mold.

Case -> Model -> Run -> Findings: ``read_case``, ``build_model``, ``simulate``, ``judge``; a stored
run is opened with ``open_run``. Names are loaded when they are first used, so that the command
line answers at once.
"""

from importlib import import_module
from typing import Any

_PLACES = {
    "read_case": "solidsim.case",
    "build_model": "solidsim.model",
    "simulate": "solidsim.simulation",
    "judge": "solidsim.judgment",
    "open_run": "solidsim.results",
    "SolidsimError": "solidsim.errors",
}

__all__ = list(_PLACES)


def __getattr__(name: str) -> Any:
    if name not in _PLACES:
        raise AttributeError(f"module 'solidsim' has no attribute '{name}'")
    return getattr(import_module(_PLACES[name]), name)
