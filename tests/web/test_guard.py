"""Who may ask: names, tokens, origins; and what every answer forbids the browser."""

import pytest

from tests.web.conftest import FIRST, OURS, client_of
from thawline.web.guard import name_of
from thawline.web.settings import settings_for


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("127.0.0.1:8737", 200),
        ("localhost:8737", 200),
        ("[::1]:8737", 200),
        ("LOCALHOST", 200),
        # a name that its owner makes point at this machine (DNS rebinding)
        ("rebound.example:8737", 421),
        ("127.0.0.1.rebound.example", 421),
        ("192.0.2.7", 421),
        ("[bad", 421),
        ("", 421),
    ],
)
def test_only_names_of_ours_are_answered(client, host, status):
    """A page elsewhere cannot read recordings by pointing a name of its own at this machine."""
    assert client.get("/keys", headers={"Host": host}).status_code == status


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        (OURS, 303),
        ({"Sec-Fetch-Site": "same-origin"}, 303),
        ({}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": "http://elsewhere.example"}, 403),
        ({"Origin": "http://127.0.0.1:9999"}, 403),
        ({"Origin": "http://127.0.0.1:8737.elsewhere.example"}, 403),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Sec-Fetch-Site": "same-site"}, 403),
    ],
)
def test_other_sites_change_nothing(client, headers, status):
    """A form on another site cannot write a note or add a log."""
    answer = client.post(f"/recordings/{FIRST}/notes", data={"text": "x"}, headers=headers)
    assert answer.status_code == status


@pytest.mark.parametrize(("mode", "status"), [("navigate", 200), ("no-cors", 403), ("cors", 403)])
def test_other_sites_may_only_link(client, mode, status):
    """A link from elsewhere is followed; an image or a script from elsewhere sets nothing going."""
    headers = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": mode}
    assert client.get("/keys", headers=headers).status_code == status


def test_others_than_this_machine_need_the_token(library):
    """Without the token nothing is told; with it once, a cookie remembers."""
    settings = settings_for("0.0.0.0", 8737)
    assert len(settings.token) >= 40 and settings.token != settings_for("0.0.0.0", 1).token
    with client_of(library, token=settings.token, names=settings.names) as client:
        for path in ("/", f"/recordings/{FIRST}", "/static/0.1.0/web.css"):
            refused = client.get(path)
            assert refused.status_code == 401 and "Gannet" not in refused.text
        assert client.get("/?token=wrong").status_code == 401
        assert client.get("/?token=").status_code == 401
        assert client.get("/", headers={"Cookie": "thawline-token=wrong"}).status_code == 401
        led = client.get(f"/?token={settings.token}&text=gannet")
        assert led.status_code == 303 and led.headers["location"] == "/?text=gannet"
        cookie = led.headers["set-cookie"]
        assert "HttpOnly" in cookie and "samesite=lax" in cookie.lower()
        assert client.get("/").status_code == 200
        # an address cannot be pointed elsewhere by its owner, a name can
        assert client.get("/", headers={"Host": "192.0.2.7:8737"}).status_code == 200
        assert client.get("/", headers={"Host": "rebound.example"}).status_code == 421


def test_the_token_leads_nowhere_else(library):
    """A path that begins with two slashes is no way to another host."""
    with client_of(library, token="t" * 43) as client:
        led = client.get("http://127.0.0.1:8737//elsewhere.example?token=" + "t" * 43)
        assert led.headers["location"] == "/elsewhere.example"


@pytest.mark.parametrize("back", ["//elsewhere.example/x", "http://elsewhere.example/x",
                                  "\\\\elsewhere.example", "javascript:alert(1)"])  # fmt: skip
def test_choosing_units_leads_to_pages_of_ours(client, back):
    """The way back is a path on this machine, whatever the address asks for."""
    there = client.get("/units", params={"back": back}).headers["location"]
    assert there.startswith("/") and not there.startswith(("//", "/\\"))


def test_answers_forbid_what_pages_do_not_need(client):
    """Scripts from here alone, none written in the page, none evaluated; no frames; no sniffing."""
    headers = client.get("/").headers
    policy = headers["content-security-policy"]
    scripts = next(part for part in policy.split("; ") if part.startswith("script-src"))
    assert scripts == "script-src 'self'" and policy.startswith("default-src 'none'")
    assert "frame-ancestors 'none'" in policy and "form-action 'self'" in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["cache-control"] == "no-store"


def test_no_page_has_a_script_written_in_it(client):
    """What the policy forbids is not there either: only data that no browser runs."""
    import re

    for path in ("/", "/add", f"/recordings/{FIRST}", "/compare", "/limits", "/keys"):
        text = client.get(path).text
        for tag in re.findall(r"<script[^>]*>", text):
            assert "src=" in tag or "application/json" in tag
        assert not re.search(r"\son\w+=|javascript:", text)


@pytest.mark.parametrize(("header", "name"), [("Localhost:1", "localhost"), ("[::1]:8", "::1"),
                                              ("a.example", "a.example"), ("[", "")])  # fmt: skip
def test_the_name_is_taken_out_of_the_header(header, name):
    """RFC 9110, section 7.2: host, then a colon and the port."""
    assert name_of(header) == name
