"""What it is: many vehicles at once: thousands of recordings, studied side by side.

Takes: a library, on a disk or an object store; workers.
Gives: a ``Fleet``: every recording's figures and findings, every vehicle's trends and limits.
Next: ``thawline fleet`` writes it as Parquet and as a page.
"""
