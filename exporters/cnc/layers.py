"""The layers of a drawing for a router: plain words with the operation, the diameter of its tool and its depth.

Layers that begin with `note` are never cut. Every other layer is one operation with one tool at one depth, all from the
face that lies up. A name has the same words in every version of DXF; R12 knows capitals, digits, hyphens and
underscores alone, so `bore 4.5 depth 10` is called `BORE-4_5-DEPTH-10` there.
"""

from dataclasses import dataclass
from enum import IntEnum

from model.bill import plain_mm
from model.cnc import Version


class Step(IntEnum):
    """What is done in which order: what is only told, then small cuts, the outline last."""

    NOTE = 0
    BORE = 1
    COUNTERSINK = 2
    CHANNEL = 3
    OPENING = 4
    OUTLINE = 5


COLOURS = {
    Step.NOTE: 8,
    Step.BORE: 4,
    Step.COUNTERSINK: 6,
    Step.CHANNEL: 3,
    Step.OPENING: 1,
    Step.OUTLINE: 1,
}
"""AutoCAD colour index: grey, cyan, magenta, green, red."""


@dataclass(frozen=True, slots=True, order=True)
class Layer:
    """One layer: its name in plain words, and what it holds, for people."""

    step: Step
    words: str
    told: str

    @property
    def cut(self) -> bool:
        return self.step is not Step.NOTE

    def name(self, version: Version = "R2010") -> str:
        """Its name in a file of that version (R12: DXF reference, symbol table names)."""
        return self.words if version == "R2010" else self.words.upper().replace(" ", "-").replace(".", "_")


def _note(words: str, told: str) -> Layer:
    return Layer(Step.NOTE, f"note {words}", f"{told} Not cut.")


MARK = _note("mark", "Mark, name and size of a part.")
GRAIN = _note("grain", "Arrow along the grain.")
FACES = _note("faces", "Which face lies up, and what is done from the other.")
INDEX = _note("layers", "This list.")
EDGE = _note(
    "edge work", "Bores into edges, tilted bores and bevels, as they lie in plan: no tool reaches them from above."
)
TRIM = _note("trim", "Wood left on an edge, to be trimmed to the wall on site.")
PANEL = _note("panel", "The edge of the panel, as it was cut from the other face.")
SHEET = _note("sheet", "The sheet as it is bought.")
MARGIN = _note("margin", "The part of the sheet that is used.")


def bore(diameter: float, depth: float | None) -> Layer:
    """A round hole; `depth` None goes through."""
    how = "through" if depth is None else f"depth {plain_mm(depth)}"
    told = "Holes right through." if depth is None else f"Holes {plain_mm(depth)} deep."
    return Layer(Step.BORE, f"bore {plain_mm(diameter)} {how}", f"{told} The circle is the hole.")


def countersink(diameter: float, degrees: float) -> Layer:
    """A cone for a screw head, as wide as the circle at the face."""
    words = f"countersink {plain_mm(diameter)} angle {plain_mm(degrees)}"
    told = f"Cones of {plain_mm(degrees)} degrees (both sides together), {plain_mm(diameter)} wide at the face."
    return Layer(Step.COUNTERSINK, words, told)


def channel(kind: str, tool: float, depth: float) -> Layer:
    """A groove or rabbet, cleared out to its rectangle."""
    words = f"{kind} tool {plain_mm(tool)} depth {plain_mm(depth)}"
    return Layer(Step.CHANNEL, words, f"Clear out the inside, {plain_mm(depth)} deep.")


def opening(tool: float) -> Layer:
    return Layer(Step.OPENING, f"opening tool {plain_mm(tool)} through", "Cut through, the tool inside the line.")


def outline(tool: float) -> Layer:
    told = "Cut through last, smallest part first, the tool outside the line."
    return Layer(Step.OUTLINE, f"outline tool {plain_mm(tool)} through", told)


def tab(width: float, height: float) -> Layer:
    """Where the tool rises on its way round an outline."""
    words = f"tab {plain_mm(width)} height {plain_mm(height)}"
    return _note(words, f"Raise the tool {plain_mm(height)} off the underside here, so that a bridge holds the part.")
