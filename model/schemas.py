"""Every kind of config file by name, for schemas."""

from typing import Any

from model.cutting.offcuts import Offcuts
from model.project import Project
from model.room.room import Room
from model.stock.tables import Stock
from model.units import kinds


def schema_types() -> dict[str, Any]:
    """The type of each kind of file: project, room, stock, offcuts, and one for each kind of unit."""
    files = {"project": Project, "room": Room, "stock": Stock, "offcuts": Offcuts}
    return {**files, **{k.name: k.options for k in kinds().values()}}
