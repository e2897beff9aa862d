"""
What a body at rest, in training and over time does with energy.

Plain functions, numbers in and numbers out, small frozen dataclasses where a result has parts. No
module here knows about foods, plans, files or clocks; reference values come from the CSV files of
:mod:`mealplan.references` through :mod:`mealplan.physiology.tables`.

- ``resting`` energy at rest: equations and the choice among them, gas exchange, whole tests.
- ``expenditure`` what activity and training add, and what food leaves the body.
- ``body`` what scans, girths and skinfolds tell, and how far each can be trusted.
- ``weight_change`` tissue energy, rates, goals and phases over weeks.
- ``guard`` when to stop.
- ``checks`` single numbers that come in from outside; ``tables`` the reference values.
"""
