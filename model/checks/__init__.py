"""What can be wrong with a plan: each module here looks for one kind of trouble and yields Findings.

A module with a function marked `@check` is found by itself, and says in `CODES` what its findings mean; adding a check
is adding one file.
"""

import importlib
import pkgutil
import sys
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from model.findings import Code, Finding

if TYPE_CHECKING:
    from model.build import Build

Check = Callable[["Build"], Iterable[Finding]]

_checks: dict[str, Check] = {}
_ORDER = {"fault": 0, "warning": 1, "note": 2}


def check(function: Check) -> Check:
    """Register a check under its module's name; a second one there is refused."""
    name = function.__module__.rsplit(".", 1)[-1]
    if name in _checks:
        raise TypeError(f"two checks in {function.__module__}")
    _checks[name] = function
    return function


def checks() -> dict[str, Check]:
    """Every check by the name of its module."""
    for module in pkgutil.iter_modules(__path__):
        importlib.import_module(f"{__name__}.{module.name}")
    return dict(sorted(_checks.items()))


def codes() -> dict[str, Code]:
    """What every code stands for, by its name: what the modules say in their `CODES`."""
    names = sorted(checks())
    found = [code for name in names for code in sys.modules[f"{__name__}.{name}"].CODES]
    return {code.name: code for code in found}


def run(build: "Build") -> tuple[Finding, ...]:
    """Everything every check finds, faults first."""
    found = [finding for function in checks().values() for finding in function(build)]
    return tuple(sorted(found, key=lambda f: _ORDER[f.severity]))
