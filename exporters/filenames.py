"""Names of units as names of files."""

import re
import unicodedata
from collections.abc import Iterable

from exporters.cnc.figures import plain_text
from model.errors import ProjectError

_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)", re.IGNORECASE)
"""Names Windows keeps for devices, whatever their suffix."""

_SAFE_MARK = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,63}")


def mark_stem(mark: str, what: str) -> str:
    """A mark as the name of a file. Raises ProjectError for one that cannot be, `what` says of which kind of file."""
    if not _SAFE_MARK.fullmatch(mark):
        raise ProjectError(f"{plain_text(mark)!r} cannot name {what}: use letters, digits, - and _")
    return mark


def file_stems(names: Iterable[str]) -> dict[str, str]:
    """A file name without suffix for each name, unique among them: `Press base (left)` becomes `press-base-left`.

    Letters a-z, digits and hyphens alone, so that the file keeps its name on every system and in every archive.
    """
    stems: dict[str, str] = {}
    for name in dict.fromkeys(names):
        plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
        stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:80] or "unit"
        stem = f"{stem}-unit" if _RESERVED.fullmatch(stem) else stem
        count, unique = 1, stem
        while unique in stems.values():
            count += 1
            unique = f"{stem}-{count}"
        stems[name] = unique
    return stems
