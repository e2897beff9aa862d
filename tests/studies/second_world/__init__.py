"""
A second world for the check-in studies: clients that share nothing with the product's estimator.

Here belong simulated clients with their own physiology, their way of weighing, logging and eating,
the yardstick policies and the scoring. Nothing of ``mealplan`` is imported; a policy that wraps
the product's estimator lives in a module of its own and is plugged in from outside.

How a study runs
----------------
Day 0 is the first day of the plan, and the first day of week 1. Each day the client lives under
the plan in force and a day's records join the log. After every seventh day, on the days 7, 14, ...
7 × weeks, before that day is lived, the policy looks at the log and gives a :class:`Verdict`. Its
``move_kcal`` is added to the plan from that day on: every verdict is followed. The reading of the
morning of day 7 is not yet in the log when the policy looks on day 7; the newest is of day 6.

What a policy sees
------------------
``policy.start(facts)`` once for a client, with what an intake form gives (:class:`Facts`), then
``policy.look(log, plan)`` once a week, with the whole :class:`PublicLog` so far and the
:class:`Plan`. A policy may keep state between looks of one client; ``start`` must forget the
client before. All records are plain frozen dataclasses in the module ``protocol``; a date is
``facts.first_day`` plus the record's ``day``. Missing records are missing: a day without an
:class:`Eaten` was not logged, which is not the same as nothing eaten.

Scales
------
Everything about energy that a policy says is on the *logging scale*: kcal as this client logs
them. A client who writes down 85 % of what is eaten, and has an expenditure of 2600 kcal, has one
of 2210 on the logging scale. Plans are on that scale too, for the client eats the plan as logged.

What a policy says
------------------
:class:`Verdict` holds four :class:`Band`, each a best value and a low and high end that should hold
the truth nine times in ten, or None where the policy has no such estimate:

``gap``
    kcal/day: what the client would have to log on an average day for the wanted rate from now on,
    less the plan in force. Positive: the plan should go up. It is not what the client will eat,
    which may lie short of the plan; it is what the plan should say to one who follows it.
``level``
    kg: body mass without passing water, as a fasted, unclothed morning on the usual scale.
``slope``
    kg/week: rate of change of tissue, water aside, over the last week.
``expenditure``
    kcal/day on the logging scale, of an average day now: resting, food, movement, training.

and the decision ``move_kcal`` (0 is to hold) with, if it wishes, one sentence ``why``, which is
not scored. Moves may have any size; the runner keeps plans at or above 800 kcal.

What is scored, never seen
--------------------------
Truth comes from the client's hidden state; see ``scoring`` for each definition.
"""
