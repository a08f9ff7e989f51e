"""`interference.step`: the parts that collide or hang loose, and the solid that two of them share.

One assembly for each finding, in the order and with the numbers of `interference.json`, at its place in the room, mm.
Parts are named by their shop marks and placed under their paths, the first of a pair blue and the second orange; what
slides or turns is where it runs deepest into the other. What they share, by the CAD kernel's own boolean, is a product
called `overlap <number>: <path> x <path>`.

Where nothing interferes there is no such file.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from exporters.spots import FIRST, SECOND, SHARED, Colour, numbered, spot_of
from model.checks.interference import interference_of
from model.findings import Finding
from model.part import Part, PlacedPart
from model.placement import Placement
from model.plan import Plan

if TYPE_CHECKING:
    from exporters.step import Assembly, Leaf, Product
    from model.build import Build

    Products = dict[tuple[Part, Colour], Product]

NAME = "interference.step"


def write(build: "Build", out: Path) -> list[Path]:
    """Write `interference.step` below `out` where anything interferes; raises ExportError."""
    findings = interference_of(build.plan)
    if not findings:
        return []
    from exporters.step import save, step_text

    path = out / NAME
    save(path, step_text(_root(build.plan, findings), NAME))
    return [path]


def _root(plan: Plan, findings: tuple[Finding, ...]) -> "Assembly":
    from exporters.step import Assembly

    root, products = Assembly(plan.title, ""), {}
    for number, finding in numbered(findings):
        name = f"{number} {finding.code}"
        root.inner[name] = Assembly(name, name, leaves=list(_leaves(plan, number, finding, products)))
    return root


def _leaves(plan: Plan, number: str, finding: Finding, products: "Products") -> "Iterator[Leaf]":
    from exporters.step import Leaf, Product
    from model.solids import shared

    spot = spot_of(plan, finding)
    under = f"{number} {finding.code}"
    for placed, colour in zip(spot.parts, (FIRST, SECOND), strict=False):
        product = _product(plan, placed, colour, products)
        yield Leaf(f"{under}/{placed.path}", placed.path, product, placed.placement)
    if finding.code in ("overlap", "blocked"):
        first, second = spot.parts
        name = f"overlap {number}: {first.path} x {second.path}"
        shape = shared(first, second)
        if shape is not None:
            yield Leaf(f"{under}/overlap", name, Product(name, "", shape, SHARED), Placement())


def _product(plan: Plan, placed: PlacedPart, colour: Colour, products: "Products") -> "Product":
    from exporters.step import Product
    from model.solids import solid

    part = placed.part
    if (part, colour) not in products:
        # what is kept in a drawer is no part of the plan and has no mark
        name = plan.marks.get(part, placed.name)
        # the kernel knows a shape again whatever its colour, so each colour has a copy
        products[part, colour] = Product(name, part.material, solid(part).copy(), colour)
    return products[part, colour]
