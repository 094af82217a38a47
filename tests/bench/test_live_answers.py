"""How long the first answer to a drag takes, beside the integration that it is made of: pytest -m bench."""

import statistics
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from simcore.rig.model import build
from simcore.solve.integrate import integrate
from simcore.solve.settle import settle
from simcore.studies.live.answer import Live
from simcore.views.live import messages

SCENARIOS = Path(__file__).parents[2] / "scenarios"
CASES = {
    "two seconds of creep": ("launch_vs_creep", "creep at 0.15 m/s"),
    "two seconds of a punch": ("launch_vs_creep", "60 ms punch"),
    "over a ledge": ("ledge", "creep, 0.15 m/s"),
}
DRAGS = 60


def quarters(seconds: list[float]) -> tuple[float, float]:
    """Median and 95 % of some times, ms."""
    return 1e3 * statistics.median(seconds), 1e3 * statistics.quantiles(seconds, n=20)[-1]


@pytest.mark.parametrize("what", CASES)
def test_first_answer_to_a_drag(benchmark, what: str) -> None:
    """A mount is dragged by a tenth of a millimetre at a time, each answer made ready to be sent."""
    stem, case = CASES[what]
    live = Live(SCENARIOS / f"{stem}.toml")
    spent: dict[str, list[float]] = {"whole": [], "moved": [], "integrated": []}

    def timed(name: str, work: Callable[[], object]) -> object:
        begin = time.perf_counter()
        done = work()
        spent[name].append(time.perf_counter() - begin)
        return done

    def drag(k: int) -> None:
        settings = {"rear.upper_link.chassis.1": 92 + 0.1 * k}
        begin = time.perf_counter()
        answer = timed("moved", lambda: live.first(case, settings))
        messages.text(messages.first(live, answer, k))
        spent["whole"].append(time.perf_counter() - begin)
        model = build(answer.scenario)
        start = settle(answer.scenario, model)
        timed("integrated", lambda: integrate(answer.scenario, model, start))

    drag(-1)
    for times in spent.values():
        times.clear()
    benchmark.pedantic(lambda: [drag(k) for k in range(DRAGS)], rounds=1)
    (whole, worst), (moved, _), (integrated, _) = (quarters(times) for times in spent.values())
    benchmark.extra_info["median, ms"] = whole
    benchmark.extra_info["95 %, ms"] = worst
    benchmark.extra_info["before it is put into words, ms"] = moved
    benchmark.extra_info["over the bare integration"] = whole / integrated
