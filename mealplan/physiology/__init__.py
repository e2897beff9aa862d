"""
What a body at rest, in training and over time does with energy.

Plain functions, numbers in and numbers out, small frozen dataclasses where a result has parts. No
module here knows about foods, plans, files or clocks; reference values come from the CSV files of
:mod:`mealplan.references` through :mod:`mealplan.physiology.tables`.

- ``calorimetry`` gas exchange to energy and substrate use; ``gas_series``,
  ``resting_measurement`` and ``incremental`` read whole tests.
- ``resting`` predicted resting energy; ``resting_choice`` which equation, and combining with a
  measurement.
- ``activity`` published activity levels and energy-requirement equations; ``exercise`` the cost of
  sessions; ``expenditure`` the day's and the week's total.
- ``energy_balance`` tissue energy and the dynamic model; ``goals`` from a wish to an intake.
- ``availability`` energy availability; ``composition``, ``anthropometry`` and ``precision`` what
  body measurements can tell.
- ``rates`` and ``phases`` how fast and for how long; ``guard`` when to stop, through
  ``guard_person``, ``guard_plan`` and ``guard_inputs``; ``fitness`` heart rate.
"""
