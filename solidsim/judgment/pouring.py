"""Was the mold filled in a time that the trade would have chosen?"""

import math

from solidsim.criteria.finding import Finding, Verdict
from solidsim.fill.record import FillRecord
from solidsim.judgment.wording import said_length, said_time
from solidsim.quantities import write_quantity
from solidsim.results.run import Run
from solidsim.sizing import RULES
from solidsim.sizing.alloy_pouring import UsualTime, casting_thickness, usual_pouring_time
from solidsim.sizing.weight import section_weights


def pouring_time(run: Run) -> list[Finding]:
    """The fill time against the rule for alloy, weight and section; a warning, never a refusal.

    Nothing is said of a mold that did not fill, of an endless section whose weight the case does
    not give, nor of a light alloy without gates.
    """
    fill = run.fill
    weight = poured_weight(run)
    if fill is None or weight is None or not fill.full:
        return []
    thickness = casting_thickness(run.section)
    usual = usual_pouring_time(
        weight, thickness, iron=run.alloy.iron, liquidus=run.alloy.liquidus,
        density=run.alloy.density, gate_area=_gate_area(fill),
    )  # fmt: skip
    if usual is None:
        return []
    mass = write_quantity(weight, "mass", run.units)
    return [_against(run, fill.fill_time, usual, f"{mass} in {said_length(run, thickness)}")]


def _against(run: Run, time: float, usual: UsualTime, what: str) -> Finding:
    margin = min(time - usual.shortest, usual.longest - time)
    least, most = said_time(run, usual.shortest), said_time(run, usual.longest)
    span = f"{least} to {most}" if math.isfinite(usual.longest) else f"{least} or more"
    side = "pour slower" if time < usual.shortest else "pour faster"
    verdict: Verdict = "holds" if margin >= 0.0 else "close"
    return Finding(
        name="pouring-time",
        statement=f"the mold fills in {said_time(run, time)}; usual for {what} is {span}"
        + ("" if margin >= 0.0 else f": {side}"),
        verdict=verdict,
        value=time,
        limit=usual.shortest if time < usual.time else usual.longest,
        margin=margin,
        kind="time",
        source=f"{usual.rule}: {RULES[usual.rule].source} A factor of 1.5 about it: common "
        "practice, no source",
        grade="handbook",
    )


def poured_weight(run: Run) -> float | None:
    """Weight [kg] of the metal above the gates, as the case gives it or as drawn."""
    if run.fill and math.isfinite(run.fill.weight):
        return run.fill.weight
    if run.section.endless:
        return None
    return section_weights(run.section, run.alloy.density).poured


def _gate_area(fill: FillRecord) -> float | None:
    total = float(fill.areas.sum())
    return total if math.isfinite(total) else None
