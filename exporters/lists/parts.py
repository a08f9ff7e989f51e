"""The parts lists: every distinct part once, the same unit by unit, and material by material."""

from collections import Counter
from collections.abc import Iterable, Mapping

from rich.table import Table as ScreenTable
from rich.text import Text

from exporters.lists.table import JOINED_BY, Column, Table, csv_text
from model.bill import Row, describe_cuts
from model.faces import Face
from model.lengths import LengthUnit, show_number
from model.machining import banded_by_part
from model.part import Part
from model.plan import Plan

KINDS = ("sheet", "board", "band", "hardware")
SIZES = (
    Column("length_mm", "length", "mm"),
    Column("width_mm", "width", "mm"),
    Column("thickness_mm", "thickness", "mm"),
)
PARTS = (
    Column("mark", "mark"),
    Column("quantity", "qty", "count", total=True),
    Column("name", "name"),
    Column("unit", "unit"),
    Column("role", "role"),
    Column("material", "material"),
    *SIZES,
    Column("grain", "grain"),
    Column("cuts", "cuts"),
    Column("weight_kg", "weight each", "kg"),
)
COLUMNS = tuple(column.key for column in PARTS)
BY_UNIT = (
    Column("unit", "unit"),
    Column("mark", "mark"),
    Column("quantity", "qty", "count", total=True),
    Column("name", "name"),
    Column("material", "material"),
    *SIZES,
    Column("grain", "grain"),
)
BY_MATERIAL = (
    Column("kind", "kind"),
    Column("material", "material"),
    Column("mark", "mark"),
    Column("quantity", "qty", "count", total=True),
    *SIZES,
    Column("grain", "grain"),
    Column("edge_bands", "edge bands"),
    Column("unit", "unit"),
    Column("area_m2", "area", "m2", total=True),
    Column("weight_kg", "weight", "kg", total=True),
)
EDGES: dict[Face, str] = {"x0": "end x0", "x1": "end x1", "y0": "edge y0", "y1": "edge y1"}


def parts(rows: Iterable[Row]) -> Table:
    """Every distinct part, in order of appearance; the weight is that of one piece."""
    cells = (
        (
            row.mark,
            row.quantity,
            *(JOINED_BY.join(many) for many in (row.names, row.units, row.roles)),
            row.material,
            *row.part.size,
            row.grain,
            row.cuts,
            row.weight_kg,
        )
        for row in rows
    )
    return Table("parts", "Parts", PARTS, tuple(cells))


def parts_csv(rows: Iterable[Row]) -> str:
    """The whole content of `parts.csv`."""
    return csv_text(parts(rows))


def by_unit(plan: Plan, rows: Mapping[Part, Row]) -> Table:
    """What each unit is made of."""
    cells: list[tuple[str | int | float, ...]] = []
    for unit in plan.units:
        counts = Counter(placed.part for placed in unit.parts)
        for part, count in counts.items():
            row = rows[part]
            names = JOINED_BY.join(dict.fromkeys(p.name for p in unit.parts if p.part == part))
            cells.append((unit.name, row.mark, count, names, row.material, *part.size, row.grain))
    return Table("parts-by-unit", "By unit", BY_UNIT, tuple(cells))


def by_material(plan: Plan, rows: Iterable[Row]) -> Table:
    """What is cut from each material, the largest first; area and weight are those of all pieces."""
    banded = banded_by_part(plan)
    ordered = sorted(rows, key=lambda r: (KINDS.index(r.kind), r.material, -r.length, -r.width, r.mark))
    cells = (
        (
            row.kind,
            row.material,
            row.mark,
            row.quantity,
            *row.part.size,
            row.grain,
            bands_in_words(banded.get(row.part, ())),
            JOINED_BY.join(row.units),
            row.length * row.width * row.quantity / 1e6 if row.kind == "sheet" else None,
            row.weight_kg * row.quantity,
        )
        for row in ordered
    )
    return Table("parts-by-material", "By material", BY_MATERIAL, tuple(cells))


def bands_in_words(bands: Iterable[tuple[Face, str, float]]) -> str:
    """The banded edges of a part: `edge y0, end x1: birch band`."""
    edges: dict[str, list[str]] = {}
    for face, band, _ in bands:
        edges.setdefault(band, []).append(EDGES.get(face, face))
    return JOINED_BY.join(f"{', '.join(where)}: {band}" for band, where in edges.items())


def parts_table(rows: Iterable[Row], lengths: LengthUnit) -> ScreenTable:
    """The cut list for the terminal, lengths in mm or in fractional inches."""
    table = ScreenTable(title=f"Parts (lengths in {lengths}, weight in kg each)", title_justify="left")
    for heading in ("mark", "qty", "name", "unit", "material", "length", "width", "thick", "cuts", "weight"):
        right = heading in ("qty", "length", "width", "thick", "weight")
        table.add_column(heading, justify="right" if right else "left", no_wrap=right or heading == "mark")
    for row in rows:
        sizes = (show_number(value, lengths) for value in row.part.size)
        cuts = describe_cuts(row.part, lambda value: show_number(value, lengths))
        cells = (row.mark, str(row.quantity), ", ".join(row.names), ", ".join(row.units), row.material)
        # Text, not str: a name in square brackets must not be read as console markup
        table.add_row(*(Text(cell) for cell in (*cells, *sizes, cuts, f"{row.weight_kg:.2f}")))
    return table
