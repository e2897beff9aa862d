"""
From targets to days of meals, and changing them: candidates, days, weeks, verification.

Buying and cooking what was planned are elsewhere.
"""
