"""The text files beside the drawings: what every layer holds and how to work with them."""

import textwrap
from collections.abc import Iterable

from exporters.cnc.layers import Layer
from model.bill import plain_mm
from model.cnc import Cnc


def _lengths(value: float) -> str:
    return f"{plain_mm(value)} mm"


def common(cnc: Cnc) -> list[str]:
    """What is true of every drawing for the router."""
    relief = (
        "Inside corners that go right through are cut past the corner by half a circle a little wider than the tool of"
        f" {_lengths(cnc.tool)} (corner over-cuts), so that a square piece fits. On the bisector where there is room,"
        " else into the longer side."
        if cnc.relief == "corner"
        else "Inside corners are drawn square: the tool leaves them round. Square them by hand where a square piece"
        " must fit, or set `relief: corner` under `cnc:` in the project."
    )
    return [
        f"DXF {cnc.version}, 1:1 in millimetres, the lower left corner at the origin."
        + (" R12 files carry no unit: read them as millimetres." if cnc.version == "R12" else ""),
        "Closed polylines, circles and text; no blocks, no splines, nothing twice. Arcs are bulges of polylines.",
        "Lines are the true lines of the part: no tool radius is added, nothing is offset. Let the machine do that.",
        "A groove or rabbet that is open at an edge ends at the edge: run the tool out past it. The closed ends of a"
        " stopped one are left round by the tool.",
        "Layers that begin with `note` are not cut. Every other layer is one operation at one depth from the face that"
        " lies up: its name has the operation, the diameter of the tool (mm) and the depth (mm), or `through`."
        " A bore is the diameter of the drill; for grooves and openings it is the project's tool or, where the slot is"
        " narrower, the widest tool that enters it.",
        relief,
        "Entities stand in the order of work: bores, countersinks, channels, openings, outlines.",
    ]


def layer_table(used: Iterable[Layer], cnc: Cnc) -> list[str]:
    """One line for each layer, its name and what it holds."""
    named = [(layer.name(cnc.version), layer.told) for layer in sorted(set(used))]
    wide = max(len(name) for name, _ in named)
    return ["Layers", "", *(f"  {name:<{wide}}  {told}" for name, told in named)]


def _wrapped(line: str) -> str:
    """A line of prose at a width that prints; tables, which are indented, stay as they are."""
    return line if line.startswith(" ") else textwrap.fill(line, 100, break_long_words=False, break_on_hyphens=False)


def written(title: str, *paragraphs: list[str]) -> str:
    """The whole text: paragraphs with an empty line between them, lines wrapped and ended by line feeds."""
    body = "\n\n".join("\n".join(_wrapped(line) for line in p) for p in paragraphs if p)
    return f"{title}\n{'=' * len(title)}\n\n{body}\n"
