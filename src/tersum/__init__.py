"""Tersum: plan, mix, measure, decide and hand over the cleaning of vehicle cabins and rooms."""

__version__ = "0.1.0"
