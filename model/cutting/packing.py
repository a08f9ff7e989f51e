"""The one door to the packing solver: rectangles on sheets and pieces on lengths, sizes in mm.

Every call runs in one thread with a bounded search, so that the same input gives the same answer; a time limit ends
the search early and may change it. Whatever comes back holds everything that was asked for, or nothing comes back.
"""

import importlib
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from model.cutting.laid import Way

Goal = Literal["BinPacking", "BinPackingWithLeftovers", "VariableSizedBinPacking", "Knapsack"]

MICROMETRES = 1000
COARSE = 100
"""Micrometres. The grid of long lists whose sizes share no grid of their own: sizes are rounded up to it."""
LONG_LIST = 8
"""Pieces. Longer lists without a grid of their own take the coarse one (ten and more times quicker, measured)."""
GRIDS = (1000, 500, 250, 200, 100, 50, 25)
STAGES = 3


@dataclass(frozen=True, slots=True)
class Rect:
    """So many equal rectangles; `turns` where they may be turned. `worth` is what one earns where not all need fit."""

    along: float
    across: float
    copies: int = 1
    turns: bool = False
    worth: float | None = None


@dataclass(frozen=True, slots=True)
class Bed:
    """A sheet to fill (its usable size), what one costs (0: it is on the rack) and how many there are."""

    along: float
    across: float
    cost: float
    copies: int


@dataclass(frozen=True, slots=True)
class Leaf:
    """One rectangle, by its place in the list that was asked for."""

    index: int
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Split:
    """Pieces side by side, parted by rips (one above the other) or by crosscuts (one beside the other)."""

    way: Way
    members: tuple["Tree", ...]


Tree = Leaf | Split


@dataclass(frozen=True, slots=True)
class Free:
    """One rectangle where it was put, its lower left corner from that of the bed (mm)."""

    index: int
    x: float
    y: float
    turned: bool


@dataclass(frozen=True, slots=True)
class Search:
    """How a job is searched: its goal, how wide (0: as the solver likes), in how many rounds (0: one tree), how long.

    `first` is the way of the first cuts; None tries both.
    """

    goal: Goal = "BinPacking"
    queue: int = 64
    rounds: int = 0
    first: Way | None = "rip"
    seconds: float | None = None


@dataclass(frozen=True, slots=True)
class Found[What]:
    """Filled beds, each with its place in the list of beds, and whether no answer can be better."""

    beds: tuple[tuple[int, What], ...]
    proven: bool


def guillotine(rects: Sequence[Rect], beds: Sequence[Bed], kerf: float, how: Search) -> Found[Tree] | None:
    """Everything cut from the beds by straight cuts in three stages and a trimming cut; None where it was not found.

    For the goal `Knapsack` what is worth most is cut from one bed, the rest left.
    """
    g = _solver("rectangleguillotine")

    grid = _Grid.of(_sizes(rects, beds), kerf, sum(r.copies for r in rects))
    builder = g.InstanceBuilder()
    builder.set_objective(getattr(g.Objective, how.goal))
    builder.set_cut_thickness(grid.kerf)
    builder.set_number_of_stages(STAGES)
    builder.set_cut_type(g.CutType.NonExact)
    first = {"rip": "Horizontal", "cross": "Vertical", None: "Any"}[how.first]
    builder.set_first_stage_orientation(getattr(g.CutOrientation, first))
    _fill(builder, rects, beds, grid)
    parameters = _parameters(g, how)
    out = g.optimize(builder.build(), parameters)
    if not out.solution.full() and how.goal != "Knapsack":
        return None
    found = [
        (int(b.bin_type_id), tree)
        for b in _bins(out.solution)
        for tree in [_tree(b, rects, grid)] * int(b.copies)
        if tree is not None
    ]
    return Found(tuple(found), bool(out.is_proven_optimal()))


def nested(rects: Sequence[Rect], beds: Sequence[Bed], gap: float, how: Search) -> Found[tuple[Free, ...]] | None:
    """Everything laid freely on the beds, `gap` apart; None where that was not found. `how.first` plays no part."""
    r = _solver("rectangle")

    grid = _Grid.of(_sizes(rects, beds), gap, sum(rect.copies for rect in rects))
    builder = r.InstanceBuilder()
    builder.set_objective(getattr(r.Objective, how.goal))
    _fill(builder, rects, beds, grid, inflated=True)
    parameters = _parameters(r, how)
    parameters.reduction_parameters.reduce = False  # on some inputs it asks for all the memory there is
    out = r.optimize(builder.build(), parameters)
    if not out.solution.full() and how.goal != "Knapsack":
        return None
    found = [
        (
            int(b.bin_type_id),
            tuple(Free(int(i.item_type_id), grid.mm(i.x), grid.mm(i.y), bool(i.rotate)) for i in b.items),
        )
        for b in _bins(out.solution)
        for _ in range(int(b.copies))
    ]
    return Found(tuple(found), bool(out.is_proven_optimal()))


def lengths(
    pieces: Sequence[tuple[float, int]], bars: Sequence[Bed], kerf: float, seconds: float | None = None
) -> Found[tuple[int, ...]] | None:
    """Pieces (length, copies) on bought lengths at the least cost, as places in the list; None where not all fit.

    A bar is a Bed whose `across` plays no part.
    """
    o = _solver("onedimensional")

    values = [*(p[0] for p in pieces), *(b.along for b in bars)]
    grid = _Grid.of(values, kerf, sum(n for _, n in pieces))
    builder = o.InstanceBuilder()
    builder.set_objective(o.Objective.VariableSizedBinPacking)
    for bar in bars:
        builder.add_bin_type(grid.bed(bar.along) + grid.kerf, cost=bar.cost, copies=bar.copies)
    for length, copies in pieces:
        builder.add_item_type(grid.piece(length) + grid.kerf, copies=copies)
    out = o.optimize(builder.build(), _parameters(o, Search(queue=0, seconds=seconds)))
    if not out.solution.full():
        return None
    found = [
        (int(b.bin_type_id), tuple(int(i.item_type_id) for i in b.items))
        for b in _bins(out.solution)
        for _ in range(int(b.copies))
    ]
    return Found(tuple(found), bool(out.is_proven_optimal()))


@dataclass(frozen=True, slots=True)
class _Grid:
    """Whole numbers for the solver: pieces rounded up with their saw cut, beds down, so that what fits there fits."""

    step: int
    kerf_um: int

    @classmethod
    def of(cls, values: Iterable[float], kerf: float, count: int) -> "_Grid":
        um = [_um(kerf), *map(_um, values)]
        common = math.gcd(*um)
        exact = next((step for step in GRIDS if common % step == 0), None)
        step = exact or (max(common, 1) if count <= LONG_LIST else COARSE)
        return cls(step, um[0])

    @property
    def kerf(self) -> int:
        return self.kerf_um // self.step

    def piece(self, mm: float) -> int:
        return -(-(_um(mm) + self.kerf_um) // self.step) - self.kerf

    def bed(self, mm: float) -> int:
        return (_um(mm) + self.kerf_um) // self.step - self.kerf

    def mm(self, units: float) -> float:
        return units * self.step / MICROMETRES


def _um(mm: float) -> int:
    return round(mm * MICROMETRES)


def _sizes(rects: Sequence[Rect], beds: Sequence[Bed]) -> list[float]:
    return [v for r in (*rects, *beds) for v in (r.along, r.across)]


def _fill(builder: Any, rects: Sequence[Rect], beds: Sequence[Bed], grid: _Grid, inflated: bool = False) -> None:
    more = grid.kerf if inflated else 0
    for bed in beds:
        size = (grid.bed(bed.along) + more, grid.bed(bed.across) + more)
        builder.add_bin_type(*size, cost=bed.cost or 1.0, copies=bed.copies)  # a cost of nothing is refused
    for rect in rects:
        size = (grid.piece(rect.along) + more, grid.piece(rect.across) + more)
        worth = {} if rect.worth is None else {"profit": rect.worth}
        builder.add_item_type(*size, copies=rect.copies, oriented=not rect.turns, **worth)


def _solver(part: str) -> Any:
    """One of the solvers; loaded here, when something is cut."""
    return importlib.import_module(f"packingsolver.{part}")


def _parameters(module: Any, how: Search) -> Any:
    """One thread, quiet."""
    parameters = module.OptimizeParameters()
    parameters.optimization_mode = module.OptimizationMode.NotAnytimeSequential
    parameters.verbosity_level = 0
    parameters.messages_to_stdout = False
    if how.seconds is not None:
        parameters.time_limit = max(how.seconds, 0.01)
    if how.rounds:
        parameters.use_sequential_value_correction = True
        parameters.sequential_value_correction_subproblem_tree_search_queue_size = how.queue
        parameters.not_anytime_sequential_value_correction_number_of_iterations = how.rounds
    elif how.queue:
        parameters.use_tree_search = True
        parameters.not_anytime_tree_search_queue_size = how.queue
    return parameters


def _bins(solution: Any) -> list[Any]:
    return [solution.bin(i) for i in range(solution.number_of_different_bins())]


def _tree(found: Any, rects: Sequence[Rect], grid: _Grid) -> Tree | None:
    """The cuts of one bed; None where nothing is cut from it."""
    first: Way = "rip" if "Horizontal" in str(found.first_cut_orientation) else "cross"
    nodes = list(found.nodes)

    def grown(i: int) -> Tree | None:
        node = nodes[i]
        if node.item_type_id >= 0 and node.f >= 0:
            rect = rects[node.item_type_id]
            return Leaf(
                int(node.item_type_id), rect.turns and _turned(node, grid.piece(rect.along), grid.piece(rect.across))
            )
        way: Way = first if node.d % 2 == 0 else ("cross" if first == "rip" else "rip")
        members = [tree for child in node.children if (tree := grown(child)) is not None]
        return joined(way, members)

    roots = [i for i, node in enumerate(nodes) if node.f < 0]
    return grown(roots[0]) if roots else None


def _turned(node: Any, along: int, across: int) -> bool:
    """Whether a piece lies turned on a node that may be larger by a sliver the saw takes anyway."""
    size = (node.r - node.l, node.t - node.b)
    lies = size[0] >= along and size[1] >= across
    return not lies or (size[0] == across and size[1] == along and along != across)


def joined(way: Way, members: Sequence[Tree]) -> Tree | None:
    """The members side by side: one alone is itself, those parted the same way are taken in; None without any."""
    flat = [m for tree in members for m in (tree.members if isinstance(tree, Split) and tree.way == way else (tree,))]
    return None if not flat else flat[0] if len(flat) == 1 else Split(way, tuple(flat))
