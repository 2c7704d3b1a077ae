"""Water that moves: frames, and the files that hold them."""
