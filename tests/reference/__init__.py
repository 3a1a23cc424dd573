"""Calculations done a second time, by another hand and other formulas, to be held against the program."""
