"""From a damp place back to what was done wrong."""
