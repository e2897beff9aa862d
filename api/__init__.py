"""
The service: pages and JSON for coach, athlete and client over the domain in ``mealplan``.

No target, day or list is worked out here, and nothing in ``mealplan`` or ``foods`` imports it but
the commands that start it, which find it by name.
"""
