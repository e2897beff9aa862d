"""What foods contain; knows nothing of people or plans."""

from foods.registry.errors import FoodError
from foods.registry.models import Food, PlantBased, Portion
from foods.registry.nutrients import NUTRIENT_KEYS, NUTRIENTS, Nutrient, by_number, nutrient
from foods.table import FoodTable

__all__ = [
    "NUTRIENTS",
    "NUTRIENT_KEYS",
    "Food",
    "FoodError",
    "FoodTable",
    "Nutrient",
    "PlantBased",
    "Portion",
    "by_number",
    "nutrient",
]
