"""Drawings for a router: what is cut into panels and sheets, on layers that say how."""
