"""What stands on the pour sheet: the plan of a pour and its run, in the founder's words."""

import math
from collections.abc import Callable, Sequence

from solidsim.case import Case
from solidsim.criteria.finding import Finding
from solidsim.model import Model
from solidsim.pictures.sheet_page import Block, Line, Sheet
from solidsim.pictures.style import VERDICTS
from solidsim.quantities import GRAVITY, Units, difference_kind, write_quantity
from solidsim.report.assumptions import count_given, open_values
from solidsim.report.cautions import CAUTIONS, COPPER_CAUTION
from solidsim.report.cooling import ShakeOutClock, shake_out_clock
from solidsim.report.pouring_plan import PouringPlan, plan_pour
from solidsim.results.run import Run
from solidsim.sizing import RULES
from solidsim.sizing.alloy_pouring import HEAVY
from solidsim.sizing.inoculant import FADE_LIMIT, FADE_WARNING
from solidsim.sizing.kinds import INCH
from solidsim.units import POUND

Say = Callable[[float, str], str]

MOST_WATCHED = 4
EIGHTH = INCH / 8
NO_DEPTH = "needs the depth of every metal part"
BLANKS = (
    "date", "furnace at", "ladle at", "sand at",
    "fill time", "shaken out after", "then at", "wedge, white",
    "casting weighs", "poured", "pipe deep", "by",
)  # fmt: skip
NO_FLASK = "no flask given, so the cope's own weight is not counted on"
UNSAID = (
    "units",
    "mold.cover",
    "cooling.stop",
    "output.",
    "judging.",
    "part.*.faces",
    "part.*.material",
    "part.*.temperature",
)
"""Keys of assumptions that mean little on the floor."""


def compose_sheet(
    case: Case, name: str, model: Model, run: Run | None = None, findings: Sequence[Finding] = ()
) -> Sheet:
    """Put together the pour sheet of a case of this name, with its run and findings if any."""
    plan, alloy = plan_pour(case, model, run), model.materials[model.metal]

    def say(value: float, kind: str) -> str:
        return write_quantity(value, kind, model.units)

    moment = case.description.cooling.shake_out
    clock = shake_out_clock(
        run, moment.time if moment else None, moment.temperature if moment else None
    )
    copper = alloy.iron is None and alloy.density > HEAVY
    return Sheet(
        title=model.title,
        subtitle=f"{alloy.title} in {model.materials[model.mold].title}; case {name}, "
        + ("with its run" if run else "not yet computed: solidsim pour"),
        units=model.units,
        section=model.section,
        parting=(plan.workshop.parting, _parting_name(case)),
        blocks=(
            Block("Metal", _metal(plan, say)),
            *([Block("Inoculant", _inoculant(plan, model.units, say))] if alloy.iron else []),
            Block("Pour", _pour(plan, model, say)),
            Block("Mold", _mold(plan, model.units, say)),
            Block("Shake-out", _shake_out(clock, run, say)),
            Block("Watch", _watch(findings, run is not None, alloy.iron is not None, say)),
        ),
        blanks=BLANKS,
        assumptions=_assumptions(name, model, plan, say),
        cautions=(*([COPPER_CAUTION] if copper else []), *CAUTIONS),
        more="solidsim check",
    )


def _parting_name(case: Case) -> str:
    given = case.standing("workshop.parting") == "given"
    return "parting line" if given else "parting line, assumed"


def _metal(plan: PouringPlan, say: Say) -> tuple[Line, ...]:
    weights, charge, room = plan.weights, plan.charge, plan.room
    if weights is None or charge is None:
        return (Line("weights", "not known", NO_DEPTH),)
    lines = [
        Line("casting", say(weights.casting, "mass")),
        Line("poured", say(weights.poured, "mass"),
             f"yield {say(round(weights.casting_yield, 2), 'fraction')}"),
        Line("charge", say(charge.charge, "mass"),
             f"{say(charge.pigged_weight, 'mass')} over, to pig"),
    ]  # fmt: skip
    if plan.weights and plan.weights.gating == 0.0:
        lines.append(Line("gating", "not drawn", "add sprue and runner"))
    if room and room.room_left >= 0.0:
        lines.append(Line("crucible", "holds it", f"{say(room.room_left, 'mass')} to spare"))
    elif room:
        short = f"{say(-room.room_left, 'mass')} short: {room.heats:.0f} heats"
        lines.append(Line("crucible", "TOO SMALL", short))
    return tuple(lines)


def _inoculant(plan: PouringPlan, units: Units, say: Say) -> tuple[Line, ...]:
    lines = []
    if plan.inoculant:
        grain = plan.inoculant.coarsest_grain
        if units == "inch":
            grain = round(grain / EIGHTH) * EIGHTH
        share = say(plan.inoculant.share, "fraction")
        note = f"{share}; grains up to {say(grain, 'length')}"
        lines.append(Line("stir in last", say(plan.inoculant.amount, "mass"), note))
    good, last = say(FADE_WARNING, "time"), say(FADE_LIMIT, "time")
    lines += [
        Line("stirred in at", "____ : ____"),
        Line("poured out by", f"+ {good}", f"weaker then; after {last} pig it"),
    ]
    return tuple(lines)


def _pour(plan: PouringPlan, model: Model, say: Say) -> tuple[Line, ...]:
    window = f"{say(plan.coolest, 'temperature')} to {say(plan.hottest, 'temperature')}"
    liquidus = model.materials[model.metal].liquidus
    aim = say(model.pour_temperature, "temperature")
    freezes = f"the metal starts to freeze at {say(liquidus, 'temperature')}"
    lines = [Line("aim at", aim), Line("window", window, freezes)]
    if plan.tap is not None and plan.workshop.holding_time is not None:
        held = say(plan.workshop.holding_time, "time")
        lines.append(Line("tap at", say(plan.tap, "temperature"), f"for {held} in the ladle"))
    if plan.reached is not None and plan.reached < plan.coolest:
        reached = f"it reaches the mold at {say(plan.reached, 'temperature')}"
        lines.append(Line("furnace", "TOO COLD", reached))
    if plan.pouring_time is None:
        lines.append(Line("pour in", "not known", "needs depths, for light alloys gate_area, too"))
    else:
        lines.append(
            Line(
                "pour in",
                say(float(max(1, round(plan.pouring_time))), "time"),
                plan.pouring_source,
            )
        )
    return tuple(lines)


def _mold(plan: PouringPlan, units: Units, say: Say) -> tuple[Line, ...]:
    lines = [Line("cope weight", "not known", "needs depths, or lifted_area and cope_height")]
    if plan.lift:
        whole = float(POUND) if units == "inch" else 1.0
        added = whole * math.ceil(plan.lift.added_weight_core_weight_ignored / whole)
        sand = plan.lift.cope_weight / GRAVITY
        rest = f"on top of {say(sand, 'mass')} of sand" if sand else "on top, sand not counted"
        note = f"{rest}; metal lifts {say(plan.lift.metal_lift / GRAVITY, 'mass')}"
        lines = [Line("cope weight", say(added, "mass") if added else "none needed", note)]
    if plan.vents:
        area = f"{say(plan.vents.area, 'area')} in all, up high"
        size = say(plan.vent_diameter, "length")
        lines.append(Line("vents", f"{plan.vents.number:.0f} of ⌀ {size}", area))
    if plan.workshop.flask:
        sides = " × ".join(say(side, "length") for side in plan.workshop.flask)
        lines.append(Line("flask", sides))
    return tuple(lines)


def _shake_out(clock: ShakeOutClock, run: Run | None, say: Say) -> tuple[Line, ...]:
    below = (
        f"hottest metal below {say(clock.temperature, 'temperature')}" if clock.temperature else ""
    )
    if clock.time is None:
        short = "the run ends before; pour to there" if run else "needs a run: solidsim pour"
        return (Line("not before", "not known", f"{below}; {short}"),)
    return (
        Line("poured at", "____ : ____"),
        Line("not before", f"+ {say(clock.time, 'time')}", below),
        Line("so at", "____ : ____"),
    )


def _watch(findings: Sequence[Finding], poured: bool, iron: bool, say: Say) -> tuple[Line, ...]:
    """Pipe, feeder and what fails; a wedge for iron."""
    lines = [
        Line("wire in pipe", say(finding.value, "length"), f"down {finding.part}")
        for finding in findings
        if finding.name == "pipe" and finding.value is not None
    ]
    risks = [each for each in findings if each.verdict in ("fails", "close")]
    lines += [
        Line(VERDICTS[each.verdict], _short(each.statement), _margin(each, say))
        for each in risks[: MOST_WATCHED - len(lines)]
    ]
    if len(risks) > MOST_WATCHED:
        lines.append(Line("", "", f"and {len(risks) - MOST_WATCHED} more: solidsim judge"))
    if iron:
        lines.append(Line("wedge", "break one first", "note the white"))
    if not poured:
        lines.append(Line("risks", "not known", "needs a run: solidsim pour"))
    elif not risks:
        lines.append(Line("risks", "none found", "in this section"))
    return tuple(lines)


def _margin(finding: Finding, say: Say) -> str:
    if finding.margin is None:
        return ""
    return f"margin {say(finding.margin, difference_kind(finding.kind))}"


def _short(statement: str) -> str:
    """First clause of a statement; the whole stands with the findings."""
    return statement.partition(":")[0] if len(statement) > 60 else statement


def _assumptions(name: str, model: Model, plan: PouringPlan, say: Say) -> tuple[str, ...]:
    """What was given, preset and assumed, what matters most first."""
    rows = open_values(model.provenance)
    cards = [key for standing, key, _ in rows if standing == "preset"]
    assumed = [
        f"{key.replace('part.*', 'parts')} {text}"
        for standing, key, text in rows
        if standing == "assumed" and not key.startswith(UNSAID)
    ]
    return (
        f"Given: {count_given(model.provenance)} values in case {name}",
        *([f"preset: {', '.join(cards)} (solidsim materials NAME)"] if cards else []),
        _rules(say),
        *([] if plan.workshop.flask else [NO_FLASK]),
        *([f"assumed: {assumed[0]}", *assumed[1:]] if assumed else []),
    )


def _rules(say: Say) -> str:
    """What the rules behind the sheet take for granted."""

    def default(rule: str, name: str) -> str:
        (argument,) = (each for each in RULES[rule].arguments if each.name == name)
        assert isinstance(argument.default, float)
        return say(argument.default, argument.kind)

    return (
        f"rules: {default('melt-charge', 'pigged_share')} over, "
        f"{default('melt-charge', 'melting_loss')} lost in melting, crucible filled to "
        f"{default('crucible-room', 'filled_share')}, factor "
        f"{default('cope-lift', 'safety_factor')} on the lift, cores counted without their own "
        f"weight, {default('tap-temperature', 'tapping_loss')} lost in tapping and "
        f"{default('tap-temperature', 'cooling_rate')} in an open hand ladle, vents for the air "
        "of the mold alone"
    )
