"""Cures: the least change to a scene that stops a leak or lengthens a short lap, found by search."""
