r"""Few spells in which something may be on: what makes a long plan quick to solve.

A spell is what begins and has not yet ended, :math:`w_t = u_t - v_t` with :math:`u, v` in
{0, 1} that never fall; the next begins after the one before has ended. One branch of the
search then fixes a whole stretch.
"""

from __future__ import annotations

from thawline.plan.rows import Ints, Rows


def spells(rows: Rows, on: Ints, count: int, apart: int = 0) -> Ints:
    """Let something be on only within a few spells.

    Parameters
    ----------
    rows : Rows
        The problem.
    on : ndarray of intp, shape (n,)
        Variables of what is on [1].
    count : int
        How many spells [1].
    apart : int
        Least steps from the end of one to the beginning of the next [1].

    Returns
    -------
    ndarray of intp, shape (n,)
        Variables that are 1 within a spell [1].
    """
    n = len(on)
    within = rows.variables(n, 0, 1)
    begun = [rows.variables(n, 0, 1, is_whole=True) for _ in range(count)]
    ended = [rows.variables(n, 0, 1, is_whole=True) for _ in range(count)]
    for t in range(n):
        terms = [(within[t], -1.0)]
        for k in range(count):
            u, v = begun[k], ended[k]
            terms += [(u[t], 1.0), (v[t], -1.0)]
            rows.least([(u[t], 1.0), (v[t], -1.0)], 0.0)
            if t:
                rows.least([(u[t], 1.0), (u[t - 1], -1.0)], 0.0)
                rows.least([(v[t], 1.0), (v[t - 1], -1.0)], 0.0)
            if k and t >= apart:
                rows.most([(u[t], 1.0), (ended[k - 1][t - apart], -1.0)], 0.0)
            elif k:
                rows.most([(u[t], 1.0)], 0.0)
        rows.row(terms, 0.0, 0.0)
        rows.most([(on[t], 1.0), (within[t], -1.0)], 0.0)
    return within
