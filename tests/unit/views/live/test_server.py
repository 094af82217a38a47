"""The server of the live page, as a browser on this machine and as whoever else finds it would use it."""

import asyncio
import json
import socket

import pytest
from fake_bench import FakeBench
from serving import got, heard, line, with_server
from tornado.httpclient import HTTPClientError

from simcore.errors import InputError, InputIssue
from simcore.views.live.address import Address
from simcore.views.live.asked import LONGEST
from simcore.views.live.server import listening, page


def test_page_style_and_script_are_served_and_nothing_else() -> None:
    async def act(address: Address) -> None:
        for name, words in (
            ("", "<!doctype html>"),
            ("live.js", "new Bench()"),
            ("live.css", "--ink"),
            ("film.js", "unpack"),
        ):
            answer = await got(address.page + name)
            assert answer.code == 200
            assert words in answer.body.decode()
            assert (
                "'unsafe-inline'" not in answer.headers["Content-Security-Policy"].split("style-src-attr")[0]
            )
            assert answer.headers["X-Content-Type-Options"] == "nosniff"
            assert answer.headers["Referrer-Policy"] == "no-referrer"
            assert "Server" not in answer.headers
            assert "Access-Control-Allow-Origin" not in answer.headers
        for name in (
            "server.py",
            "../server.py",
            "..%2fserver.py",
            "fake.toml",
            "page.html",
            "live.js/",
            "socket/x",
        ):
            assert (await got(address.page + name)).code in (403, 404), name
        assert (await got(address.page, "POST")).code == 405
        assert (await got(address.page, "DELETE")).code == 405

    with_server(FakeBench(), act)


def test_whoever_is_not_the_page_is_refused() -> None:
    async def act(address: Address) -> None:
        assert (await got(address.page.replace("k/", "x/"))).code == 403
        assert (await got(address.origin)).code == 403
        assert (await got(address.origin + "/favicon.ico")).code == 403
        assert (await got(address.page, Host="rebound.example")).code == 403
        assert (await got(address.page, Host=f"localhost:{address.port}")).code == 403
        assert (await got(address.page, Origin="http://other.example")).code == 403
        assert (await got(address.page, Sec_Fetch_Site="cross-site")).code == 403
        for headers in (
            {"Origin": "http://other.example"},
            {"Host": "rebound.example", "Origin": "http://rebound.example"},
        ):
            with pytest.raises(HTTPClientError, match="403"):
                async with line(address, **headers):
                    pass
        with pytest.raises(HTTPClientError, match="403"):
            async with line(Address(address.port, "x" * 40)):
                pass

    with_server(FakeBench(), act)


def test_only_this_machine_can_reach_it() -> None:
    with listening(None) as place:
        assert place.getsockname()[0] == "127.0.0.1"


def test_a_port_that_is_taken_is_refused_by_its_name() -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(InputError, match=f"--port: got {port}, which is in use, must be a free port"):
            listening(port)


def test_a_change_is_answered() -> None:
    async def act(address: Address) -> None:
        async with line(address) as talk:
            hello = await heard(talk)
            assert hello["type"] == "hello"
            await talk.write_message(json.dumps({"n": 1, "case": "base", "set": {"ground.slope": 20.0}}))
            answer = await heard(talk)
            assert (answer["type"], answer["n"]) == ("first", 1)
            assert answer["metrics"][0]["value"] == 20.0 + 92.0
            await talk.write_message(json.dumps({"n": 2, "case": "base", "set": {"ground.slope": 50.0}}))
            fault = await heard(talk)
            assert fault["type"] == "fault"
            assert fault["faults"][0]["path"] == "ground.slope"

    with_server(FakeBench(), act)


def test_the_latest_change_wins_and_a_stale_run_is_stopped() -> None:
    bench = FakeBench(wait=0.3)

    async def act(address: Address) -> None:
        async with line(address) as talk:
            await heard(talk)
            for n in range(1, 6):
                await talk.write_message(json.dumps({"n": n, "set": {"ground.slope": float(n)}}))
                await asyncio.sleep(0.05 if n == 1 else 0.0)
            answer = await heard(talk)
            assert answer["n"] == 5
            assert [bench.heard[0][1].n, bench.heard[-1][1].n] == [1, 5]
            assert bench.stopped == len(bench.heard) - 1

    with_server(bench, act)


def test_all_that_is_known_is_dropped_where_something_has_changed_since() -> None:
    bench = FakeBench(wait=0.1)

    async def act(address: Address) -> None:
        async with line(address) as talk:
            await heard(talk)
            await talk.write_message('{"n": 1}')
            await talk.write_message('{"n": 1, "do": "second"}')
            await talk.write_message('{"n": 2}')
            assert (await heard(talk))["n"] == 2
            await talk.write_message('{"n": 2, "do": "second"}')
            assert (await heard(talk))["type"] == "second"
            assert [what for what, _ in bench.heard].count("second") == 1

    with_server(bench, act)


@pytest.mark.parametrize("text", ["", "nonsense", "[]", '{"do": "erase"}', b"\x00\xff"])
def test_what_is_not_understood_is_answered_and_the_next_change_too(text: str | bytes) -> None:
    async def act(address: Address) -> None:
        async with line(address) as talk:
            await heard(talk)
            await talk.write_message(text, binary=isinstance(text, bytes))
            assert (await heard(talk))["type"] == "refused"
            await talk.write_message('{"n": 1}')
            assert (await heard(talk))["type"] == "first"

    with_server(FakeBench(), act)


def test_a_message_that_is_too_long_ends_its_own_line_alone() -> None:
    async def act(address: Address) -> None:
        async with line(address) as talk, line(address) as other:
            await heard(talk)
            await heard(other)
            await talk.write_message("x" * (LONGEST + 1))
            assert await asyncio.wait_for(talk.read_message(), 5.0) is None
            await other.write_message('{"n": 1}')
            assert (await heard(other))["type"] == "first"

    with_server(FakeBench(), act)


def test_a_fault_of_the_program_is_said_and_the_bench_goes_on(capsys: pytest.CaptureFixture[str]) -> None:
    async def act(address: Address) -> None:
        async with line(address) as talk:
            await heard(talk)
            await talk.write_message('{"n": 1, "set": {"ground.slope": 39.0}}')
            refused = await heard(talk)
            assert refused["type"] == "refused"
            assert "RuntimeError: a fault of the program" in refused["text"]
            await talk.write_message('{"n": 2, "set": {}}')
            assert (await heard(talk))["n"] == 2

    with_server(FakeBench(), act)
    assert "RuntimeError: a fault of the program" in capsys.readouterr().err


def test_what_is_to_be_saved_is_refused_with_its_reason() -> None:
    async def act(address: Address) -> None:
        async with line(address) as talk:
            await heard(talk)
            await talk.write_message('{"do": "save_variant", "name": "steeper", "case": "base", "set": {}}')
            refused = await heard(talk)
            assert refused["type"] == "refused"
            assert "a name that is taken" in refused["text"]
            await talk.write_message('{"do": "save_variant", "name": "new", "case": "base", "set": {}}')
            assert (await heard(talk))["type"] == "saved"

    with_server(FakeBench(), act)


def test_a_file_that_cannot_be_read_is_tried_again_when_something_is_asked() -> None:
    tries = []

    def open_bench() -> FakeBench:
        tries.append(1)
        if len(tries) == 1:
            raise InputError([InputIssue("fake.toml", "", "no TOML", "TOML")])
        return FakeBench()

    async def act(address: Address) -> None:
        async with line(address) as talk:
            refused = await heard(talk)
            assert refused == {"type": "refused", "text": "fake.toml: got no TOML, must be TOML"}
            await asyncio.sleep(0.1)
            assert len(tries) == 1
            await talk.write_message('{"n": 1, "set": {"ground.slope": 20.0}}')
            assert (await heard(talk))["type"] == "hello"
            assert (await heard(talk))["type"] == "first"
            await talk.write_message('{"n": 2}')
            assert (await heard(talk))["type"] == "first"
        assert len(tries) == 2

    with_server(open_bench, act)


def test_what_is_served_is_small() -> None:
    parts = page()
    first = sum(len(parts[name].encode()) for name in ("", "live.css", "live.js"))
    assert first <= 60_000
