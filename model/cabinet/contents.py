"""What fills an opening of a carcass, from the top down: a tray, drawers, then doors or open shelves."""

from dataclasses import dataclass, replace

from model.cabinet.bands import edge, lay
from model.cabinet.carcass import Shell, Span
from model.cabinet.doors import DoorOptions, make_doors, shelf_room
from model.cabinet.drawers import DrawerOptions, bay_of, build_outs, choose_slide, make_drawer, plan_drawer
from model.cabinet.frame import Frame, Opening
from model.cabinet.fronts import FrontOptions, Row, front_heights, room_for_fronts, rows
from model.cabinet.shelves import ShelfOptions, make_shelves
from model.cabinet.trays import TrayOptions, make_tray
from model.config.types import Strict
from model.draft import Draft, Panel
from model.messages import mm
from model.site import Site, Unbuildable
from model.stock.cabinet import EdgeBand
from model.tolerances import rounded

DOOR_LEAST = 150.0
"""mm. Doors lower than this are not worth hanging."""


class Contents(Strict):
    """What an opening holds."""

    tray: TrayOptions | None = None
    """A pull-out work surface over everything else."""
    drawers: DrawerOptions | None = None
    """Drawers; over the doors where there are both."""
    doors: DoorOptions | None = None
    """Doors."""
    shelves: ShelfOptions | None = None
    """Shelves behind doors or in the open."""


@dataclass(frozen=True)
class Place:
    """Where contents go: the clear space, the opening in front of it and how fronts lie over it.

    `frame` is the face frame round the opening, None for bare edges; `lap` how far a front laps the opening above and
    below. `close` says that what is under the opening's upper edge stands alone, with no member to lap.
    """

    shell: Shell
    opening: Opening
    frame: Frame | None
    fronts: FrontOptions
    lap: float
    band: EdgeBand | None

    def below(self, opening_top: float, roof: float) -> "Place":
        """What is left under something: the opening up to `opening_top`, boxes and shelves up to `roof`."""
        return replace(
            self,
            opening=self.opening.within((self.opening.z[0], rounded(opening_top))),
            shell=replace(self.shell, ceiling=min(self.shell.ceiling, rounded(roof))),
        )


def fill(draft: Draft, site: Site, asked: Contents, place: Place) -> None:
    """Make everything asked for. Raises Unbuildable where it does not fit."""
    if asked.tray:
        left = make_tray(
            draft, site, asked.tray, place.shell, place.opening, place.frame, place.fronts, place.lap, place.band
        )
        place = place.below(*left)
        if place.opening.height < 4 * place.shell.thickness:
            raise Unbuildable(f"the tray leaves {mm(max(place.opening.height, 0.0))} of height under it", "tray")
    if asked.drawers:
        lowest = _make_drawers(draft, site, asked, asked.drawers, place)
        if asked.doors:
            place = _under_drawers(place, lowest)
        elif asked.shelves:
            raise Unbuildable("drawers fill the unit: shelves go behind doors or in the open", "shelves")
    avoid: list[Span] = []
    if asked.shelves:
        room = shelf_room(place.fronts, asked.doors, site, place.frame)
        before = set(draft.panels)
        avoid = make_shelves(draft, site, place.shell, asked.shelves, room, place.band.thickness if place.band else 0.0)
        _band_shelves(draft, place, [panel for path, panel in draft.panels.items() if path not in before])
    if asked.doors:
        gap, prefix = place.fronts.gap, place.shell.prefix
        make_doors(draft, site, asked.doors, place.opening, place.lap, gap, tuple(avoid), prefix, place.band)


def _band_shelves(draft: Draft, place: Place, made: list[Panel]) -> None:
    """Band the front edges of shelves; the strip of a fixed one ends at the sides its ends are let into."""
    for panel in made:
        if panel.role == "shelf":
            edge(draft, place.band, panel, "-y")
        elif panel.role == "fixed shelf" and place.band:
            lay(draft, place.band, panel, "-y", x=place.shell.inside)


def _drawer_rows(asked: Contents, drawers: DrawerOptions, place: Place, step: float) -> list[Row]:
    """The rows of drawers in an opening: all of it, or its upper part where doors lie below."""
    z, lap, gap = place.opening.z, place.lap, place.fronts.gap
    between = place.frame.rail if drawers.mullions and place.frame else 0.0
    given = drawers.heights if isinstance(drawers.heights, tuple) else ()
    if not asked.doors:
        count = len(given) or drawers.rows
        total = room_for_fronts(z, count, lap, gap, between)
        heights = front_heights(total, count, drawers.heights, drawers.graduation, step)
        return rows(z, heights, lap, gap, between)
    if not given:
        raise Unbuildable("drawers over doors need the heights of their fronts, as a list", "drawers", "heights")
    room_for_fronts(z, len(given), lap, gap, between)
    low = z[1] + lap - sum(given) - (len(given) - 1) * (between - 2 * lap if between else gap)
    lowest = low + lap if place.frame else low - gap / 2
    if lowest - z[0] < DOOR_LEAST:
        raise Unbuildable(f"the drawers leave {mm(lowest - z[0])} for the doors under them", "drawers", "heights")
    return rows((lowest, z[1]), given, lap, gap, between)


def _make_drawers(draft: Draft, site: Site, asked: Contents, drawers: DrawerOptions, place: Place) -> Row:
    """The drawers, from the top down; gives the lowest row."""
    slide, front = site.slide(), site.sheet("front")
    shell, opening, frame, prefix = place.shell, place.opening, place.frame, place.shell.prefix
    if drawers.mullions and frame is None:
        raise Unbuildable(
            "mullions belong to a face frame: give the unit a frame or leave them out", "drawers", "mullions"
        )
    found = _drawer_rows(asked, drawers, place, site.step)
    front_y = front.thickness if place.fronts.mount == "inset" else 0.0
    length = choose_slide(slide, drawers, shell.rear - front_y)
    clear = slide_clear(shell, opening, drawers.build_out)
    for i, row in enumerate(found, 1):
        name = f"{prefix}drawer {i}"
        walls = (shell.left, shell.right)
        plan = plan_drawer(
            drawers, slide, bay_of(opening, clear, place.lap, walls), row, front, front_y, length, shell.ceiling
        )
        hosts = build_outs(draft, site, name, shell, clear, plan, slide)
        make_drawer(draft, site, name, drawers, bay_of(opening, clear, place.lap, hosts), plan, slide, place.band)
        if drawers.mullions and frame and i < len(found):
            frame.member(f"{prefix}mullion {i}", row.zone[0] - frame.rail)
    return found[-1]


def slide_clear(shell: Shell, opening: Opening, build_out: float | None) -> Span:
    """The clear x between slides: as far in as the frame stands over each wall, or as far as is said."""
    inside = shell.inside
    if build_out is not None:
        return (rounded(inside[0] + build_out), rounded(inside[1] - build_out))
    return (rounded(max(inside[0], opening.x[0])), rounded(min(inside[1], opening.x[1])))


def _under_drawers(place: Place, lowest: Row) -> Place:
    """What is left for doors under the lowest drawer."""
    if place.frame:
        low = lowest.zone[0] - place.frame.rail
        place.frame.member(f"{place.shell.prefix}rail under drawers", low)
        return place.below(low, low)
    top = lowest.front[0] - place.fronts.gap - place.lap
    return place.below(top, top)
