"""One page that opens from disk: the stage as bytes, and the script that draws them."""
