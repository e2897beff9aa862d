"""
People with plans of their own who share meals: who they are, and what they eat side by side.

Choosing the dishes they share is with the other planning; cooking and buying read the days here.
"""
