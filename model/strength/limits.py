"""How far boards may sag: published limits, by a name a project can choose."""

from dataclasses import dataclass
from typing import Literal

LimitName = Literal["cabinet", "library", "fine", "floor", "total"]
Measured = Literal["live", "instant", "final"]


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit: the span over a ratio, never more than `most` mm; measured on the sag from the load alone (`live`), on
    the whole at once (`instant`), or on the whole after years (`final`)."""

    ratio: float
    measured: Measured
    source: str
    most: float | None = None

    def of(self, span: float) -> float:
        """The limit of a span, mm."""
        return span / self.ratio if self.most is None else min(span / self.ratio, self.most)

    def said(self, span: float) -> str:
        """How the limit of a span comes about."""
        if self.most is not None and span / self.ratio > self.most:
            return f"{self.most:g} mm at most"
        return f"span/{self.ratio:g}"


LIMITS: dict[LimitName, Limit] = {
    "cabinet": Limit(192.0, "instant", "ANSI/KCMA A161.1 5.1: 1/16 in a foot, never over 1/4 in", 6.35),
    "library": Limit(192.0, "instant", "ANSI/NISO Z39.73: 3/16 in on 36 in (from memory)"),
    "fine": Limit(600.0, "final", "custom of fine furniture, 0.02 in a foot; no standard (from memory)"),
    "floor": Limit(360.0, "live", "IBC Table 1604.3, floors under live load (from memory)"),
    "total": Limit(240.0, "final", "IBC Table 1604.3, floors under total load (from memory)"),
}
