"""
Hands-on minutes: few in any case, and not more than the day's cook has.

Minutes beyond a day's are priced for the day as a whole (:mod:`mealplan.lp.daymodel`), since no
dish by itself is too long.
"""

from __future__ import annotations

from mealplan.rules.weights import weight

PER_MINUTE = weight("minute")
OVER_MINUTE = weight("over_minute")
