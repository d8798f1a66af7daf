"""What it is: when each turning point will come, and the chance that it never does.

Takes: ``Recording`` until now, its ``Flows`` and ``Story``, ``WarmUp``, ``LearnedLimits``.
Gives: ``Forecast``; ``Backtest`` for what came of earlier ones.
Next: ``plan`` decides what to do about it.
"""
