"""The lights of a built plan: each strip or bar with its profile and driver, and where it shines from."""

from collections.abc import Iterator
from dataclasses import dataclass

from model.lighting.light_map import MM, Strip
from model.part import PlacedPart
from model.plan import BuiltUnit
from model.shapes import Vec
from model.stock.lights import Driver, LedStrip, LightBar
from model.stock.tables import Stock


@dataclass(frozen=True, slots=True)
class FoundLight:
    """A light as it is built: `path` is what its parts are called after (`lamp shelves/light`)."""

    path: str
    source: PlacedPart
    item: LedStrip | LightBar
    profiles: tuple[PlacedPart, ...]
    driver: PlacedPart | None
    supply: Driver | None

    @property
    def length(self) -> float:
        """Of what is lit, mm."""
        return self.source.part.length

    @property
    def watts(self) -> float:
        return self.item.watts if isinstance(self.item, LightBar) else self.item.watts_per_metre * self.length / MM

    @property
    def lumens_per_metre(self) -> float | None:
        """As bought, before any cover; None where stock does not say."""
        if isinstance(self.item, LedStrip):
            return self.item.lumens_per_metre
        return None if self.item.lumens is None else self.item.lumens / self.length * MM

    @property
    def ends(self) -> tuple[Vec, Vec]:
        """The ends of the lit line in the room: along the middle of the face that shines."""
        _, width, high = self.source.part.size
        at = self.source.placement
        return at.apply((0.0, width / 2, high)), at.apply((self.length, width / 2, high))

    def strip(self, share: float = 1.0) -> Strip | None:
        """What shines, with a share of its lumens; None where they are not known or it does not look down."""
        lumens = self.lumens_per_metre
        if lumens is None or self.source.placement.turn((0.0, 0.0, 1.0))[2] > -0.999:
            return None
        return Strip(*self.ends, lumens * share)


def lights_of(unit: BuiltUnit, stock: Stock) -> Iterator[FoundLight]:
    """Every light of a unit, in the order of its parts."""
    for placed in unit.parts:
        name = placed.part.material
        item = stock.led_strips.get(name) or stock.light_bars.get(name)
        if placed.role != "light" or item is None:
            continue
        path = placed.path.rsplit("/", 1)[0]
        with_it = [p for p in unit.parts if p.path.rsplit("/", 1)[0] == path]
        driver = next((p for p in with_it if p.role == "driver"), None)
        yield FoundLight(
            path,
            placed,
            item,
            tuple(p for p in with_it if p.part.material in stock.light_profiles),
            driver,
            stock.drivers.get(driver.part.material) if driver else None,
        )
