"""STEP files: `model.step`, the whole room, and `units/<unit>.step`, one for each unit at its place in the room.

One assembly, millimetres, nested as the paths of the parts are: project, unit, sub-assembly. A part is one product,
named by its shop mark and placed as often as it is used; each occurrence bears the same mark, with the path of the
part as its identifier. Colours are those of the materials, sRGB in and sRGB out.

The schema is AP214 (ISO 10303-214): solids, assemblies and colours are the same there as in its successor AP242, and
programs that read only the older one are still in use.

The kernel writes geometry and structure. Three things it writes differ from run to run: the header with its time, the
running numbers of occurrences, and the order of the colours. So labels go in as tokens, and header, names, numbers
and colours are set in the text. Equal plans give equal bytes.
"""

# The bindings of the kernel come without type stubs.
# pyright: reportAttributeAccessIssue=false

import io
import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_StepModelType
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.TopLoc import TopLoc_Location
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import XCAFDoc_DocumentTool
from OCP.XSControl import XSControl_WorkSession

from exporters.filenames import file_stems
from model.errors import ExportError
from model.part import Part
from model.placement import Placement
from model.solids import solid, transform

if TYPE_CHECKING:
    from model.build import Build

Colour = tuple[float, float, float]

SYSTEM = "wallwork"
SCHEMA = "AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }"
"""ISO 10303-214:2010 in the spelling of the file header: name and object identifier."""


def write(build: "Build", out: Path) -> list[Path]:
    """Write `model.step` and `units/<unit>.step` below `out`; raises ExportError where a file would not be whole."""
    plan = build.plan
    stems = file_stems(unit.name for unit in plan.units)
    leaves: dict[str, list[Leaf]] = {unit.name: [] for unit in plan.units}
    for unit, leaf in _leaves(build):
        leaves[unit].append(leaf)
    jobs = [(out / "model.step", tree(plan.title, "", [leaf for some in leaves.values() for leaf in some]))]
    jobs += [(out / "units" / f"{stems[name]}.step", tree(name, name, some)) for name, some in leaves.items() if some]
    for path, root in jobs:
        save(path, step_text(root, path.name))
    return [path for path, _ in jobs]


def _leaves(build: "Build") -> "Iterator[tuple[str, Leaf]]":
    """Every part as it stands in the file, with the name of its unit."""
    products: dict[Part, Product] = {}
    for unit in build.plan.units:
        for placed in unit.parts:
            part = placed.part
            if part not in products:
                colour = build.stock.material(part.material).colour
                products[part] = Product(build.plan.marks[part], part.material, solid(part), colour)
            yield unit.name, Leaf(placed.path, products[part].name, products[part], placed.placement)


def save(path: Path, text: str) -> None:
    """Write the text of a file, its folder made where it is missing; raises ExportError."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.encode("ascii"))
        size = path.stat().st_size
    except OSError as error:
        raise ExportError(f"{path.name}: could not be written: {error.strerror}") from error
    if size != len(text):
        raise ExportError(f"{path.name}: {size} bytes on disk; must be {len(text)}")


# What the file holds


@dataclass(frozen=True, slots=True, eq=False)
class Product:
    """A shape (of cadquery, without a location) that is stored once, however often it is placed.

    `material` is its description, `colour` that of its solids.
    """

    name: str
    material: str
    shape: Any
    colour: Colour


@dataclass(frozen=True, slots=True)
class Leaf:
    """A product at its place. `path` is its identifier, by which it is nested; `name` what readers call it."""

    path: str
    name: str
    product: Product
    placement: Placement


@dataclass(slots=True)
class Assembly:
    """A level of the tree, in the order the parts are met; `path` is its own, empty for the whole room."""

    name: str
    path: str
    inner: "dict[str, Assembly]" = field(default_factory=dict)
    leaves: list[Leaf] = field(default_factory=list)


def tree(name: str, path: str, leaves: Iterable[Leaf]) -> Assembly:
    """The leaves under one root, sub-assemblies by the segments of their paths below `path`."""
    root = Assembly(name, path)
    for leaf in leaves:
        level = root
        for segment in leaf.path.removeprefix(f"{path}/" if path else "").split("/")[:-1]:
            below = f"{level.path}/{segment}" if level.path else segment
            level = level.inner.setdefault(segment, Assembly(segment, below))
        level.leaves.append(leaf)
    return root


@dataclass(frozen=True, slots=True)
class _Label:
    """What stands in the file for a token, of a product or an occurrence; `product` where it is that of a leaf.

    Readers call an occurrence by its description where it has one, so only a leaf's product has: its material.
    """

    identifier: str
    name: str
    product: Product | None = None


class _Document:
    """The kernel's document of a tree: each product once, each label named by the token `T<n>` of `labels[n]`."""

    def __init__(self, tree: Assembly) -> None:
        self.labels: list[_Label] = []
        self.occurrences = 0
        self._products: dict[Product, TDF_Label] = {}
        self.document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
        XCAFApp_Application.GetApplication_s().InitDocument(self.document)
        self._shapes = XCAFDoc_DocumentTool.ShapeTool_s(self.document.Main())
        self._assembly(tree)
        self._shapes.UpdateAssemblies()

    @property
    def products(self) -> list[Product]:
        return list(self._products)

    def _assembly(self, tree: Assembly) -> TDF_Label:
        label = self._shapes.NewShape()
        self._name(label, _Label(tree.path or tree.name, tree.name))
        for inner in tree.inner.values():
            self._place(label, self._assembly(inner), TopLoc_Location(), _Label(inner.path, inner.name))
        for leaf in tree.leaves:
            at = TopLoc_Location(transform(leaf.placement))
            self._place(label, self._product(leaf.product), at, _Label(leaf.path, leaf.name))
        return label

    def _product(self, product: Product) -> TDF_Label:
        if product not in self._products:
            self._products[product] = self._shapes.AddShape(product.shape.wrapped, False)
            self._name(self._products[product], _Label(product.name, product.name, product))
        return self._products[product]

    def _place(self, assembly: TDF_Label, product: TDF_Label, at: TopLoc_Location, label: _Label) -> None:
        self._name(self._shapes.AddComponent(assembly, product, at), label)
        self.occurrences += 1

    def _name(self, to: TDF_Label, label: _Label) -> None:
        TDataStd_Name.Set_s(to, TCollection_ExtendedString(f"T{len(self.labels)}"))
        self.labels.append(label)


# The text


def step_text(tree: Assembly, name: str) -> str:
    """The whole file, ASCII, lines ended by a line feed; `name` is the file's own name for its header."""
    if not tree.leaves and not tree.inner:
        raise ExportError(f"{name}: the plan has no parts")
    content = _Document(tree)
    instances, bodies = _named(_written(content.document, name), content)
    _prove(instances, bodies, content, name)
    instances += _styles(bodies, after=int(instances[-1].split(" ")[0][1:]))
    return "\n".join(
        ["ISO-10303-21;", *_header(name), "DATA;", *(i + ";" for i in instances), "ENDSEC;", "END-ISO-10303-21;", ""]
    )


_SETTINGS = {
    "write.step.schema": "AP214IS",
    "write.step.unit": "MM",
    "xstep.cascade.unit": "MM",
    "write.step.assembly": "On",
    "write.step.nonmanifold": "Off",
    "write.step.tessellated": "Off",
    "write.stepcaf.subshapes.name": "Off",
    "write.precision.mode": "Average",
    "write.surfacecurve.mode": "Off",  # planes and cylinders need no curves in their own plane
}
"""The kernel keeps its settings for the whole process, so each that matters is set before each file."""


def _written(document: TDocStd_Document, name: str) -> list[str]:
    """The data section as the kernel writes it, one instance an item, on one line and without its semicolon."""
    writer = STEPCAFControl_Writer(XSControl_WorkSession(), False)
    writer.SetNameMode(True)
    for off in (writer.SetColorMode, writer.SetLayerMode, writer.SetPropsMode):
        off(False)
    for setting, value in _SETTINGS.items():
        if not Interface_Static.SetCVal_s(setting, value):
            raise ExportError(f"{name}: the CAD kernel does not take {value} for {setting}")
    stream = io.BytesIO()
    done = writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
    status = writer.WriteStream(stream) if done else None
    if status != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise ExportError(f"{name}: the CAD kernel could not write it")
    text = stream.getvalue().decode("ascii")
    data = text[text.index("\nDATA;\n") + len("\nDATA;\n") : text.rindex("ENDSEC;")]
    return [re.sub(r"\s*\n\s*", "", instance).strip() for instance in data.split(";\n")[:-1]]


@dataclass(slots=True)
class _Body:
    """The solids of a product in the file: their instance numbers and that of their context."""

    product: Product
    context: str = ""
    solids: list[str] = field(default_factory=list)


_PRODUCT = re.compile(r"(#\d+ = PRODUCT)\('T(\d+)','T\d+','',(.*)\)")
_OCCURRENCE = re.compile(r"(#\d+ = NEXT_ASSEMBLY_USAGE_OCCURRENCE)\('[^']*','T(\d+)','',(.*)\)")
_SHAPE = re.compile(r"#\d+ = (?:ADVANCED_BREP_)?SHAPE_REPRESENTATION\('',\(.*\),(#\d+)\)")
_SOLID = re.compile(r"((#\d+) = MANIFOLD_SOLID_BREP)\('',(.*)\)")


def _named(instances: list[str], content: _Document) -> tuple[list[str], list[_Body]]:
    """The instances with labels in place of tokens, and the bodies of the leaves.

    A product, its shape and its solids follow each other in the file, so each solid belongs to the last product.
    """
    found: list[str] = []
    bodies: list[_Body] = []
    taken: set[str] = set()
    for line in instances:
        if match := _PRODUCT.fullmatch(line):
            label = content.labels[int(match[2])]
            identifier = _unused(label.identifier, taken)
            description = label.product.material if label.product else ""
            line = f"{match[1]}({_text(identifier)},{_text(label.name)},{_text(description)},{match[3]})"
            bodies += [_Body(label.product)] if label.product else []
        elif match := _OCCURRENCE.fullmatch(line):
            label = content.labels[int(match[2])]
            line = f"{match[1]}({_text(label.identifier)},{_text(label.name)},'',{match[3]})"
        elif bodies and (match := _SHAPE.fullmatch(line)):
            bodies[-1].context = bodies[-1].context or match[1]
        elif bodies and (match := _SOLID.fullmatch(line)):
            bodies[-1].solids.append(match[2])
            line = f"{match[1]}({_text(bodies[-1].product.name)},{match[3]})"
        found.append(line)
    return found, bodies


def _prove(instances: list[str], bodies: list[_Body], content: _Document, name: str) -> None:
    """Raise ExportError unless every occurrence and every solid of every product is in the file."""
    written = sum(" = NEXT_ASSEMBLY_USAGE_OCCURRENCE(" in i for i in instances)
    if written != content.occurrences:
        raise ExportError(f"{name}: the CAD kernel wrote {written} occurrences; must be {content.occurrences}")
    solids = {body.product: len(body.solids) for body in bodies}
    for product in content.products:
        if solids.get(product) != (wanted := len(product.shape.Solids())):
            raise ExportError(f"{name}: part {product.name} has {solids.get(product)} solids; must be {wanted}")


def _styles(bodies: list[_Body], after: int) -> list[str]:
    """Instances that give each body its colour, numbered on from `after`; a colour is written once."""
    found: list[str] = []

    def add(text: str) -> str:
        found.append(f"#{after + len(found) + 1} = {text}")
        return f"#{after + len(found)}"

    styles: dict[str, str] = {}
    for body in bodies:
        rgb = ",".join(f"{channel:.6f}".rstrip("0") for channel in body.product.colour)
        if rgb not in styles:
            fill = add(f"FILL_AREA_STYLE_COLOUR('',{add(f"COLOUR_RGB('',{rgb})")})")
            area = add(f"SURFACE_STYLE_FILL_AREA({add(f"FILL_AREA_STYLE('',({fill}))")})")
            usage = add(f"SURFACE_STYLE_USAGE(.BOTH.,{add(f"SURFACE_SIDE_STYLE('',({area}))")})")
            styles[rgb] = add(f"PRESENTATION_STYLE_ASSIGNMENT(({usage}))")
        items = ",".join(add(f"STYLED_ITEM('',({styles[rgb]}),{number})") for number in body.solids)
        add(f"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',({items}),{body.context})")
    return found


def _unused(identifier: str, taken: set[str]) -> str:
    """The identifier, or with a number where a product has it already: two of one identifier may be read as one."""
    count, unique = 1, identifier
    while unique in taken:
        count += 1
        unique = f"{identifier} ({count})"
    taken.add(unique)
    return unique


def _text(value: str) -> str:
    """A string of the exchange structure, quoted; what is not printable ASCII in the form of ISO 10303-21, 6.4.3."""
    coded = []
    for char in value:
        code = ord(char)
        if 0x20 <= code < 0x7F:
            coded.append({"'": "''", "\\": "\\\\"}.get(char, char))
        else:
            coded.append(f"\\X2\\{code:04X}\\X0\\" if code <= 0xFFFF else f"\\X4\\{code:08X}\\X0\\")
    return f"'{''.join(coded)}'"


def _header(name: str) -> list[str]:
    """The header section: the time is SOURCE_DATE_EPOCH where that is set, else left empty."""
    epoch = os.environ.get("SOURCE_DATE_EPOCH", "")
    stamp = datetime.fromtimestamp(int(epoch), UTC).strftime("%Y-%m-%dT%H:%M:%S") if epoch.isdigit() else ""
    return [
        "HEADER;",
        "FILE_DESCRIPTION((''),'2;1');",
        f"FILE_NAME({_text(name)},'{stamp}',(''),(''),'{SYSTEM}','{SYSTEM}','');",
        f"FILE_SCHEMA(('{SCHEMA}'));",
        "ENDSEC;",
    ]
