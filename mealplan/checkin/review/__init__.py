"""
Looking back on a phase: what was expected, what happened, what a difference is worth.

No proposal is made here.
"""
