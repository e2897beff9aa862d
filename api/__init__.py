"""The service: pages and JSON for coach, athlete and client over the domain in ``mealplan``."""
