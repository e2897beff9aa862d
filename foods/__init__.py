"""What foods contain; knows nothing of people or plans."""

from foods.errors import FoodError
from foods.models import Food, PlantBased, Portion
from foods.nutrients import NUTRIENT_KEYS, NUTRIENTS, Nutrient, by_number, nutrient
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
