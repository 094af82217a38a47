"""Who may speak to the live page: the key, host and origin of the page itself, and nobody else."""

import stat
from pathlib import Path

import pytest

from simcore.views.live.address import Address, key_for

ADDRESS = Address(8177, "secret")
OWN = {"Host": "127.0.0.1:8177"}


def test_the_page_is_on_this_machine_and_has_the_key() -> None:
    assert ADDRESS.page == "http://127.0.0.1:8177/secret/"


@pytest.mark.parametrize("more", [{}, {"Sec-Fetch-Site": "none"}, {"Sec-Fetch-Site": "same-origin"}])
def test_whoever_was_given_the_address_may_ask(more: dict[str, str]) -> None:
    assert ADDRESS.refusal("/secret/", OWN | more) == ""
    assert ADDRESS.refusal("/secret/live.js", OWN | more | {"Origin": ADDRESS.origin}) == ""


@pytest.mark.parametrize(
    "path", ["/", "/secret2/", "/secre/", "//secret/", "/other/../secret/", "/%73ecret/"]
)
def test_without_the_key_nobody_may(path: str) -> None:
    assert "key" in ADDRESS.refusal(path, OWN)


@pytest.mark.parametrize(
    "host", ["localhost:8177", "127.0.0.1", "127.0.0.1:80", "rebound.example:8177", None]
)
def test_another_host_is_refused(host: str | None) -> None:
    headers = {"Host": host} if host else {}
    assert "host" in ADDRESS.refusal("/secret/", headers)
    # that origin and host are the same is not enough: a name that leads here says the same of both
    assert "host" in ADDRESS.refusal("/secret/", headers | {"Origin": f"http://{host}"}, lasting=True)


@pytest.mark.parametrize(
    "origin", ["null", "https://127.0.0.1:8177", "http://127.0.0.1:8178", "http://other.example"]
)
def test_another_origin_is_refused(origin: str) -> None:
    assert "origin" in ADDRESS.refusal("/secret/", OWN | {"Origin": origin})
    assert "origin" in ADDRESS.refusal("/secret/socket", OWN | {"Origin": origin}, lasting=True)


def test_a_lasting_connection_must_say_where_it_comes_from() -> None:
    assert "origin" in ADDRESS.refusal("/secret/socket", OWN, lasting=True)
    own = OWN | {"Origin": ADDRESS.origin}
    assert ADDRESS.refusal("/secret/socket", own, lasting=True) == ""
    assert "site" in ADDRESS.refusal("/secret/socket", own | {"Sec-Fetch-Site": "none"}, lasting=True)


@pytest.mark.parametrize("site", ["cross-site", "same-site", "anything"])
def test_another_site_is_refused(site: str) -> None:
    assert "site" in ADDRESS.refusal("/secret/", OWN | {"Sec-Fetch-Site": site})


LED = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate", "Sec-Fetch-Dest": "document"}


def test_a_file_may_lead_to_the_page_and_to_nothing_else() -> None:
    assert ADDRESS.refusal("/secret/", OWN | LED) == ""
    assert "site" in ADDRESS.refusal("/secret/live.js", OWN | LED)
    assert "site" in ADDRESS.refusal("/secret/", OWN | LED | {"Sec-Fetch-Dest": "iframe"})
    assert "site" in ADDRESS.refusal("/secret/", OWN | LED | {"Sec-Fetch-Mode": "no-cors"})
    assert "origin" in ADDRESS.refusal("/secret/", OWN | LED | {"Origin": "null"})
    own = OWN | LED | {"Origin": ADDRESS.origin}
    assert "site" in ADDRESS.refusal("/secret/", own, lasting=True)


def test_a_key_lasts_for_its_file_and_only_the_user_can_read_what_it_is_made_of(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    one, other = key_for(Path("one.toml")), key_for(Path("other.toml"))
    assert len(one) == 40
    assert one != other
    assert key_for(Path("one.toml")) == one
    (secret,) = (tmp_path / "simcore").iterdir()
    assert stat.S_IMODE(secret.stat().st_mode) == 0o600
    secret.chmod(0o644)
    assert key_for(Path("one.toml")) != one  # others may have read it


def test_where_nothing_can_be_kept_a_key_is_good_for_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").touch()
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "file"))
    assert key_for(Path("one.toml")) != key_for(Path("one.toml"))
