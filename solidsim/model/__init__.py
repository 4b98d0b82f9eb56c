"""What exactly is to be computed? In: a ``Case``. Out: a ``Model``, arrays and numbers in SI."""

from solidsim.model.building import build_model
from solidsim.model.model import Boundary, FaceLayer, Judging, Model, Probe, Stop

__all__ = ["Boundary", "FaceLayer", "Judging", "Model", "Probe", "Stop", "build_model"]
