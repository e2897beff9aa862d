"""What a person should eat of each nutrient, before any food is chosen."""
