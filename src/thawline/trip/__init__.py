"""What it is: the first trip, and what leaving cold costs on the road.

Takes: a vehicle, its limits by temperature, a speed trace, and how warm the car begins.
Gives: ``Trip``: kilowatt-hours by part, kilometres of range, money.
Next: ``whatif`` and ``plan`` set trips side by side; ``report`` shows them.
"""
