"""Lengths in messages: written down in mm where a problem is found, shown in the project's unit where it is told."""

import re

from model.lengths import LengthUnit, show_length

_MARKED = re.compile("\x02([^\x03]*)\x03")


def mm(value: float) -> str:
    """A length (mm) for a message; `shown` puts it in a unit."""
    return f"\x02{float(value)!r}\x03"


def shown(text: str, lengths: LengthUnit) -> str:
    """The message with its lengths in `mm` or `in`."""
    return _MARKED.sub(lambda found: show_length(float(found[1]), lengths), text)
