"""
A third world for the check-in studies: where settings of the estimator are chosen.

Here belong small simulated clients of other sources than those of the second world, so that the
second is left to judge by. They meet the same policies, runner and scoring; no product code.
"""
