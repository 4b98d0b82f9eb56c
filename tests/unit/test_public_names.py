"""The public names stay functions whatever else of the package was imported before."""

import subprocess
import sys

import solidsim


def test_names_are_what_they_say():
    code = (
        "import solidsim.simulation, solidsim.judgment, solidsim.model, solidsim.case\n"
        f"from solidsim import {', '.join(solidsim.__all__)}\n"
        "assert all(callable(f) for f in (read_case, build_model, simulate, judge, open_run))"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
