"""Statics: masses and centres of gravity, tipping, fasteners, gas springs, how wood moves. Formulas, no findings."""
