"""Putting files in the output folder: written aside first, moved in when all of them are whole.

The folder keeps a list of what was written (`.wallwork.json`), so that a later build takes away what it no longer makes
and never touches a file of anybody else's.
"""

import json
import os
import shutil
import tempfile
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path, PurePosixPath

from exporters.registry import EXPORTERS
from model.build import Build
from model.errors import ExportError

RECORD = ".wallwork.json"


def write_whole(path: Path, content: bytes, what: str) -> None:
    """Write a file aside and move it into place, so that it is whole or as it was. Raises ExportError."""
    aside = path.with_name(f".{path.name}.new")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        aside.write_bytes(content)
        os.replace(aside, path)
    except OSError as error:
        with suppress(OSError):
            aside.unlink()
        raise ExportError(f"{path}: cannot write {what} ({error.strerror})") from None


def write_all(build: Build, out: Path, names: Iterable[str], progress: Callable[[str], None]) -> list[Path]:
    """Run the named exporters and put their files in `out`; gives the files written, in order.

    Nothing in `out` changes unless every exporter has finished. Raises ExportError.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
        aside = Path(tempfile.mkdtemp(prefix=".new-", dir=out))
    except OSError as error:
        raise ExportError(f"{out}: cannot write here ({error.strerror}); choose another folder with --out") from None
    try:
        written: dict[str, list[str]] = {}
        for name in names:
            progress(name)
            files = EXPORTERS[name].load()(build, aside)
            written[name] = sorted(f.relative_to(aside).as_posix() for f in files)
        return _move_in(aside, out, written)
    except OSError as error:
        raise ExportError(f"{out}: {error.strerror or error}; what was there before is untouched") from None
    finally:
        shutil.rmtree(aside, ignore_errors=True)


def _move_in(aside: Path, out: Path, written: dict[str, list[str]]) -> list[Path]:
    before = _record(out)
    now = {**before, **written}
    for files in written.values():
        for name in files:
            (out / name).parent.mkdir(parents=True, exist_ok=True)
            os.replace(aside / name, out / name)
    kept = {name for files in now.values() for name in files}
    for name in sorted({n for files in before.values() for n in files} - kept):
        _take_away(out, name)
    record = json.dumps({k: now[k] for k in sorted(now)}, indent=1) + "\n"
    fresh = aside / RECORD
    fresh.write_text(record, encoding="utf-8")
    os.replace(fresh, out / RECORD)
    return [out / name for files in written.values() for name in files]


def _record(out: Path) -> dict[str, list[str]]:
    """What earlier builds wrote, by exporter; empty where the record is missing or not ours to trust."""
    try:
        said = json.loads((out / RECORD).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    if not isinstance(said, dict):
        return {}
    return {
        k: [n for n in files if _inside(n)] for k, files in said.items() if k in EXPORTERS and isinstance(files, list)
    }


def _inside(name: object) -> bool:
    """Whether a recorded name stays in the output folder."""
    if not isinstance(name, str):
        return False
    path = PurePosixPath(name)
    return not path.is_absolute() and ".." not in path.parts


def _take_away(out: Path, name: str) -> None:
    path = out / name
    path.unlink(missing_ok=True)
    if path.parent != out and path.parent.is_dir() and not any(path.parent.iterdir()):
        path.parent.rmdir()
