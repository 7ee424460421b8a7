"""Figures with units, tables and sheets, and what is wrong with them, with its place."""
