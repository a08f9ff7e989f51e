"""Fold-down beds: how they turn, their parts, the mattresses they are made for."""
