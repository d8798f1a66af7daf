from thawline.suggest.votes import Vote, gather_cases


def test_votes_of_one_pair_add_up():
    """Log-odds are added, unit and sign come from the weightiest that tell them."""
    votes = [
        Vote("Speed", "a", 2.0, "x", unit="km/h"),
        Vote("Speed", "a", 3.0, "y", unit="mph", sign=-1),
        Vote("Speed", "a", -1.0, "z", sign=1),
        Vote("Speed", "b", 1.0, "w"),
    ]
    found = gather_cases(votes)
    one = found["Speed", "a"]
    assert (one.weight, one.unit, one.sign) == (4.0, "mph", -1)
    assert found["Speed", "b"].sign == 0
    assert found["Speed", "b"].unit is None
