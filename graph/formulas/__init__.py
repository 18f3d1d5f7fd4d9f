"""Arithmetic with its published sources, over plain numbers or intervals.

One module a subject; each function's docstring gives its symbols, units, valid range and source.
Those that a fit rule or a figure may name are in the registry, looked up by :func:`formula`.
"""

from knockon.graph.formulas.registry import Assumption, Formula, UnknownFormulaError, formula, formula_names

__all__ = ["Assumption", "Formula", "UnknownFormulaError", "formula", "formula_names"]
