"""Measurements taken on a roof: the questions, an interview that asks them, the scene and the sheet."""
