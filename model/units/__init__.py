"""The kinds of unit: one file each, registered by decorator and found by name.

A kind is an options type (what its YAML file may say) and a builder that turns options and a site into a BuiltUnit in
the unit's own frame. Adding a kind is adding one file to this folder.
"""

import importlib
import pkgutil
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

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


@dataclass(frozen=True)
class UnitKind:
    """A registered kind: its name, letter for marks, options type and builder.

    `above` when it stands on a top, `carries` when a top's seam can lie on it.
    """

    name: str
    letter: str
    options: type[UnitOptions]
    build: Builder
    above: bool = False
    carries: bool = False


_kinds: dict[str, UnitKind] = {}


def unit_kind(
    name: str, letter: str, options: type[UnitOptions], above: bool = False, carries: bool = False
) -> Callable[[Builder], Builder]:
    """Register a builder under its kind; a second kind of the same name or letter is refused."""

    def register(build: Builder) -> Builder:
        if name in _kinds or any(k.letter == letter for k in _kinds.values()):
            raise TypeError(f"the kind {name} or its letter {letter} is registered twice")
        _kinds[name] = UnitKind(name, letter, options, build, above, carries)
        return build

    return register


def kinds() -> Mapping[str, UnitKind]:
    """Every kind by name, read-only, in alphabetical order."""
    for module in pkgutil.iter_modules(__path__):
        importlib.import_module(f"{__name__}.{module.name}")
    return MappingProxyType(dict(sorted(_kinds.items())))
