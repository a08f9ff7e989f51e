"""What a booklet says in so many words, whatever the project: how it is read, safety, the rules of each chapter."""

from typing import Literal

Paper = Literal["a4", "letter"]
PAPERS: dict[Paper, str] = {"a4": "a4", "letter": "us-letter"}

READING: tuple[tuple[str, str], ...] = (
    (
        "Marks",
        "Every kind of part has a mark: the code of the unit it is first used in, and a number. Equal parts share one "
        "mark wherever they go; bought hardware is marked H. Write the mark on each piece as it leaves the saw, on a "
        "face that will not show. A mark in this booklet is a link to its line in the parts list.",
    ),
    (
        "Sizes",
        "Length, width, thickness, in that order. Length runs along the grain, whichever is longer. Sizes are of the "
        "finished part; where a part is left larger to be scribed, its drawing says so.",
    ),
    (
        "Faces and edges",
        "Face A is the one that looks up in the part's own drawing, face B the one under it. Ends are x0 (left) and x1 "
        "(right), edges y0 (lower) and y1 (upper).",
    ),
    (
        "Left and right",
        "Always as seen standing in front of the unit and facing its wall; a wall's left end is at your left hand when "
        "you face it from inside the room.",
    ),
    (
        "Drawings",
        "The scale beside a title is that of the drawing's own sheet, a file among the drawings; where it says reduced "
        "it is smaller here. Work by the figures, never by measuring a drawing.",
    ),
    (
        "Steps",
        "In the picture of a step the parts that are new stand in their colours before their place, an arrow shows "
        "the way they go, and what was there already is pale. Tick the box when the check of the step is met.",
    ),
    (
        "Measure before you cut",
        "The model takes the room and the stock as they were written down. Measure the room again, and the thickness "
        "of the sheets that were delivered, before the first cut.",
    ),
)
UNITS = {
    "mm": "All sizes are in millimetres.",
    "in": "All sizes are in inches and fractions of an inch, to the nearest 1/32.",
}
LINES: tuple[tuple[str, str], ...] = (
    ("thick", "edges that are seen, and the outline of what is cut through"),
    ("thin", "dimensions, leaders, hatching of what is cut through"),
    ("dashed", "edges that are hidden"),
    ("chain", "middles: of holes, and of things that are alike on both sides"),
)
LAYERS: tuple[tuple[str, str], ...] = (
    ("outline …", "cut through last, the tool outside the line"),
    ("opening …", "cut through, the tool inside the line"),
    ("bore …, countersink …", "holes: the circle is the hole, the depth is in the name"),
    ("groove …, rabbet …", "cleared out to the line, as deep as the name says"),
    ("note …", "never cut: marks, grain, which face is up"),
)
"""Layers of the files for a router, by how their names begin."""

SAFETY: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Who decides",
        (
            "This booklet is a plan, not an approval. Where it and the local building, fire or electrical code differ, "
            "the code holds. Leave structural, gas and mains electrical work to people who are licensed for it.",
            "A check that finds nothing does not show that something is safe: it looks only for what it says it does.",
        ),
    ),
    (
        "Tipping",
        (
            "Fix every unit to the wall before anything is put in it and before a second drawer or door is opened. "
            "Tall units and uppers can fall on a person.",
            "Until it is fixed, leave the drawers out, and never let a child near it.",
            "Fix to studs or solid wall, never to plasterboard alone, with the screws the steps name.",
        ),
    ),
    (
        "Lifting",
        (
            "The weights below are of each unit as built, hardware included. What is over {heavy} is for two people "
            "(23 kg, 51 lb, is the most one person should lift under the best conditions: NIOSH lifting equation); "
            "take out drawers, shelves and doors first.",
            "Wear gloves and closed shoes. Clear the way before you lift, and agree who says when.",
        ),
    ),
    (
        "Tools and dust",
        (
            "Read the manual of each tool. Eyes and ears protected, guards and riving knife in place, push stick at "
            "hand, blade unplugged before it is changed.",
            "Support sheets on both sides of the cut. Never cut freehand on a table saw.",
            "Wood dust harms the lungs, that of beech and oak most: extract it at the tool and wear a P2 or N95 mask.",
        ),
    ),
    (
        "In the wall",
        (
            "Look for cables and pipes with a detector before every hole in a wall, above, below and beside outlets "
            "and taps above all.",
        ),
    ),
    (
        "Loads",
        (
            "What the checks work out of sag, pins, slides and wall fixings holds for the loads they name and the "
            "ratings in stock, and for nothing else. Spread weight over shelves, keep what is heavy low, and go by "
            "what the makers of slides, pins, hinges, brackets and wall fixings allow, the weakest of them.",
        ),
    ),
)
WIRING_SAFETY = (
    "Lights, drivers and outlets",
    (
        "What runs on mains (outlets, switches, the supply of a driver) is work for a licensed electrician under the "
        "local code. Builders may lay and plug in the low voltage side, with the supply unplugged.",
        "Keep drivers where air reaches them and a hand can too; cover nothing that gets warm.",
    ),
)
BED_SAFETY = (
    "Wall bed and gas springs",
    (
        "A gas spring is under high pressure: never open, drill, heat or cut one. They go in last, with the mattress "
        "on and the bed held by two people: without its weight the springs throw the bed up.",
        "Fix the cabinet to the studs before the bed goes in. Bolt it as its steps say and try it empty of people. "
        "Nobody stands under or behind the bed while it moves.",
    ),
)
FINISH_SAFETY = (
    "Finishes",
    (
        "Air the room, no flame, gloves on. Rags wet with oil can catch fire by themselves: spread them flat outdoors "
        "or keep them in water in a closed metal tin.",
    ),
)

CAUTIONS: dict[str, tuple[str, ...]] = {
    "cutting": (
        "Eyes, ears and lungs protected, guard and riving knife in place, a push stick for what is narrow; two people "
        "for a whole sheet. Pull the plug before the blade is touched.",
    ),
    "installation": (
        "Look for cables and pipes before every hole in a wall. What is not fixed yet can fall on a person: fix each "
        "unit before the next, drawers out, doors off or taped shut, children away.",
        "What the fixings hold depends on the wall: studs or solid masonry, never plasterboard alone.",
    ),
    "wiring": ("What runs on mains is work for a licensed electrician under the local code; pull the plug first.",),
    "finishing": (
        "Rags wet with oil can catch fire by themselves: spread them flat outdoors, or keep them in water in a closed "
        "metal tin. Air the room, no flame, gloves on; a mask against the dust of sanding.",
    ),
}
BED_CAUTION = (
    "A gas spring is under high pressure: never open, drill, heat or cut one. Springs go in last, the mattress on and "
    "the bed held by two people. Nobody stands under or behind the bed while it moves."
)

INSTALLING: tuple[str, ...] = (
    "Take up or measure what is on the wall. Mark the studs, and a level line at the height of the tops all round.",
    "Find the highest point of the floor under the units: heights count from there. Elsewhere shim, or turn the feet, "
    "until each unit is level both ways and its top edge stands at the line.",
    "Work from a corner, or from the unit the plan lines up with a window, outward. Draw neighbours together with "
    "clamps, faces flush, before they are screwed to each other.",
    "Fix to the studs through the back rails, a shim behind each screw where the wall stands back, so that nothing is "
    "drawn out of square. Check the diagonals again afterwards.",
    "Then the tops, dry first: scribe them to the wall, lay them, join the seams, screw from below. Then uppers, "
    "shelves between them, fillers and end panels, scribed to the wall.",
    "Doors and drawers go back in last and are set to their gaps. The cabinet of a "
    "wall bed stands with its neighbours; the bed itself is hung when all beside it is fixed.",
)
FINISHING: tuple[str, ...] = (
    "Finish a sample of the same board first, with every coat, and look at it in the light of the room.",
    "Ease sharp edges, sand with the grain up to 180, take the dust off. Keep joints that will be glued, holes and "
    "grooves free of finish.",
    "Paint and varnish: sand lightly with 240 between coats. Oil: wipe off what is left after a quarter of an hour. "
    "Go by the times on the tin.",
    "Both faces of a door or a front get the same number of coats, or it will bend.",
)
WIRING: tuple[str, ...] = (
    "Lay cables before backs and tops are closed. Leave a hand's length at each end, and no joint where it cannot be "
    "reached. Pass them through a grommet or a bored hole with its edge rounded, never over a sharp edge.",
    "Run each strip once on the bench before it is stuck on. Plus to plus: strips that run on direct current do not "
    "light, or fail, the wrong way round.",
    "A driver is loaded to no more than four fifths of its rating (common practice).",
)
CHECKING: tuple[str, ...] = (
    "Measure with one tape, from the same hook. Write down what you find and tick what is right; mend the rest before "
    "you go on. Values are worked out from the model as built.",
)
NO_FINDINGS = "The checks found nothing to tell."
