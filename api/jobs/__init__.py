"""
Planning and reading logs beside the pages.

What is planned is in :mod:`mealplan.menu`.
"""
