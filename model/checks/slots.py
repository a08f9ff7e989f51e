"""Whether the router's tool fits into every groove, notch and opening.

The code `slot`, a warning: a channel, notch or opening with walls to both sides that is narrower than the tool of the
project, or an opening whose rounded corners are sharper than it.
"""

from collections.abc import Iterator

from model.build import Build
from model.checks import check
from model.cuts import Cutout, Groove, Notch, Rabbet
from model.findings import Code, Finding
from model.messages import mm, shown
from model.part import Part
from model.tolerances import CONTACT, rounded

Slot = Groove | Rabbet | Notch | Cutout


def walled(cut: Slot, part: Part) -> float | None:
    """The least distance of two walls of the cut that face each other, mm; None where it has no such walls."""
    spans: list[float] = []
    for low, high, whole in ((cut.u0, cut.u1, part.length), (cut.v0, cut.v1, part.width)):
        if low > CONTACT and high < whole - CONTACT:
            spans.append(high - low)
    return rounded(min(spans)) if spans else None


CODES = (
    Code(
        "slot",
        "A groove, notch or opening is narrower than the router bit: it cannot be cut with it.",
        causes=(
            "a thin back or bottom let into a groove",
            "a bit larger than the job needs",
        ),
        moved_by=(
            "project: cnc.tool",
            "project: materials.back",
            "unit: drawers.box.bottom",
        ),
    ),
)


@check
def slots(build: Build) -> Iterator[Finding]:
    """Finding `slot`."""
    tool = build.inputs.project.value.cnc.tool
    told: set[Part] = set()
    for placed in build.plan.walk():
        part = placed.part
        if part in told or part.kind != "sheet":
            continue
        told.add(part)
        found = {(what, size) for cut in part.cuts if isinstance(cut, Slot) for what, size in _narrow(cut, part, tool)}
        for what, size in sorted(found):
            message = f"{placed.path}: {what} of {mm(size)} is narrower than the tool of {mm(tool)} (cnc: tool)"
            yield Finding(
                code="slot",
                severity="warning",
                message=shown(message, build.plan.lengths),
                parts=(placed.path,),
                value=size,
                limit=tool,
                source="the project file",
            )


def _narrow(cut: Slot, part: Part, tool: float) -> Iterator[tuple[str, float]]:
    width = walled(cut, part)
    if width is not None and width < tool - CONTACT:
        yield f"a {type(cut).__name__.lower()}", width
    if isinstance(cut, Cutout) and 0 < cut.radius < tool / 2 - CONTACT:
        yield "a rounded corner across", rounded(2 * cut.radius)
