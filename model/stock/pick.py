"""Taking one item out of a table of stock by the name an option gives."""

import difflib
from collections.abc import Mapping
from typing import overload

from model.site import Unbuildable
from model.stock.items import Item


@overload
def pick[AnyItem: Item](table: Mapping[str, AnyItem], name: str, what: str, *loc: str | int) -> AnyItem: ...
@overload
def pick[AnyItem: Item](
    table: Mapping[str, AnyItem], name: str | None, what: str, *loc: str | int
) -> AnyItem | None: ...
def pick[AnyItem: Item](table: Mapping[str, AnyItem], name: str | None, what: str, *loc: str | int) -> AnyItem | None:
    """The item of that name, None for no name. Raises Unbuildable at the key path `loc`, naming the closest."""
    if name is None:
        return None
    if name in table:
        return table[name]
    near = difflib.get_close_matches(name, table, n=1)
    hint = f"did you mean {near[0]!r}?" if near else f"there is {', '.join(sorted(table)) or 'none'}"
    raise Unbuildable(f"no {what} {name!r} in stock, {hint}", *loc)
