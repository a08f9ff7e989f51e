"""What boards carry: beams, sections, plates, what wood bears, and what carries a board in a built plan."""
