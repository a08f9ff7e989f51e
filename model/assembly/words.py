"""Plain sentences for assembly steps: titles, what to do, what to heed."""

from model.assembly.order import BY_HAND, HANG, LOWERED, TILT

TITLES = {
    "banded": "Glue the edge bands",
    "drawer": "Make the drawer boxes",
    "tray": "Make the tray",
    "front": "Prepare the drawer fronts",
    "frame": "Glue up the face frame",
    "plinth": "Make the plinth",
    "side": "Fix the strips to the sides",
    "door": "Prepare the doors",
    "lamp": "Put the strip in its channel",
    "bed": "Make the bed",
    "carcass": "Start the carcass",
    "close": "Close the carcass",
    "back": "Fix the back",
    "skirt": "Fix the skirt",
    "facing": "Glue on the facings",
    "feet": "Fix the feet",
    "slides": "Fit the hardware inside",
    "build-up": "Glue on the strips under the edges",
    "edge": "Apply the edge",
    "backsplash": "Fix the backsplash",
    "grommets": "Set the grommets",
    "lights": "Fit the lights",
    "shelves": "Set the pins and lay the shelves",
    "drawers": "Slide in the drawers",
    "fronts": "Fix the drawer fronts",
    "doors": "Hang the doors",
    "springs": "Fit the gas springs",
    "mattress": "Lay in the mattress",
    "wall": "Fix what goes on the wall",
    "place": "Set in place",
}

DOES = {
    "banded": "Glue each band to its edge, let it set, and trim it flush before anything is put together.",
    "drawer": "Join front and back to the first side, bring in the bottom, then close with the other side.",
    "tray": "Join the pieces of the tray.",
    "front": "Drill for the pull and fix it.",
    "frame": "Lay the first stile down, join the rails to it, then the other stile. Clamp it flat.",
    "plinth": "Join the long and the cross pieces, flat on the bench.",
    "side": "Lay each side flat and fix its strips, square to the front edge.",
    "door": "Press in and screw on the hinges, then the pull, before the door is hung.",
    "lamp": "Glue the light strip into its channel.",
    "bed": "Join the rails, fix the front to them, then bearers and slats, then the fittings.",
    "carcass": "Lay the first side down and join to it what stands between the sides.",
    "close": "Bring on the other end.",
    "back": "Square the carcass first, then fix the back all round.",
    "skirt": "Fix the skirt from behind.",
    "facing": "Glue each facing to its front edge, flush with the upper face.",
    "feet": "Fix the feet and turn them half out.",
    "slides": "Set the fixed members and fittings by a block, both sides alike.",
    "build-up": "Glue the strips on from below.",
    "edge": "Glue the edge on, flush with the upper face.",
    "backsplash": "Glue the strip to the top and to the wall.",
    "grommets": "Push the sleeves into their holes.",
    "lights": "Fix the channel and the driver, lay the cables; the driver's mains side is for an electrician.",
    "shelves": "From the lowest up: four pins, then the shelf on them.",
    "drawers": "Engage both members of each slide and push the box home.",
    "fronts": "Hold each front by spacers and fix it from inside the box.",
    "doors": "Hang each door on its plates and adjust it.",
    "springs": "Pin both ends of each spring with the bed closed and held.",
    "mattress": "Lay the mattress on the slats with the bed down.",
    "wall": "Mark a level line, fix these into studs or masonry.",
    "place": "Carry it in, level it with shims, and fix it.",
}

HOW = {
    TILT: "A shelf is longer than the opening: hold one end up, bring it in, and let it down on its pins.",
    HANG: "The bed comes from the front; its pivots are then engaged, one person at each side.",
    LOWERED: "The bed must lie down for this.",
    BY_HAND: "No straight way leads there: work it in by hand, before what is near it is fixed fast.",
}

CAUTIONS = {
    "drawers": "Cabinets tip with drawers pulled: fix them to the wall before the drawers go in.",
    "tray": "Cabinets tip with a tray pulled: fix them to the wall before it goes in.",
    "doors": "Heavy doors pull a cabinet over: fix it to the wall before they are hung.",
    "bed": "Fix the cabinet to studs or masonry first. Keep hands and children away from the pivots.",
    "springs": "Gas springs are under high pressure: never open, drill or heat one. Hold the bed closed.",
    "mattress": "Without its mattress the bed is pushed up by the springs: hold it down while the mattress goes in.",
    "lights": "Anything on mains is for a licensed electrician and the local code.",
    "wall": "Look for cables and pipes in the wall before drilling.",
    "place": "Cabinets tip until they are fixed: screw each to the wall before going on.",
    "banded": "A hot iron or glue gun burns; a trimmer cuts toward the hand.",
    "frame": "Clamp small pieces before drilling them.",
}

LIFT = "{mass:.0f} kg: two people lift it."


FIXES = {
    "frame": "Fix the face frame",
    "plinth": "Set the carcass on its plinth",
    "tray": "Slide in the tray",
    "bed": "Hang the bed",
}
FIXING = {
    "frame": "Set the frame on the front edges, flush at the ends, and fix it.",
    "plinth": "Fix the plinth under the carcass, set back evenly.",
    "tray": "Slide the tray in between its strips and fix its stop.",
    "bed": "Bring the bed up to the cabinet and engage its pivots.",
}


NO_BOX = {
    ("top", "carcass"): ("Prepare the top", "Sand the pieces, faces and edges, before anything is glued to them."),
    ("top", "close"): (
        "Match the pieces of the top",
        "Lay the pieces end to end and fit the seam; it is glued on site.",
    ),
    ("connecting", "carcass"): ("Prepare the shelves", "Sand the shelves, faces and edges."),
    ("panel", "carcass"): ("Prepare the panel", "Sand the panel, faces and edges; leave what is scribed to the wall."),
    ("filler", "carcass"): ("Prepare the filler", "Sand the filler; leave what is scribed to the wall."),
    ("corner", "carcass"): ("Join the corner", "Join the fillers by their cleats and straps, square to each other."),
    ("corner", "close"): ("Go on with the corner", "Join the next cleat."),
    ("kneehole", "carcass"): (
        "Start the drawer frame",
        "Lay the first rail down and join to it what runs between the rails.",
    ),
    ("kneehole", "close"): ("Close the drawer frame", "Bring on the other rail."),
}
"""Title and words for units that are no box between sides: kind and stage."""


def sentence(stage: str, needs: tuple[str, ...], times: int, in_place: bool, kind: str = "") -> str:
    """What to do in a step, and what is out of the ordinary about it. `kind` is that of a unit without sides."""
    plain = NO_BOX.get((kind, stage), ("", ""))[1] or DOES.get(stage, "Put these together.")
    said = [(FIXING.get(stage) if in_place else None) or plain]
    if times > 1:
        said.append(f"Make {times} like this.")
    said += [HOW[n] for n in dict.fromkeys(needs)]
    return " ".join(said)


def title(stage: str, unit: str, in_place: bool, kind: str = "") -> str:
    """A step's title: what is done, and to which unit. A face frame and a bed are first made, then fixed in place."""
    said = (FIXES.get(stage) if in_place else None) or NO_BOX.get((kind, stage), ("", ""))[0]
    return f"{unit}: {(said or TITLES.get(stage, stage)).lower()}"
