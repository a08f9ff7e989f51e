"""The gaps of a built plan: measured between the faces of parts, each against a range of its own."""
