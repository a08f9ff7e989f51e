"""Carrying, lifting, hoisting and standing up: pure formulas."""
