"""What exactly is to be computed? In: a ``Case``. Out: a ``Model``, arrays and numbers in SI."""

from solidsim.model.building import build_model
from solidsim.model.gating import Basin, GatingSystem, Mouth, Sprue, Stretch
from solidsim.model.model import Boundary, FaceLayer, Judging, Model, Pour, Probe, Stop

__all__ = [
    "Basin",
    "Boundary",
    "FaceLayer",
    "GatingSystem",
    "Judging",
    "Model",
    "Mouth",
    "Pour",
    "Probe",
    "Sprue",
    "Stop",
    "Stretch",
    "build_model",
]
