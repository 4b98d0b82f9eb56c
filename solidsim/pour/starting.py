"""The pouring that a model asks for."""

from solidsim.conduction.state import Conduction
from solidsim.pour.flowing import start_flowing
from solidsim.pour.pouring import Pouring
from solidsim.pour.rising import start_rising


def start_pouring(state: Conduction, effusivity: float) -> Pouring | None:
    """Empty the cavity of a state that has not started, ready for metal; None if poured at once.

    ``effusivity`` [W s^1/2/m2K] is that of the sand.
    """
    fill = state.model.pour.fill
    if fill == "at-once":
        return None
    return (start_flowing if fill == "flowing" else start_rising)(state, effusivity)
