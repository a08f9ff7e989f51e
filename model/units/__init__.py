"""The kinds of unit: one file each, registered by decorator and found by name.

A kind is an options type (what its YAML file may say) and a builder that turns options and a site into a BuiltUnit in
the unit's own frame. Adding a kind is adding one file to this folder.
"""

import importlib
import pkgutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Literal

from model.config.types import Lengths, Note, Strict
from model.materials import Materials
from model.plan import BuiltUnit
from model.site import Site


class UnitOptions(Strict):
    """What every unit file may say beside its `kind`, which the options of each kind fix."""

    lengths: Lengths = "mm"
    """The unit of this file's bare numbers."""
    note: Note = ""
    """A word to the next maker."""
    materials: Materials = Materials()
    """Stock this unit takes in place of the project's."""


Builder = Callable[[Any, Site], BuiltUnit]
Stand = Literal["floor", "top", "wall", "between"]
"""Where a unit can be placed: along a wall on the floor, on a top, hung on a wall, between two uppers."""


@dataclass(frozen=True)
class UnitKind:
    """A registered kind: its name, letter for marks, options type and builder.

    `stands` says where it can be placed; `carries` when a top's seam can lie on it.
    """

    name: str
    letter: str
    options: type[UnitOptions]
    build: Builder
    stands: tuple[Stand, ...] = ("floor",)
    carries: bool = False


_kinds: dict[str, UnitKind] = {}


def unit_kind(
    name: str,
    letter: str,
    options: type[UnitOptions],
    stands: Stand | tuple[Stand, ...] = "floor",
    carries: bool = False,
) -> Callable[[Builder], Builder]:
    """Register a builder under its kind; a second kind of the same name or letter is refused.

    `stands` is where units of the kind are placed, one way or several.
    """

    def register(build: Builder) -> Builder:
        if name in _kinds or any(k.letter == letter for k in _kinds.values()):
            raise TypeError(f"the kind {name} or its letter {letter} is registered twice")
        places = (stands,) if isinstance(stands, str) else stands
        _kinds[name] = UnitKind(name, letter, options, build, places, carries)
        return build

    return register


def kinds() -> Mapping[str, UnitKind]:
    """Every kind by name, read-only, in alphabetical order."""
    for module in pkgutil.iter_modules(__path__):
        importlib.import_module(f"{__name__}.{module.name}")
    return MappingProxyType(dict(sorted(_kinds.items())))
