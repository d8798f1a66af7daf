"""Charging refused though the cells are warm."""

from tests.findings.made import BATTERY, CHARGING, kinds_of, looked

LIMIT = BATTERY + "Limits.ChargePower"


def test_a_limit_that_stays_at_zero_ten_kelvin_above_is_told():
    """Common practice, no source: charging begins when the coldest cell passes 0 °C."""
    found = looked({LIMIT: 0.0})
    one = next(f for f in found.found if f.kind == "charging-refused-warm")
    assert one.evidence[0].value > 3.0
    assert "bypass" in one.caution


def test_nothing_is_refused_that_is_not_asked_for():
    """Without a wish to charge a limit of zero keeps nobody waiting."""
    silent = {LIMIT: 0.0, CHARGING + "IsRequested": 0.0}
    assert "charging-refused-warm" not in kinds_of(looked(silent))


def test_a_pack_that_may_be_full_is_not_refused():
    """Allowed for ten minutes, then nothing: where no charge is recorded, it may be full."""
    ends = {LIMIT: lambda t: 20.0 * ((t > 2000.0) & (t < 2600.0))}
    assert "charging-refused-warm" not in kinds_of(looked(ends))
