"""
From an intake to what each day should give: energy, nutrients, ranges, safety, seasons.

Foods and dishes are unknown here.
"""
