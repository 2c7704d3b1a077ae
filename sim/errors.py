"""The one error that is ours and not the user's."""

from __future__ import annotations


class TraceError(RuntimeError):
    """A run broke its own rules: ours to fix, never caught."""
