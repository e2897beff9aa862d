"""
Schema changes, one file a release that changes it.

What a document contains changes in :mod:`mealplan.store.documents`, never here.
"""
