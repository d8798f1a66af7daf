"""Settings: which addresses need a token."""

import pytest

from thawline.web.settings import is_loopback, settings_for


@pytest.mark.parametrize(
    ("host", "alone"),
    [
        ("127.0.0.1", True),
        ("127.8.9.1", True),  # all of 127/8 is loopback (RFC 1122, 3.2.1.3)
        ("::1", True),
        ("localhost", True),
        ("0.0.0.0", False),
        ("::", False),
        ("192.0.2.1", False),
        ("example.org", False),
    ],
)
def test_only_loopback_needs_no_token(host, alone):
    """Whatever another machine could reach is behind a token."""
    assert is_loopback(host) is alone
    assert bool(settings_for(host, 1).token) is not alone


def test_further_names_are_known():
    """A name given with --allow-host is answered, in any case."""
    assert "bench.local" in settings_for("0.0.0.0", 1, ("Bench.Local",)).names
