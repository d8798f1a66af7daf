"""What it is: the pages in the browser, one file per page, no physics.

Takes: a library, and what a person asks for.
Gives: pages, from this machine alone.
Next: a person.
"""
