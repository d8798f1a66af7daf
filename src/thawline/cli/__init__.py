"""What it is: the command line, one file per command, no physics.

Takes: what a person types.
Gives: text, or one JSON document.
Next: a person, or another program.
"""
