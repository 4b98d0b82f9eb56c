"""Which variants to run: all of a grid, or a Latin hypercube."""

from itertools import product
from typing import Any

from scipy.stats import qmc

from solidsim.studies.study_file import Study

Values = tuple[Any, ...]


def planned_values(study: Study) -> list[Values]:
    """Values of the inputs of every variant.

    The grid takes every value of each input with every other. The Latin hypercube (McKay,
    Beckman & Conover 1979, Technometrics 21:239) parts each range into as many strata as there
    are runs and takes each once; the same seed gives the same runs.
    """
    if study.description.method == "grid":
        return list(product(*(one.values for one in study.inputs)))
    sampler = qmc.LatinHypercube(len(study.inputs), rng=study.description.seed)
    shares = sampler.random(study.description.count)
    return [
        tuple(one.at(float(share)) for one, share in zip(study.inputs, row, strict=True))
        for row in shares
    ]
