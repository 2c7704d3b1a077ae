"""Pieces round a stack of any convex plan, each made for a run of the plan's edges."""
