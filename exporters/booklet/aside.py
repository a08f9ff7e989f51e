"""Pictures and drawings of a booklet made by a second process, while the first goes on with the rest.

They are the same as where one process makes all, which it does where there is one processor or the second process
comes to nothing.
"""

import os
import pickle
import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from exporters.booklet import others
from exporters.pictures.offscreen import NO_GRAPHICS
from model.errors import ExportError

if TYPE_CHECKING:
    from model.assembly.steps import Step
    from model.build import Build


@dataclass(frozen=True)
class Drawn:
    """The picture on the cover and those of the steps by their numbers, empty where the machine cannot draw; drawings
    of the room."""

    cover: bytes
    steps: dict[int, bytes]
    room: tuple[others.Page, ...]


@contextmanager
def begun(build: "Build", steps: "tuple[Step, ...]") -> Iterator[Callable[[], Drawn]]:
    """What is being drawn; the call that gives it waits until it is."""
    if (os.cpu_count() or 1) < 2:
        yield lambda: drawn(build, steps)
        return
    with ThreadPoolExecutor(1) as waiting:  # for what the other process writes
        found = waiting.submit(_elsewhere, pickle.dumps((build, steps)))
        yield lambda: found.result() or drawn(build, steps)


def drawn(build: "Build", steps: "tuple[Step, ...]") -> Drawn:
    """Drawn here; pictures are left out, with a line that says so, where the machine cannot draw them."""
    try:
        cover, each = others.cover_picture(build), others.step_pictures(build, steps)
    except ExportError as error:
        if str(error) != NO_GRAPHICS:
            raise
        print(f"pictures left out of the booklet: {error}", file=sys.stderr)
        cover, each = b"", {}
    return Drawn(cover, each, tuple(others.room_pages(build)))


def _elsewhere(what: bytes) -> Drawn | None:
    """Drawn by another process; None where that fails: what is wrong shows when they are drawn here."""
    places = os.pathsep.join(p or os.getcwd() for p in sys.path)
    code = f"from {__name__} import answer; answer()"
    try:
        done = subprocess.run(
            [sys.executable, "-c", code],
            input=what,
            capture_output=True,
            env=os.environ | {"PYTHONPATH": places},
            check=True,
        )
    except (OSError, subprocess.SubprocessError):
        return None
    found: Drawn = pickle.loads(done.stdout)  # what this program wrote itself
    return found if found.cover else None


def answer() -> None:
    """As the other process: a build and its steps come in, what is drawn of them goes out."""
    out = os.dup(1)
    os.dup2(2, 1)  # whatever a library prints is no picture
    found = drawn(*pickle.load(sys.stdin.buffer))
    with os.fdopen(out, "wb") as to:
        to.write(pickle.dumps(found))
