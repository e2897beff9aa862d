"""What is eaten at an hour when few people want it."""

from __future__ import annotations

from typing import ClassVar

from mealplan.rules.preferences.base import Table
from mealplan.rules.weights import weight

LATE_PULSES = weight("late_pulses")
EARLY_SAVOURY = weight("early_savoury")
COLD_DINNER = weight("cold_dinner")
LATE = "20:00"
"""From this hour on a small meal is the last before bed (common practice)."""
FORENOON = "11:00"
"""Before this hour a small meal between meals is sweet, or bread (common practice)."""
BREAD = frozenset({"sandwich", "toast", "crispbread", "wrap"})
"""Kinds that are eaten in the forenoon whatever is on them."""


class Hours:
    """Beans before bed, salted beans in the forenoon, a cold dinner at home."""

    name: ClassVar[str] = "hour"

    def price(self, dish: str, table: Table) -> float:
        """
        Price what is out of its hour.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        return self._minded(dish, table)[0]

    def sentence(self, dish: str, table: Table) -> str:
        """
        Say what.

        Parameters
        ----------
        dish : str
            Key of the dish that is weighed.
        table : Table
            The meal it would be served at, with the days around it.
        """
        return self._minded(dish, table)[1]

    def _minded(self, dish: str, table: Table) -> tuple[float, str]:
        facts = table.facts.by_key[dish]
        if table.slot.occasion == "small":
            if table.slot.time >= LATE and dish in table.facts.of_pulses:
                return LATE_PULSES, "pulses shortly before bed"
            if table.slot.time < FORENOON and facts.savoury and facts.kind not in BREAD:
                return EARLY_SAVOURY, "savoury between breakfast and midday"
        at_home = table.slot.occasion == "evening" and table.place == "home"
        if at_home and not table.no_time and table.facts.cold(dish):
            return COLD_DINNER, "a cold dinner at home"
        return 0.0, ""
