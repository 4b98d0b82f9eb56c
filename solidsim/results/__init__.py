"""What did a run compute, and where is it kept?

A :class:`~solidsim.results.run.Run` in memory, or in one HDF5 file that explains itself, is safe
against being killed while it is written, and goes on into a spreadsheet or a viewer.

Public names: ``run.Run`` and its members; ``open_run``, ``start_run``, ``write_run``,
``export_cells``, ``export_probes``, ``export_vtkhdf``, loaded when they are first used.
"""

from importlib import import_module
from typing import Any

_PLACES = {
    "open_run": "opening",
    "start_run": "writing",
    "write_run": "writing",
    "export_cells": "export",
    "export_probes": "export",
    "export_vtkhdf": "export",
}


def __getattr__(name: str) -> Any:
    if name not in _PLACES:
        raise AttributeError(f"module 'solidsim.results' has no attribute '{name}'")
    return getattr(import_module(f"solidsim.results.{_PLACES[name]}"), name)
