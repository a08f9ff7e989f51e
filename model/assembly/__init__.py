"""How a room is put together: steps derived from the joints and from what can be moved past what."""
