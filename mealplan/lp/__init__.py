"""The day as a linear programme: plain problem, exact solver seam, fast search with a bound."""
