"""End panels: a finished sheet that closes the exposed side of a run."""

from typing import Literal

from model.cabinet.toe_kicks import ToeKick
from model.config.types import NonNegativeLength, PositiveLength
from model.draft import Draft
from model.messages import mm
from model.plan import BuiltUnit
from model.shapes import Box
from model.site import Site, Unbuildable
from model.units import UnitOptions, unit_kind

WIDTH_SLACK = 0.05
"""mm. The width a panel is given may differ from its thickness by this much."""
LEAST = 100.0
"""mm. What is left over a toe kick, up and back, is at least this much."""


class PanelOptions(UnitOptions):
    """An end panel of the front sheet, screwed to its neighbour's side. It is as wide as the sheet is thick."""

    kind: Literal["panel"] = "panel"
    """This kind."""
    depth: PositiveLength = 600.0
    """Plane of the neighbours' frames to the rear."""
    height: PositiveLength | None = None
    """Floor to its upper edge; set by the top over it where there is one."""
    exposed: Literal["left", "right"] = "left"
    """The side that is seen: the good face of the sheet."""
    proud: NonNegativeLength = 0.0
    """How far it stands out before the frames, to close the ends of overlay fronts."""
    facing: bool = False
    """A strip of frame board, ripped to the thickness of the sheet, over its front edge."""
    toe_kick: ToeKick | None = None
    """Its neighbour's: sawn out at the front so that the line runs on. Null, or beside skirts, it reaches the floor."""


@unit_kind("panel", "E", PanelOptions)
def build(options: PanelOptions, site: Site) -> BuiltUnit:
    """An end panel in its own frame, the neighbours' frames at y = 0."""
    sheet = site.sheet("front")
    t = sheet.thickness
    top = site.height if site.height is not None else options.height
    if top is None:
        raise Unbuildable("no height: place it under a top that has one, or give the panel its own", "height")
    if options.height is not None and abs(options.height - top) > WIDTH_SLACK:
        raise Unbuildable(
            f"the height {mm(options.height)} does not meet the top over it, which needs {mm(top)}", "height"
        )
    if abs(site.width - t) > WIDTH_SLACK:
        raise Unbuildable(
            f"a panel of {sheet.name} is {mm(t)} wide, not {mm(site.width)}: give it that width where it is placed",
            *("materials", "front"),
        )
    kick = options.toe_kick if options.toe_kick and options.toe_kick.style != "skirt" else None
    board = site.board("frame") if options.facing else None
    if board and board.width < t:
        raise Unbuildable(f"{board.name} is {mm(board.width)} wide and does not cover {mm(t)} of sheet", "facing")
    front = -options.proud + (board.thickness if board else 0.0)
    if options.depth < LEAST or (kick and (options.depth - kick.depth < LEAST or top - kick.height < LEAST)):
        raise Unbuildable(f"a panel {mm(options.depth)} deep and {mm(top)} high leaves nothing to fix", "depth")
    if kick and kick.depth <= front:
        raise Unbuildable(f"a toe kick {mm(kick.depth)} deep ends inside the facing", "toe_kick", "depth")
    draft = Draft()
    face = "-x" if options.exposed == "left" else "+x"
    panel = draft.sheet("panel", Box((0, front, 0), (t, options.depth, top)), sheet, "z", face, "end panel")
    if kick:
        panel.take(panel.box.replace(y=(front, kick.depth), z=(0.0, kick.height)))
    if board:
        low = kick.height if kick else 0.0
        strip = draft.board("facing", Box((0, -options.proud, low), (t, front, top)), board, "z", "-y", "facing")
        draft.join("glued", strip, panel)
    return draft.finish(site.name, site.code, "panel", ("panel", "panel"), ("panel",))
