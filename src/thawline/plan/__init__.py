"""What it is: what to do before leaving, so that the car is ready at least cost, and how surely.

Takes: the fitted model of a vehicle, its limits, supply, weather, tariff, wishes.
Gives: ``Plan``.
Next: ``report`` shows it; a person does it.
"""
