"""Which lumps a model has."""

from thawline.warmup.structure import ROWS, expected, larger, smallest, supported


def build(*seen):
    return smallest(seen, has_flow=False, heat="measured")


def test_the_smallest_model_has_a_lump_for_each_thermometer():
    """One thermometer, one lump; a mean and a coldest cell are two."""
    assert build("coldest").lumps == ("bulk",)
    assert build("bulk").lumps == ("bulk",)
    assert build("coolant", "coldest").lumps == ("hot", *ROWS)
    assert build("metal", "coolant", "bulk", "coldest").lumps == (
        "metal", "coolant", *ROWS, "coldest",
    )  # fmt: skip


def test_larger_models_add_one_thing():
    """Each candidate adds parameters and keeps those that were there."""
    now = build("coldest")
    while True:
        candidates = larger(now, has_cabin=False)
        for candidate in candidates.values():
            assert set(now.lumps) - {"bulk", "hot"} <= set(candidate.lumps)
            assert len(candidate.parameters) > len(now.parameters)
        if not candidates:
            break
        now = next(iter(candidates.values()))
    assert now.lumps == ("metal", "coolant", *ROWS, "coldest")


def test_without_a_coldest_cell_there_is_no_lag_to_find():
    """A lump that no thermometer sees apart is not offered."""
    assert not any("lags" in added for added in larger(build("bulk"), has_cabin=False))


def test_what_stands_for_the_coldest_cell_is_what_is_read():
    """The coldest cell where it is recorded, else the mean of the pack."""
    assert expected(build("coldest", "bulk")).target == ("coldest",)
    assert expected(build("bulk")).target == ROWS
    assert build("bulk").target == ("bulk",)


def test_earlier_mornings_bring_their_lumps_where_thermometers_allow():
    """Metal apart from coolant is kept; a coldest cell only where it is recorded."""
    lumps = ("metal", "coolant", *ROWS, "coldest")
    assert supported(build("coolant", "bulk"), lumps).lumps == ("metal", "coolant", *ROWS)
    assert supported(build("coldest"), ()).lumps == ("bulk",)
