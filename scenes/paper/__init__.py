"""Printed pages: marks placed in millimetres, written as PDF or SVG. Knows nothing of stacks."""
