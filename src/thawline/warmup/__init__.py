"""What it is: a grey-box model of how this pack warms, fitted to a recording, with a verdict.

Takes: ``Recording``, its ``Flows`` and ``Story``; a ``Prior`` from earlier mornings.
Gives: ``WarmUp``.
Next: ``forecast`` says when each turning point comes.
"""
