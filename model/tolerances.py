"""Every tolerance of the model, once, with its reason."""

DIGITS = 3
"""Lengths are rounded to 0.001 mm when a value is made, so that 0.1 + 0.2 and 0.3 give one part, not two."""

CONTACT = 0.01
"""mm. Faces nearer than this touch: ten times the rounding, a tenth of what a shop can see."""

OVERLAP = 1.0
"""mm^3. Common volume above this is a fault; below it is rounding where faces meet."""

OVERCUT = 1.0
"""mm. A tool that leaves a blank runs on this far, so that no boolean meets two faces in one plane."""

SLIVER = 0.005
"""mm. A cut that ends this near a face of its blank ends on it: the rest is rounding, not wood."""


def rounded(value: float) -> float:
    """The value to 0.001 (mm), never minus zero."""
    return round(float(value), DIGITS) + 0.0
