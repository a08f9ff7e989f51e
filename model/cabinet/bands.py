"""Edge bands: strips on the edges of panels, the panels cut smaller by as much, so that outer sizes stay."""

from model.draft import Draft, Panel
from model.messages import mm
from model.shapes import AXES, Box
from model.site import Site, Unbuildable
from model.stock.cabinet import EdgeBand

Span = tuple[float, float]
_NAMES = {"-x": "left", "+x": "right", "-z": "lower", "+z": "upper", "-y": "front", "+y": "rear"}


def band_of(site: Site, name: str | None) -> EdgeBand | None:
    """The band of that name in stock. Raises Unbuildable where there is none."""
    if name is None:
        return None
    found = site.stock.bands.get(name)
    if found is None:
        there = ", ".join(sorted(site.stock.bands)) or "none"
        raise Unbuildable(f"no {name!r} among the bands in stock, there is {there}", "edge_band")
    return found


def lay(draft: Draft, band: EdgeBand, panel: Panel, toward: str, **clip: Span) -> Panel:
    """A strip on the edge of a panel that looks `toward`, outside the panel, over the spans in `clip` (x or z)."""
    low, high = panel.box.span(toward[1])
    thick = panel.box.size[AXES.index(panel.face[1])]
    if band.width < thick:
        raise Unbuildable(f"{band.name} is {mm(band.width)} wide: too narrow for an edge of {mm(thick)}", "edge_band")
    span = (high, high + band.thickness) if toward[0] == "+" else (low - band.thickness, low)
    box = panel.box.replace(**{toward[1]: span, **clip})
    along = next(a for a in AXES if a not in (toward[1], panel.face[1]))
    strip = draft.band(f"{panel.path} band, {_NAMES[toward]}", box, band, along, toward)
    draft.join("glued", strip, panel)
    return strip


def edge(draft: Draft, band: EdgeBand | None, panel: Panel, *toward: str) -> None:
    """Band edges of a finished panel one after another, trimming it first: what comes later lies between."""
    if band is None:
        return
    for side in toward:
        panel.trim(side, band.thickness)
        lay(draft, band, panel, side)


def around(draft: Draft, band: EdgeBand | None, panel: Panel) -> None:
    """Band all four edges of a front: the upright strips lie between the level ones."""
    if band is None:
        return
    whole: Box = panel.box
    for side in ("-x", "+x", "-z", "+z"):
        panel.trim(side, band.thickness)
    for side in ("-x", "+x"):
        lay(draft, band, panel, side)
    for side in ("-z", "+z"):
        lay(draft, band, panel, side, x=whole.span("x"))
