"""Checks the files of a cutting plan against themselves: nothing here knows how a plan is made.

Reads `cutting/plan.json` alone. Every cut is made on rectangles: a cut must go right through the piece in hand, at the
setting it names, and what comes off must be, in the end, exactly the parts that are drawn.
"""

import json
from collections import Counter
from pathlib import Path
from typing import Any

OFF = 0.06
"""mm. No saw takes off less."""

Rect = tuple[float, float, float, float]
"""x0, y0, x1, y1 on the untrimmed sheet."""


def faults(folder: Path) -> list[str]:
    """Everything wrong with the plan in a folder."""
    plan = json.loads((folder / "cutting" / "plan.json").read_text(encoding="utf-8"))
    return [*quantities(plan), *(f for s in plan["sheets"] for f in sheet_faults(s, plan)), *length_faults(plan)]


def quantities(plan: dict[str, Any]) -> list[str]:
    """Every mark as often as there are parts of it."""
    cut = Counter(p["mark"] for s in (*plan["sheets"], *plan["lengths"]) for p in s["pieces"])
    left = set(plan["left_over"])
    wanted = {b["mark"]: b["count"] for b in plan["blanks"] if b["mark"] not in left}
    return [f"{m}: {cut[m]} cut, {wanted.get(m, 0)} wanted" for m in {*cut, *wanted} if cut[m] != wanted.get(m, 0)]


def sheet_faults(sheet: dict[str, Any], plan: dict[str, Any]) -> list[str]:
    where = f"{sheet['material']} {sheet['number']}"
    blanks = {b["mark"]: b for b in plan["blanks"]}
    pieces = [rect(p) for p in sheet["pieces"]]
    found: list[str] = []
    for piece, (x0, y0, x1, y1) in zip(sheet["pieces"], pieces, strict=True):
        blank = blanks[piece["mark"]]
        size = (blank["width"], blank["length"]) if piece["turned"] else (blank["length"], blank["width"])
        if max(abs(x1 - x0 - size[0]), abs(y1 - y0 - size[1])) > 1e-6:
            found.append(f"{where}: {piece['mark']} is cut to another size")
        if piece["turned"] and not blank["turns"]:
            found.append(f"{where}: {piece['mark']} lies across the grain")
        if blank["material"] != sheet["material"]:
            found.append(f"{where}: {piece['mark']} is of another material")
        trim = sheet["trim"] - OFF
        if x0 < trim or y0 < trim or x1 > sheet["length"] - trim or y1 > sheet["width"] - trim:
            found.append(f"{where}: {piece['mark']} is off the trimmed sheet")
    every = [*pieces, *(rect(o) for o in sheet["offcuts"])]
    found += [f"{where}: {a} and {b} are nearer than a saw cut" for a, b in near(every, sheet["kerf"] - OFF)]
    return [*found, *replayed(sheet, where)]


def rect(p: dict[str, Any]) -> Rect:
    return p["x"], p["y"], p["x"] + p["along"], p["y"] + p["across"]


def near(rects: list[Rect], gap: float) -> list[tuple[Rect, Rect]]:
    """Pairs that overlap or leave less than the gap between them, both ways."""
    gap = max(gap, -OFF)
    return [
        (a, b)
        for i, a in enumerate(rects)
        for b in rects[:i]
        if all(a[k] < b[k + 2] + gap and b[k] < a[k + 2] + gap for k in (0, 1))
    ]


def replayed(sheet: dict[str, Any], where: str) -> list[str]:
    """The cuts made one after another."""
    hands: dict[str, Rect] = {"sheet": (0.0, 0.0, sheet["length"], sheet["width"])}
    parts: list[tuple[str, Rect]] = []
    for n, cut in enumerate(sheet["cuts"], 1):
        what = f"{where}, cut {cut['number']}"
        if cut["number"] != n:
            return [f"{what}: the {n}th cut has another number"]
        if cut["piece"] not in hands:
            return [f"{what}: there is no piece {cut['piece']}"]
        hand = hands.pop(cut["piece"])
        i = 1 if cut["orientation"] == "rip" else 0
        if abs(cut["from"] - hand[1 - i]) > OFF or abs(cut["to"] - hand[3 - i]) > OFF:
            return [f"{what}: does not go right through {cut['piece']}"]
        low = cut["against"] in ("lower", "left")
        if cut["against"] not in (("lower", "upper") if i else ("left", "right")):
            return [f"{what}: that edge cannot lie against the fence"]
        setting = cut["at"] - hand[i] if low else hand[i + 2] - cut["at"]
        if abs(setting - cut["fence"]) > OFF or not 0 < cut["fence"] < hand[i + 2] - hand[i]:
            return [f"{what}: the fence at {cut['fence']} cuts at {setting}"]
        a, b = (hand[i], cut["at"]) if low else (cut["at"], hand[i + 2])
        kept = span(hand, i, a, b)
        c, d = (cut["at"] + sheet["kerf"], hand[i + 2]) if low else (hand[i], cut["at"] - sheet["kerf"])
        rest = span(hand, i, c, d) if d - c > OFF else None
        marks = list(cut["marks"])
        if cut["gives"] == cut["piece"]:
            hands[cut["piece"]], rest = kept, None
        elif marks and marks[0] == cut["gives"]:
            parts.append((marks.pop(0), kept))
        else:
            hands[cut["gives"]] = kept
        if marks:
            if rest is None:
                return [f"{what}: nothing is left to be {marks}"]
            parts.append((marks.pop(), rest))
        elif rest is not None:
            hands[cut["piece"]] = rest
    if not sheet["cuts"]:
        parts = [(p["mark"], hands["sheet"]) for p in sheet["pieces"]]
    for piece in sheet["pieces"]:
        at = next((k for k, (mark, r) in enumerate(parts) if mark == piece["mark"] and close(r, rect(piece))), None)
        if at is None:
            return [f"{where}: the cuts do not give {piece['mark']} where it is drawn"]
        parts.pop(at)
    return [f"{where}: the cuts give {mark} besides" for mark, _ in parts]


def close(a: Rect, b: Rect) -> bool:
    return max(abs(p - q) for p, q in zip(a, b, strict=True)) <= OFF


def span(hand: Rect, i: int, a: float, b: float) -> Rect:
    return (hand[0], a, hand[2], b) if i else (a, hand[1], b, hand[3])


def length_faults(plan: dict[str, Any]) -> list[str]:
    """Pieces in order, a saw cut apart, on their length; nothing of another material or size."""
    sizes = {b["mark"]: (b["material"], b["length"]) for b in plan["blanks"]}
    found: list[str] = []
    for bar in plan["lengths"]:
        at = 0.0
        for piece in bar["pieces"]:
            if piece["start"] < at - 1e-6 or sizes[piece["mark"]] != (bar["material"], piece["length"]):
                found.append(f"{bar['material']} {bar['number']}: {piece['mark']} at {piece['start']}")
            at = piece["start"] + piece["length"] + bar["kerf"]
        if at - bar["kerf"] > bar["length"] + 1e-6 or bar["left"] > max(bar["length"] - at, 0.0) + 1e-6:
            found.append(f"{bar['material']} {bar['number']}: more is cut than there is")
    return found
