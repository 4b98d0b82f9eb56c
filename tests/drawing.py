"""Drawings for tests: case descriptions of a few parts, sizes in millimeters."""

from solidsim.case.description import CaseDescription


def mm(value):
    return f"{value:.9f} mm"


def point(x, y):
    return [mm(x), mm(y)]


def rectangle(x0, y0, x1, y1):
    return {"rectangle": {"from": point(x0, y0), "to": point(x1, y1)}}


def polygon(*corners):
    return {"polygon": [point(*corner) for corner in corners]}


def circle(x, y, radius):
    return {"circle": {"center": point(x, y), "radius": mm(radius)}}


def ring(x, y, inner, outer):
    return {"ring": {"center": point(x, y), "inner": mm(inner), "outer": mm(outer)}}


def part(shape, name="block", role="casting", **keys):
    return {"name": name, "role": role, **shape, **keys}


def drawing(*parts, box=None, cover=None, **section):
    """A case of these parts; ``box`` is (left, bottom, right, top)."""
    mold = {} if cover is None else {"cover": mm(cover)}
    if box:
        mold["box"] = rectangle(*box)["rectangle"]
    return CaseDescription.model_validate(
        {
            "title": "A drawing",
            "pour": {"alloy": "gray-iron", "temperature": "1370 °C"},
            "section": {
                key: value if isinstance(value, str) else mm(value)
                for key, value in section.items()
            },
            "mold": mold,
            "part": list(parts),
        }
    )


def bracket(**section):
    """A bracket with a web, two bored shoulders, a round feeder on its neck and a chill."""
    left = [(0, -20), (50, -20), (60, 0), (60, 20), (50, 50), (10, 50), (0, 40)]
    right = [(220 - x, y) for x, y in left]
    return drawing(
        part(rectangle(0, 0, 220, 20), "web"),
        part(polygon(*left), "left shoulder", fillet="8 mm"),
        part(polygon(*right), "right shoulder", fillet="8 mm"),
        part(circle(30, 15, 12), "left bore", "core"),
        part(circle(190, 15, 12), "right bore", "core"),
        part(rectangle(100, 20, 120, 30), "neck", "neck", depth="round", fillet="4 mm"),
        part(
            polygon((85, 30), (135, 30), (140, 120), (80, 120)), "feeder", "feeder", depth="round"
        ),
        part(rectangle(10, -45, 50, -20), "chill", "chill"),
        **section,
    )
