"""The cutting plans in `cutting/`: what a person takes to the saw.

- `plan.pdf`: a page for each sheet (drawn to scale, every cut numbered, the cuts in order with fence settings), then
  the boards and all else that is cut to length; A4, Letter for a project in inches;
- `<material>-<nn>.svg`: the picture of each sheet on its own;
- `offcuts.yaml`: what is left and worth keeping, in the format a project reads as `offcuts`;
- `plan.json`: the same for machines. Lengths are mm. `sheets`: material, number, length, width, price (null where it
  is not known), offcut (its name where it is one), trim, kerf, `pieces` (mark, x, y, along, across, turned: lower left
  corner from that of the untrimmed sheet, sizes along and across the sheet), `cuts` and `offcuts` (x, y, along,
  across). A cut has number, stage (0 trims), orientation (`rip` along the sheet, `cross` across it), piece (what is on
  the saw), against (its edge at the fence), fence (what stays between fence and blade), at (where its sawn edge lies on
  the sheet; the saw cut is beyond), from and to (along its line), gives (the name of what lay between fence and blade;
  the rest keeps the name of the piece, is waste where both names are the same) and marks (the parts it finishes).
  `lengths`: material, number, length, price, offcut, kerf, `pieces` (mark, start, length), left. `blanks`: the mark,
  material, sizes and number of every part that is cut, and whether it may be turned. `left_over`: marks that fit
  nothing that is sold.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from exporters.cutting_pages import compiled, page_data, sheet_stems
from model.cutting.laid import CutBoard, CutSheet, CuttingPlan
from model.cutting.offcuts import offcuts_yaml
from model.cutting.pieces import length_parts, sheet_parts

if TYPE_CHECKING:
    from model.build import Build


def write(build: "Build", out: Path) -> list[Path]:
    """Write the folder `cutting` below `out`."""
    return write_plan(build, build.cutting, out)


def write_plan(build: "Build", plan: CuttingPlan, out: Path) -> list[Path]:
    """Write the folder `cutting` for a plan that was searched already."""
    data = page_data(build, plan)
    files: dict[str, bytes] = {}
    if plan.sheets or plan.boards:
        files["plan.pdf"] = compiled(data, "pdf")[0]
    for stem, sheet in zip(sheet_stems(plan.sheets), data["sheets"], strict=True):
        alone = {**data, "sheets": [{**sheet, "rows": []}], "lengths": [], "left": []}
        files[f"{stem}.svg"] = compiled(alone, "svg")[0]
    files["offcuts.yaml"] = offcuts_yaml(plan, build.stock.offcut_length, build.plan.lengths).encode()
    files["plan.json"] = (json.dumps(plan_json(build, plan), indent=1, ensure_ascii=False) + "\n").encode()
    folder = out / "cutting"
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        (folder / name).write_bytes(content)
    return [folder / name for name in files]


def plan_json(build: "Build", plan: CuttingPlan) -> dict[str, Any]:
    """The plan as plain values, as the module says."""
    return {
        "title": build.plan.title,
        "blanks": list(_blanks(build)),
        "sheets": [_sheet(s) for s in plan.sheets],
        "lengths": [_board(b) for b in plan.boards],
        "left_over": list(plan.left_over),
    }


def _blanks(build: "Build") -> Iterator[dict[str, Any]]:
    for material, blanks in sheet_parts(build.plan, build.stock).items():
        for b in blanks:
            yield {
                "mark": b.mark,
                "material": material,
                "length": b.length,
                "width": b.width,
                "count": b.copies,
                "turns": b.turns,
            }
    for material, sticks in length_parts(build.plan, build.stock).items():
        for s in sticks:
            yield {"mark": s.mark, "material": material, "length": s.length, "count": s.copies}


def _sheet(sheet: CutSheet) -> dict[str, Any]:
    return {
        "material": sheet.material,
        "number": sheet.number,
        "length": sheet.sheet.length,
        "width": sheet.sheet.width,
        "price": sheet.sheet.price,
        "offcut": sheet.sheet.offcut,
        "trim": sheet.trim,
        "kerf": sheet.gap,
        "pieces": [
            {"mark": p.mark, "x": p.x, "y": p.y, "along": p.along, "across": p.across, "turned": p.turned}
            for p in sheet.pieces
        ],
        "cuts": [
            {
                "number": c.number,
                "stage": c.stage,
                "orientation": c.orientation,
                "piece": c.piece,
                "against": c.against,
                "fence": c.fence,
                "at": c.at,
                "from": c.from_,
                "to": c.to,
                "gives": c.gives,
                "marks": list(c.marks),
            }
            for c in sheet.cuts
        ],
        "offcuts": [{"x": o.x, "y": o.y, "along": o.along, "across": o.across} for o in sheet.offcuts],
    }


def _board(board: CutBoard) -> dict[str, Any]:
    return {
        "material": board.material,
        "number": board.number,
        "length": board.length,
        "price": board.price,
        "offcut": board.rack,
        "kerf": board.gap,
        "pieces": [{"mark": m, "start": start, "length": length} for m, start, length in board.pieces],
        "left": board.offcut,
    }
