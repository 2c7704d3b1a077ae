"""The window: a scene to turn, to peel, to play and to ask."""
