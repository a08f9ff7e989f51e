"""What a part is machined on: its faces and edges, and the bands on those: for panels, labels and who drills them."""

from model.cuts import FLAT, Bore, Groove, PocketBore, Rabbet
from model.faces import Face
from model.part import Part, PlacedPart
from model.plan import Plan

ORDER: tuple[Face, ...] = ("A", "B", "x0", "x1", "y0", "y1")
"""The faces of a part in the order they are told."""


def faces_machined(part: Part) -> tuple[Face, ...]:
    """The faces and edges a tool enters, in a fixed order: `("A",)`, `("A", "B", "x0")` ...

    What goes right through counts for face A (the outline, notches, openings, bores without a countersink), which
    every part that is cut has; a part with cuts on A and B is turned over once, or takes two setups.
    """
    found: set[Face] = {"A"}
    for cut in part.cuts:
        if isinstance(cut, Bore | Groove | Rabbet | PocketBore):
            found.add(cut.face)
    return tuple(face for face in ORDER if face in found)


def both_faces(part: Part) -> bool:
    """Whether a part is machined on face A and on face B."""
    return set(FLAT) <= set(faces_machined(part))


def edges_bored(part: Part) -> tuple[Face, ...]:
    """The edges and ends that are bored: work for a drill and a jig, or a machine that bores level."""
    return tuple(face for face in faces_machined(part) if face not in FLAT)


def banded_edges(plan: Plan) -> dict[str, tuple[tuple[Face, str, float], ...]]:
    """The banded edges of every panel that has any, by its path: the edge, the band and its thickness (mm).

    The size of such a panel is that of its bare blank: what the bands add is not in it.
    """
    found: dict[str, list[tuple[Face, str, float]]] = {}
    for joint in plan.joints:
        if joint.kind != "glued":
            continue
        a, b = plan.by_path[joint.a], plan.by_path[joint.b]
        strip, panel = (a, b) if a.part.kind == "band" else (b, a)
        if strip.part.kind == "band" and panel.part.kind != "band":
            edge = _edge_under(strip, panel)
            found.setdefault(panel.path, []).append((edge, strip.part.material, strip.part.thickness))
    return {path: tuple(sorted(bands)) for path, bands in found.items()}


def banded_by_part(plan: Plan) -> dict[Part, tuple[tuple[Face, str, float], ...]]:
    """The banded edges of every distinct part, over all its places: for the cut list, where equal parts are one row."""
    found: dict[Part, set[tuple[Face, str, float]]] = {}
    for path, bands in banded_edges(plan).items():
        found.setdefault(plan.by_path[path].part, set()).update(bands)
    return {part: tuple(sorted(bands)) for part, bands in found.items()}


def _edge_under(strip: PlacedPart, panel: PlacedPart) -> Face:
    """The edge of a panel its band lies on: the one the middle of the band is beyond."""
    middle = strip.placement.apply((strip.part.length / 2, strip.part.width / 2, strip.part.thickness / 2))
    x, y, _ = panel.placement.inverse().apply(middle)
    beyond: dict[Face, float] = {
        "x0": -x,
        "x1": x - panel.part.length,
        "y0": -y,
        "y1": y - panel.part.width,
    }
    return max(beyond, key=lambda edge: beyond[edge])
