"""The case as written: one frozen pydantic model per table of the file, values in SI.

Lengths are in meters, temperatures in kelvin, times in seconds, coefficients in W/m2K. A field
says here, and only here, what its key may hold, its default and an example for messages; the
``description`` of a field says what happens where the key is left out and has no fixed default.
"""

from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, StrictInt, Tag, model_validator

from solidsim.case.gating import Gating
from solidsim.case.table import Table
from solidsim.case.values import (
    Coefficient,
    Conductance,
    Depth,
    Emissivity,
    NiyamaLimit,
    Point,
    PouringTime,
    Radius,
    ShakeOutMoment,
    SideWord,
    Size,
    Temperature,
)
from solidsim.case.workshop import Workshop

View = Literal["upright", "plan", "round"]
Role = Literal[
    "casting",
    "feeder",
    "neck",
    "ingate",
    "runner",
    "sprue",
    "core",
    "chill",
    "sleeve",
    "insulation",
    "air",
]
METAL_ROLES = frozenset({"casting", "feeder", "neck", "ingate", "runner", "sprue"})
SHAPES = ("rectangle", "polygon", "circle", "ring")


class SectionTable(Table):
    """How the section is seen and cut into cells."""

    view: View = "upright"
    cell: Size | None = Field(
        default=None, description="a tenth of the thinnest metal", examples=['"1.5 mm"']
    )
    depth: Depth = Field(default="through", examples=['"40 mm"'])


class Pour(Table):
    """The metal and its temperature."""

    alloy: str = Field(examples=['"gray-iron"'])
    temperature: Temperature = Field(examples=['"1370 °C"'])
    fill: Literal["at-once", "rising", "flowing"] | None = Field(
        default=None, description="rising where there is gating or a time, else at-once"
    )
    time: PouringTime | None = Field(
        default=None, description="by the gating, if there is one", examples=['"9 s"']
    )


class Rectangle(Table):
    """A rectangle between two opposite corners, keys ``from`` and ``to``."""

    start: Point = Field(alias="from", examples=['["0 mm", "0 mm"]'])
    end: Point = Field(alias="to", examples=['["220 mm", "20 mm"]'])

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top, [m]."""
        (x0, y0), (x1, y1) = self.start, self.end
        return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


class Circle(Table):
    """A full circle."""

    center: Point = Field(examples=['["50 mm", "50 mm"]'])
    radius: Size = Field(examples=['"30 mm"'])


class Ring(Table):
    """The area between two circles; ``inner`` and ``outer`` are radii."""

    center: Point = Field(examples=['["50 mm", "50 mm"]'])
    inner: Size = Field(examples=['"20 mm"'])
    outer: Size = Field(examples=['"30 mm"'])


class Mold(Table):
    """The sand around the parts."""

    sand: str = Field(default="green-sand", examples=['"green-sand"'])
    temperature: Temperature = Field(default=293.15, examples=['"20 °C"'])
    box: Rectangle | None = Field(
        default=None,
        description="the cover around all parts",
        examples=['{ from = ["-60 mm", "-60 mm"], to = ["280 mm", "180 mm"] }'],
    )
    cover: Size | None = Field(
        default=None,
        description="by the thickness of the metal, where there is no box",
        examples=['"60 mm"'],
    )


class FaceCover(Table):
    """A plate of a material on an out-of-plane face, with mold behind it."""

    material: str = Field(examples=['"iron-chill"'])
    thickness: Size = Field(examples=['"20 mm"'])


def _covering(written: Any) -> str:
    return "<plate>" if isinstance(written, dict | FaceCover) else "<word>"


Covering = Annotated[
    Annotated[Literal["mold", "air"], Tag("<word>")] | Annotated[FaceCover, Tag("<plate>")],
    Discriminator(_covering),
]
_COVERING_EXAMPLES = ['"air"', '{ material = "iron-chill", thickness = "20 mm" }']


class TwoFaces(Table):
    """What covers the cope face and the drag face of a part in plan, apart."""

    cope: Covering = Field(default="mold", examples=_COVERING_EXAMPLES)
    drag: Covering = Field(default="mold", examples=_COVERING_EXAMPLES)


def _facing(written: Any) -> str:
    apart = isinstance(written, TwoFaces) or (
        isinstance(written, dict) and bool({"cope", "drag"} & set(written))
    )
    return "<apart>" if apart else "<both>"


Faces = Annotated[
    Annotated[Covering, Tag("<both>")] | Annotated[TwoFaces, Tag("<apart>")],
    Discriminator(_facing),
]


class PartTable(Table):
    """One part, with exactly one shape; later parts are painted over earlier ones."""

    name: str = Field(min_length=1, examples=['"web"'])
    role: Role = Field(examples=['"casting"'])
    rectangle: Rectangle | None = Field(
        default=None, examples=['{ from = ["0 mm", "0 mm"], to = ["220 mm", "20 mm"] }']
    )
    polygon: tuple[Point, ...] | None = Field(
        default=None, examples=['[["0 mm", "0 mm"], ["40 mm", "0 mm"], ["0 mm", "40 mm"]]']
    )
    circle: Circle | None = Field(
        default=None, examples=['{ center = ["50 mm", "50 mm"], radius = "30 mm" }']
    )
    ring: Ring | None = Field(
        default=None, examples=['{ center = ["50 mm", "50 mm"], inner = "20 mm", outer = "30 mm" }']
    )
    fillet: Radius = Field(default=0.0, examples=['"8 mm"'])
    depth: Depth | None = Field(default=None, description="as the section", examples=['"40 mm"'])
    faces: Faces = Field(
        default="mold", examples=[*_COVERING_EXAMPLES, '{ cope = "air", drag = "mold" }']
    )
    material: str | None = Field(default=None, description="by its role", examples=['"iron-chill"'])
    temperature: Temperature | None = Field(
        default=None, description="the pour's for metal, else the mold's", examples=['"20 °C"']
    )

    @property
    def both_faces(self) -> tuple[Covering, Covering]:
        """What covers the cope (or front) face and the drag (or back) face."""
        if isinstance(self.faces, TwoFaces):
            return self.faces.cope, self.faces.drag
        return self.faces, self.faces

    @property
    def shape(self) -> Rectangle | Circle | Ring | tuple[Point, ...]:
        """The one shape of the part; a polygon is a tuple of corners [m]."""
        return next(
            shape
            for shape in (self.rectangle, self.polygon, self.circle, self.ring)
            if shape is not None
        )


class FixedSide(Table):
    """An outer side held at a temperature."""

    temperature: Temperature = Field(examples=['"20 °C"'])


class AmbientSide(Table):
    """An outer side that loses heat to its surroundings: free air, common practice, no source."""

    ambient: Temperature = Field(default=293.15, examples=['"20 °C"'])
    coefficient: Coefficient = Field(default=10.0, examples=['"10 W/m2K"'])
    emissivity: Emissivity = Field(default=0.9, examples=["0.9"])


class OpenFace(Table):
    """Faces of the metal and mold against ``air`` parts: free air, common practice, no source."""

    ambient: Temperature = Field(default=293.15, examples=['"20 °C"'])
    coefficient: Coefficient = Field(default=10.0, examples=['"10 W/m2K"'])
    emissivity: Emissivity | None = Field(
        default=None, description="of the material that lies open", examples=["0.8"]
    )


def _side(written: Any) -> str:
    if isinstance(written, FixedSide) or (isinstance(written, dict) and "temperature" in written):
        return "<fixed>"
    return "<ambient>" if isinstance(written, dict | AmbientSide) else "<word>"


Side = Annotated[
    Annotated[SideWord, Tag("<word>")]
    | Annotated[FixedSide, Tag("<fixed>")]
    | Annotated[AmbientSide, Tag("<ambient>")],
    Discriminator(_side),
]
_SIDE_EXAMPLES = ['"insulated"']


class Boundary(Table):
    """The four outer sides of the section, and the faces open to air inside it."""

    left: Side = Field(default=AmbientSide(), examples=_SIDE_EXAMPLES)
    right: Side = Field(default=AmbientSide(), examples=_SIDE_EXAMPLES)
    bottom: Side = Field(default=AmbientSide(), examples=_SIDE_EXAMPLES)
    top: Side = Field(default=AmbientSide(), examples=_SIDE_EXAMPLES)
    open: OpenFace = Field(
        default=OpenFace(),
        examples=['{ ambient = "20 °C", coefficient = "10 W/m2K", emissivity = 0.8 }'],
    )


def _conductance(written: Any) -> str:
    if isinstance(written, list | tuple):
        return "<table>"
    return "<word>" if written == "perfect" else "<value>"


class Interface(Table):
    """The joint between two materials, named by material or by kind.

    ``conductance`` is ``"perfect"``, one value, or rows of temperature and value.
    """

    between: tuple[str, str] = Field(examples=['["alloy", "mold"]'])
    conductance: Annotated[
        Annotated[Literal["perfect"], Tag("<word>")]
        | Annotated[Conductance, Tag("<value>")]
        | Annotated[tuple[tuple[Temperature, Conductance], ...], Tag("<table>")],
        Discriminator(_conductance),
    ] = Field(examples=['"1000 W/m2K"'])


class Probe(Table):
    """A point whose whole cooling curve is kept."""

    name: str = Field(min_length=1, examples=['"middle of the web"'])
    at: Point = Field(examples=['["110 mm", "10 mm"]'])


class Cooling(Table):
    """How far the run goes."""

    shake_out: ShakeOutMoment | None = Field(
        default=None, description="not looked at", examples=['"450 °C"', '"4 h"']
    )
    stop: Literal["solid", "shake-out"] | None = Field(
        default=None, description="at shake-out if there is one, else when all metal is solid"
    )

    @property
    def stops_at(self) -> Literal["solid", "shake-out"]:
        """Where the run ends, with the default filled in."""
        return self.stop or ("shake-out" if self.shake_out else "solid")


class Judging(Table):
    """Where and against what the run is judged."""

    temperature: Temperature | None = Field(
        default=None, description="late in the alloy's freezing", examples=['"1150 °C"']
    )
    niyama_limit: NiyamaLimit | None = Field(
        default=None, description="by the alloy's card", examples=['"0.8 (K s)^1/2/mm"']
    )


class Output(Table):
    """What is kept of the run."""

    frames: StrictInt = Field(default=120, ge=2, le=2000, examples=["120"])


class CaseDescription(Table):
    """The whole case, bases merged in, every default filled in where there is one."""

    title: str = Field(min_length=1, examples=['"Sheave bracket: one feeder on the web"'])
    base: str | None = Field(default=None, examples=['"bracket.toml"'])
    without: tuple[str, ...] = Field(default=(), examples=['["feeder"]'])
    units: Literal["metric", "inch"] | None = Field(
        default=None, description="those the case is written in", examples=['"inch"']
    )
    section: SectionTable = SectionTable()
    pour: Pour
    gating: Gating | None = Field(default=None, description="none")
    mold: Mold = Mold()
    part: tuple[PartTable, ...] = ()
    boundary: Boundary = Boundary()
    interface: tuple[Interface, ...] = ()
    material: dict[str, dict[str, Any]] = Field(default={})
    probe: tuple[Probe, ...] = ()
    cooling: Cooling = Cooling()
    judging: Judging = Judging()
    output: Output = Output()
    workshop: Workshop | None = None

    @property
    def fill(self) -> Literal["at-once", "rising", "flowing"]:
        """How the metal comes in, with the default filled in."""
        told = self.gating is not None or self.pour.time is not None
        return self.pour.fill or ("rising" if told else "at-once")

    @model_validator(mode="before")
    @classmethod
    def _axis(cls, data: Any) -> Any:
        """In the round view the left side is the axis, unless the case says otherwise."""
        section, boundary = data.get("section"), data.get("boundary", {})
        about_axis = isinstance(section, dict) and section.get("view") == "round"
        if about_axis and isinstance(boundary, dict):
            return {**data, "boundary": {"left": "symmetry", **boundary}}
        return data
