"""Names of units as names of files."""

import re
import unicodedata
from collections.abc import Iterable

_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)", re.IGNORECASE)
"""Names Windows keeps for devices, whatever their suffix."""


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
