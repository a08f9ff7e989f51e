"""Tops: sheets in pieces, their layers, edges, openings and what lies under them."""
