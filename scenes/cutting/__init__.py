"""The cut list: blanks to cut and fold, steps set out, stock, and patterns at full size."""
