"""Whether a cable that goes down through a grommet finds its way: nothing under the top half covers the bore.

The code `cable-blocked`, a warning: a sub-top, stretcher or strap lies under part of a grommet, so near to its own edge
that it cannot be bored for it.
"""

from collections.abc import Iterator

from model.build import Build
from model.checks import check
from model.cuts import Bore
from model.fastening.bench import Blank, view_from
from model.fastening.fasten import LEVEL
from model.findings import Code, Finding
from model.messages import mm, shown
from model.tolerances import rounded

CODES = (
    Code(
        "cable-blocked",
        "A grommet lies over the edge of a part under the top, which cannot be bored for its cables.",
        causes=("a grommet over a stretcher or a sub-top, near its edge",),
        moved_by=("project: tops.make.grommets",),
    ),
)


@check
def cables(build: Build) -> Iterator[Finding]:
    """Finding `cable-blocked`."""
    plan = build.plan
    grommets = [
        (placed, cut)
        for placed in plan.walk()
        if placed.role == "top"
        for cut in placed.part.cuts
        if isinstance(cut, Bore) and cut.purpose == "grommet"
    ]
    if not grommets:
        return
    level = [Blank(p, "") for p in plan.walk() if p.role in LEVEL]
    for top, bore in grommets:
        r = bore.diameter / 2
        for blank in level:
            view = view_from(blank, top.placement)
            if view is None or (abs(view.hi[2]) > 0.1 and abs(view.lo[2] - top.part.thickness) > 0.1):
                continue
            inside = min(bore.u - view.lo[0], view.hi[0] - bore.u, bore.v - view.lo[1], view.hi[1] - bore.v)
            if -r < inside and not _bored(blank, view.local((bore.u, bore.v, 0.0)), bore.diameter):
                message = (
                    f"{top.path}: the grommet of {mm(bore.diameter)} lies over the edge of {blank.path}, which cannot "
                    "be bored for its cables: move it"
                )
                yield Finding(
                    code="cable-blocked",
                    severity="warning",
                    message=shown(message, plan.lengths),
                    parts=(top.path, blank.path),
                    value=rounded(max(inside - r, 0.0)),
                    limit=0.0,
                    source="the bore under a grommet is whole",
                )


def _bored(blank: Blank, at: tuple[float, float, float], diameter: float) -> bool:
    return any(
        isinstance(cut, Bore)
        and cut.depth is None
        and cut.diameter >= diameter - 0.01
        and abs(cut.u - at[0]) < 0.1
        and abs(cut.v - at[1]) < 0.1
        for cut in blank.placed.part.cuts
    )
