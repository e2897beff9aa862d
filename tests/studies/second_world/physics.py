"""Constants of body and food that hold for every client, each with its source."""

# Hall et al. 2011, Lancet 378:826, doi:10.1016/S0140-6736(11)60812-X, web appendix; numbers
# confirmed by independent transcription (a published implementation of that model).
FAT_KCAL_PER_KG = 9441.0
LEAN_KCAL_PER_KG = 1816.0
"""Lean tissue with the water it holds."""
GLYCOGEN_KCAL_PER_KG = 4206.0
FAT_SYNTHESIS_KCAL_PER_KG = 179.0
LEAN_SYNTHESIS_KCAL_PER_KG = 229.0
LEAN_RESTING_KCAL_PER_KG = 22.0
FAT_RESTING_KCAL_PER_KG = 3.1
FOOD_EFFECT = 0.10
"""Share of what is eaten that its handling costs."""
ADAPTATION_DAYS = 14.0
SODIUM_MG_PER_KG_WATER = 3220.0
SODIUM_LOSS_MG_PER_KG_WATER = 3000.0
CARBOHYDRATE_SODIUM_MG = 4000.0
"""Sodium lost a day when no carbohydrate is eaten, against the usual. [mg/day]"""

# Forbes 1987, as given by Hall 2007, Br J Nutr 97:1059, doi:10.1017/S0007114507691946: published.
FORBES_KG = 10.4

# Fernández-Elías et al. 2015, Eur J Appl Physiol 115:1919, doi:10.1007/s00421-015-3175-z: at least
# 3 g of water with each gram of glycogen (published); 4 g as the other end (from memory, Olsson and
# Saltin 1970). A client has one number between them.
WATER_PER_GLYCOGEN = (3.0, 4.0)

# About 0.5 kg of glycogen in a man of 80 kg: from memory (Hall 2011 starts at 0.5 kg).
GLYCOGEN_KG_PER_KG_LEAN = 0.0085

# Residue in the gut of an adult, 0.7 to 1.8 kg, with a day or two of memory: from memory.
GUT_KG = (0.7, 1.8)
GUT_DAYS = 1.5
