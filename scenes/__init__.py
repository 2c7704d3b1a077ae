"""Situations: scene files, results, pictures and the command line."""

__version__ = "0.1.0"
