"""What it is: a proposal of which signal of a database is which, from names and from physics.

Takes: logs or tables, and their database.
Gives: ``Suggestion``: proposals with evidence and confidence, and a vehicle file to edit.
Next: a person edits the vehicle file; ``vehicle`` reads it.
"""
