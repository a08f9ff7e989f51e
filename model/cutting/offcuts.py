"""What is on the rack: usable pieces left of earlier jobs, as a project names them and as a plan gives them back."""

import difflib
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated

from pydantic import Field

from model.config.tree import Loaded, read
from model.config.types import Lengths, Name, Note, PositiveLength, Strict
from model.cutting.laid import CuttingPlan
from model.errors import ConfigError, Mark
from model.lengths import LengthUnit, show_number
from model.stock.tables import Stock
from model.tolerances import rounded

BY_LENGTH = ("boards", "mouldings", "light_profiles", "led_strips", "bands")
"""Tables of stock that are cut to length alone."""


class Offcut(Strict):
    """One piece on the rack, or several equal ones."""

    material: Name
    """The sheet, board, moulding, light profile, strip or band it is of, as the stock file calls it."""
    length: PositiveLength
    """Along the grain of the face, which need not be the longer way."""
    width: PositiveLength | None = None
    """Across it, of a sheet; left out for what is cut to length alone."""
    count: Annotated[int, Field(ge=1, le=100)] = 1
    """How many there are."""
    name: Name | None = None
    """What is written on it; its place in the file when left out."""
    note: Note = ""
    """A word on it, such as where it stands."""


class Offcuts(Strict):
    """A file of offcuts: used before anything is bought. Their edges are taken for clean: no trim is cut off."""

    lengths: Lengths = "mm"
    """The unit of this file's bare numbers."""
    note: Note = ""
    """A word to the next maker."""
    offcuts: tuple[Offcut, ...] = ()
    """What is on the rack."""

    def named(self) -> tuple[Offcut, ...]:
        """The offcuts, each with a name."""
        return tuple(o.model_copy(update={"name": o.name or f"offcut {i}"}) for i, o in enumerate(self.offcuts, 1))


def read_offcuts(path: Path, stock: Stock, asked_by: Mark | None = None) -> tuple[Offcut, ...]:
    """The offcuts of a file, each with a name. Raises ConfigError, one line for each mistake."""
    loaded = read(path, Offcuts, asked_by)
    faults = list(_faults(loaded, stock))
    if faults:
        raise ConfigError(*faults)
    return loaded.value.named()


def _faults(loaded: Loaded[Offcuts], stock: Stock) -> Iterator[str]:
    cut = [name for table in BY_LENGTH for name in getattr(stock, table)]
    for i, offcut in enumerate(loaded.value.offcuts):
        flat = offcut.material in stock.sheets
        if not flat and offcut.material not in cut:
            near = difflib.get_close_matches(offcut.material, [*stock.sheets, *cut], n=1)
            hint = f"did you mean {near[0]!r}?" if near else "name a sheet or something sold by length"
            yield f"{loaded.mark('offcuts', i, 'material')}: no {offcut.material!r} in stock, {hint}"
        elif flat and offcut.width is None:
            yield f"{loaded.mark('offcuts', i)}: an offcut of a sheet has a width: say how far it is across the grain"
        elif not flat and offcut.width is not None:
            yield f"{loaded.mark('offcuts', i, 'width')}: {offcut.material} is cut to length alone: leave the width out"


def left_offcuts(plan: CuttingPlan, keep_length: float) -> Iterator[tuple[str, float, float | None, str]]:
    """Material, length, width (None where it is cut to length alone) and where it comes from, of all worth keeping."""
    for sheet in plan.sheets:
        for spare in sheet.offcuts:
            yield sheet.material, spare.along, spare.across, f"from sheet {sheet.number}"
    for board in plan.boards:
        if board.offcut >= keep_length:
            yield board.material, board.offcut, None, f"from length {board.number}"


def offcuts_yaml(plan: CuttingPlan, keep_length: float, lengths: LengthUnit) -> str:
    """What the plan leaves, in the format a project reads as `offcuts`; sizes are rounded down to what can be read."""
    lines = [
        "# What is left of this plan and worth keeping. To use it first in another project: offcuts: offcuts.yaml",
        f"lengths: {lengths}",
    ]
    found = [
        f"  - {{material: {_quoted(material)}, length: {_down(length, lengths)}, "
        + (f"width: {_down(width, lengths)}, " if width is not None else "")
        + f"note: {source}}}"
        for material, length, width, source in left_offcuts(plan, keep_length)
    ]
    return "\n".join([*lines, "offcuts:" if found else "offcuts: []", *found]) + "\n"


def _quoted(text: str) -> str:
    """A name as a YAML string, whatever is in it."""
    return "'" + text.replace("'", "''") + "'"


def _down(mm: float, lengths: LengthUnit) -> str:
    """A length rounded down to a whole millimetre, or to 1/32 in."""
    if lengths == "mm":
        return f"{int(mm + 1e-6)}"
    step = 25.4 / 32
    return show_number(rounded(int(mm / step + 1e-6) * step), "in")
