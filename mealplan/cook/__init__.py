"""From a plan to the work in the kitchen, day by day."""
