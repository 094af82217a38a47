"""The browser is handed a file that leads to the page, and not the key itself."""

import os
import stat
import tempfile
import webbrowser
from pathlib import Path
from queue import Queue
from urllib.parse import urlparse
from urllib.request import url2pathname

import pytest

from simcore.views.live import leading
from simcore.views.live.address import Address

ADDRESS = Address(8177, "secret-of-the-page")


@pytest.fixture
def handed(monkeypatch: pytest.MonkeyPatch) -> Queue[str]:
    """What a browser is started with."""
    found: Queue[str] = Queue()
    monkeypatch.setattr(webbrowser, "open", found.put)
    return found


@pytest.mark.parametrize("confined", [False, True])
def test_a_browser_is_handed_a_file_that_only_the_user_can_read_for_as_long_as_the_page_is_served(
    handed: Queue[str], confined: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home, rest = tmp_path / "home", tmp_path / "rest"
    home.mkdir()
    rest.mkdir()
    monkeypatch.setattr(Path, "home", lambda: home)
    monkeypatch.setattr(tempfile, "tempdir", str(rest))
    monkeypatch.setattr(leading, "CONFINED", tmp_path if confined else tmp_path / "none")
    with leading.opened(ADDRESS):
        given = handed.get(timeout=10.0)
        file = Path(url2pathname(urlparse(given).path))
        assert ADDRESS.key not in given
        assert file.parent.parent == (home if confined else rest)
        assert f"url={ADDRESS.page}" in file.read_text(encoding="utf-8")
        if os.name == "posix":
            assert stat.S_IMODE(file.stat().st_mode) == 0o600
            assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700
    assert list(home.iterdir()) + list(rest.iterdir()) == []


def test_where_no_file_can_be_written_nothing_is_opened(
    handed: Queue[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "none"))
    monkeypatch.setattr(leading, "CONFINED", tmp_path / "none")
    with leading.opened(ADDRESS):
        pass
    assert handed.empty()
