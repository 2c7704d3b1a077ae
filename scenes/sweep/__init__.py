"""One scene many times over: parameters varied, every case worked out, the answers as a table and a map."""
