"""Faults say file, key, got and must be on one line, and travel whole."""

import pickle

import pytest

from simcore.errors import AUDIT_FAILED, BAD_INPUT, DONE, InputError, InputIssue, RejectedValue


@pytest.mark.parametrize(
    ("fault", "line"),
    [
        (
            InputIssue("scenarios/x.toml", "rear.shock.stroke", "-3 mm", "greater than 0 mm"),
            "scenarios/x.toml: rear.shock.stroke: got -3 mm, must be greater than 0 mm",
        ),
        (
            InputIssue("x.toml", "rear.strok", "an unknown key", "a known key", "stroke"),
            'x.toml: rear.strok: got an unknown key, must be a known key (did you mean "stroke"?)',
        ),
        (
            InputIssue("x.toml", "", "no such file", "an existing file"),
            "x.toml: got no such file, must be an existing file",
        ),
    ],
)
def test_one_line(fault: InputIssue, line: str) -> None:
    assert str(fault) == line


def test_bad_input_prints_every_fault_and_survives_another_process() -> None:
    faults = [InputIssue("a.toml", "x", "1", "2"), InputIssue("a.toml", "y", "3", "4")]
    error = InputError(iter(faults))
    assert str(error) == "a.toml: x: got 1, must be 2\na.toml: y: got 3, must be 4"
    assert pickle.loads(pickle.dumps(error)).issues == tuple(faults)


def test_of_many_faults_the_first_are_said_and_how_many_more_there_are() -> None:
    many = [InputIssue("a.toml", f"x{k}", "1", "2") for k in range(60_001)]
    lines = str(InputError([*many, InputIssue("b.toml", "y", "3", "4")])).splitlines()
    assert lines[:40] == [str(issue) for issue in many[:40]]
    assert lines[40:] == ["a.toml: 59961 more that are wrong", "b.toml: y: got 3, must be 4"]
    assert str(InputError(many[:40])).splitlines() == lines[:40]


def test_a_refusal_carries_got_and_must_be() -> None:
    refusal = pickle.loads(pickle.dumps(RejectedValue("-3 mm", "greater than 0 mm")))
    assert (refusal.got, refusal.must_be) == ("-3 mm", "greater than 0 mm")


def test_exit_codes_differ() -> None:
    assert (DONE, AUDIT_FAILED, BAD_INPUT) == (0, 1, 2)
