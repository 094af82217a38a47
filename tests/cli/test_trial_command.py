"""A trial on rock as it is typed: plan, open, score."""

from pathlib import Path

from invented_trials import CHANGED, driven, typed_file

from simcore.outdoors.key import read_key

PLAN = (
    *(
        "trial",
        "plan",
        "scenarios/raised_mount.toml",
        "--variant",
        CHANGED,
        "--measure",
        "steepest slope=deg",
    ),
    *("--effect", "1.7 +- 0.2 deg", "--scatter", "1.5 deg"),
)


def test_plan_open_score_and_page(simcore, desk: Path) -> None:
    done = simcore(*PLAN, "--drivers", "2", "--pairs", "12", "--seed", "3")
    assert (done.returncode, done.stderr) == (0, "")
    folder = desk / "plots" / "raised_mount" / "trial,3"  # the third variant; its name would stand on sheets
    names = {"for_the_mechanic.html", "for_the_driver.html", "results.csv", "key.toml"}
    assert {path.name for path in folder.iterdir()} == names
    assert "12 pairs, 24 runs" in done.stdout
    assert "not shown would mean little" in done.stdout
    key = read_key(folder / "key.toml")
    opened = simcore("trial", "open", str(folder / "key.toml"))
    assert f"{key.plan.words[1]}: {CHANGED}\n" in opened.stdout
    typed = typed_file(key, driven(key, 3.0, 1.0, 0.4))
    (folder / "results.csv").write_text(typed, encoding="utf-8")

    again = simcore(*PLAN, "--pairs", "12")
    assert (again.returncode, again.stdout) == (2, "")
    assert "results.csv, key.toml of an earlier plan in it, must be a folder without them" in again.stderr
    assert (folder / "results.csv").read_text(encoding="utf-8") == typed

    scored = simcore("trial", "score", str(folder / "results.csv"), str(folder / "key.toml"))
    assert (scored.returncode, scored.stderr) == (0, "")
    assert 'Shown: "10 mm higher" does it' in scored.stdout
    added = {"field_trial.json", "field_trial.png", "pairs.csv"}
    assert {path.name for path in folder.iterdir()} == names | added
    paged = simcore("report", str(folder), "--quiet")
    assert (paged.returncode, paged.stderr) == (0, "")
    assert "Driven outdoors" in (folder / "report.html").read_text(encoding="utf-8")

    (folder / "results.csv").write_text(typed.replace("# trial ", "# trial x"), encoding="utf-8")
    wrong = simcore("trial", "score", str(folder / "results.csv"), str(folder / "key.toml"))
    assert (wrong.returncode, wrong.stdout) == (2, "")
    assert wrong.stderr.count("\n") == 1


def test_too_small_an_effect_writes_nothing(simcore, desk: Path) -> None:
    done = simcore(*PLAN[:-4], "--effect", "0.1 deg", "--scatter", "2 deg")
    assert (done.returncode, done.stdout) == (1, "")
    assert "Your effect is too small: 0.100 deg would take N > 200 runs" in done.stderr
    assert not (desk / "plots").exists() or not list((desk / "plots").glob("raised_mount/trial*"))
