"""`simcore live` as a process: it says where the page is, serves it, and ends with Ctrl-C."""

import os
import re
import signal
import subprocess
import threading
import time
import urllib.request
from pathlib import Path

import pytest
from forking import ordered

SCENARIO = "scenarios/launch_vs_creep.toml"


@pytest.mark.skipif(not hasattr(os, "fork"), reason="no forks on this system")
def test_it_serves_its_page_until_ctrl_c(server: subprocess.Popen[str], desk: Path) -> None:
    out, err, codes = desk / "out", desk / "err", []
    words = ("live", SCENARIO, "--no-browser")
    state = {"XDG_STATE_HOME": str(desk / "state")}
    command = threading.Thread(
        target=lambda: codes.append(ordered(server, words, desk, out, err, **state)), daemon=True
    )
    command.start()
    try:
        address = _said(out)
        with urllib.request.urlopen(address, timeout=10) as answer:
            assert "<!doctype html>" in answer.read().decode()
    finally:
        children = Path(f"/proc/{server.pid}/task/{server.pid}/children").read_text().split()
        for child in children:
            os.kill(int(child), signal.SIGINT)
        command.join(20)
    assert codes == [130]
    assert err.read_text().splitlines() == ["Ctrl-C ends it"]


def _said(out: Path) -> str:
    for _ in range(3000):  # the server of commands may have to compile first
        found = re.search(r"http://127\.0\.0\.1:\d+/\w{40}/", out.read_text()) if out.exists() else None
        if found:
            return found.group()
        time.sleep(0.05)
    raise AssertionError("no address was said")


def test_what_cannot_be_served_is_refused_at_once(simcore) -> None:
    none = simcore("live", "scenarios/none.toml", "--no-browser")
    assert (none.returncode, none.stdout) == (2, "")
    assert "scenarios/none.toml" in none.stderr
    wrong = simcore("live", SCENARIO, "--no-browser", "--set", "rear.shock.stroke=-3")
    assert wrong.returncode == 2
    assert "rear.shock.stroke: got -3 mm" in wrong.stderr
