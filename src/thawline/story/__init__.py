"""What it is: what the car did and why: lanes, spans, turning points, and why not.

Takes: ``Recording``.
Gives: ``Story``; ``why_not`` answers for any instant.
Next: ``ledger`` says how much.
"""
