"""What the player hands to a page: names as text, numbers that are numbers, moments, labels of forces."""

import dataclasses
import json
import re
from typing import Any

import numpy as np
import pytest
from results_to_show import creep

from simcore.results.run import Run
from simcore.views.page.film import unpacked
from simcore.views.page.player import player

DATA = re.compile(r'<script type="application/json" class="player-data">(.*?)</script>', re.DOTALL)
ODD = '</script><script>alert(1)</script> "soft" & <b>\N{LIZARD}</b> \u05e7\u05e4'


def _data(html: str) -> dict[str, Any]:
    (text,) = DATA.findall(html)

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} is no JSON")

    return json.loads(text, parse_constant=refuse)


def _changed(run: Run, **outline: Any) -> Run:
    """A run with other parts in the outline of its rear axle."""
    rear = run.outline["rear_axle"] | outline
    return dataclasses.replace(run, outline={**run.outline, "rear_axle": rear})


def test_names_stand_as_text_and_data_as_json() -> None:
    html = str(player({ODD: creep(), "b": creep()}).html)
    assert html.count("<script") == 1
    assert "<b>\N{LIZARD}" not in html
    data = _data(html)
    assert [lane["name"] for lane in data["lanes"]] == [ODD, "b"]
    assert "<" not in DATA.findall(html)[0]


def test_what_is_not_known_is_no_number() -> None:
    run = creep()
    run = dataclasses.replace(run, series=run.series.copy())
    run.series.loc[3:5, "rear_travel_mm"] = np.nan
    table = unpacked(_data(str(player({"a": run}).html))["lanes"][0]["film"])
    times = run.series["time_s"][3:6].to_numpy()
    shown = table[table["time_s"].between(times[0] - 1e-6, times[-1] + 1e-6)]
    assert len(shown)
    assert shown["rear_travel_mm"].isna().all()


def test_every_button_and_the_opening_are_frames_of_every_lane() -> None:
    run = creep()
    longer = dataclasses.replace(run, series=run.series.copy())
    longer.series["front_load_N"] = np.roll(run.series["front_load_N"], 5)
    html = str(player({"a": run, "b": longer}).html)
    data = _data(html)
    times = [float(time) for time in re.findall(r'data-time="([^"]+)"', html)] + [data["opens"]]
    assert len(times) > 6
    for lane in data["lanes"]:
        frames = unpacked(lane["film"])["time_s"].to_numpy()
        for time in times:
            assert np.abs(frames - time).min() <= 1e-4


def test_buttons_name_the_instants_of_the_series() -> None:
    run = dataclasses.replace(creep(), series=creep().series.copy())
    run.series.loc[6, "pitch_to_ground_deg"] += 9.0
    run.series.loc[9, "front_load_N"] -= 1.0
    html = str(player({"a": run}).html)
    for words, row in (("most pitch", 6), ("least front load", 9)):
        found = re.search(rf'data-time="([^"]+)">{words}', html)
        assert found and float(found.group(1)) == pytest.approx(run.series["time_s"][row])


def test_what_is_most_at_the_end_is_no_moment_for_it_may_go_on_growing() -> None:
    run = creep()
    run = dataclasses.replace(run, series=run.series.copy())
    run.series.loc[run.series.index[-1], "pitch_to_ground_deg"] += 9.0  # most pitch at the end
    words = re.findall(r'data-time="[^"]+">(.*?) <small>', str(player({"a": run}).html))
    assert words[-1] == "end"
    assert not any(one.startswith("most pitch") for one in words)


def test_paper_gets_start_and_end_of_every_run_as_lines() -> None:
    html = str(player({"a": creep(), "b": creep()}).html)
    assert 4 <= html.count('<svg class="still"') <= 6
    assert html.count('class="unmoved"') == html.count('<svg class="still"')
    assert "<image" not in html
    pitch = creep().series["pitch_to_ground_deg"].iloc[0]
    assert f"start, 0.00 s, pitch {pitch:.2g}" in html


def test_forces_of_links_are_named_for_what_they_are() -> None:
    run = creep()
    own = run.outline["rear_axle"]
    lower, _ = own["link_pins"]
    on_link = _changed(
        run, shock_fraction=0.8, shock_link_pins=[run.outline["chassis"]["link_pins"]["rear"][0], lower]
    )
    arm = _changed(run, arm=True)

    def shape(one: Run) -> tuple[Any, str]:
        html = str(player({"a": one}).html)
        return _data(html)["lanes"][0]["shape"]["axles"][0], html

    plain, html = shape(run)
    assert plain["carrying"] is None
    assert len(plain["links"]) == 2
    assert "Links: along the link." in html
    carrying, html = shape(on_link)
    assert carrying["carrying"] == 0
    assert "the mean along a link that the shocks stand on" in html
    alone, html = shape(arm)
    assert alone["carrying"] is None
    assert alone["links"] == [
        [
            pytest.approx(run.outline["chassis"]["link_pins"]["rear"][0], abs=0.01),
            pytest.approx(own["wheel_centre"], abs=0.01),
        ]
    ]
    assert "an arm&#39;s at its pin, in any direction" in html


def test_a_run_of_one_instant_can_be_shown() -> None:
    run = creep()
    one = dataclasses.replace(run, series=run.series.iloc[:1], motion=run.motion.iloc[:1])
    assert _data(str(player({"a": one}).html))["lanes"][0]["film"]["frames"] == 1


def test_without_runs_there_is_no_player() -> None:
    with pytest.raises(ValueError, match="at least one run"):
        player({})


def test_style_and_script_ask_for_nothing() -> None:
    part = player({"a": creep()})
    for text in (part.style, part.script, str(part.html)):
        assert "http" not in text.replace("http://www.w3.org/2000/svg", "")
    assert not re.search(r"\beval\b|\bimport\b|\bfetch\b|Function\(|</script", part.script)
