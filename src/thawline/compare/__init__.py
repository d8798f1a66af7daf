"""What it is: two mornings side by side, with what differs and the likely reason.

Takes: two explained recordings.
Gives: ``Comparison``.
Next: ``report`` shows it.
"""
