"""The commands for a trial on rock: plan it, open its key, score it."""

import shlex
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from simcore.cli.options import Everything, Formats, Look, NoPictures, Out, Quiet, Settings, place
from simcore.cli.shared import (
    app,
    carry_out,
    folder_for,
    pictures_as,
    refusing,
    scenario_in,
    tell,
    warn_of_rig,
)
from simcore.errors import DONE, InputError, InputIssue, RejectedValue

if TYPE_CHECKING:
    from simcore.files import Scenario
    from simcore.outdoors.key import Key
    from simcore.outdoors.measure import Measure, Prediction
    from simcore.outdoors.power import Chance
    from simcore.results.atomic_write import Writer
    from simcore.studies.scattered import Spread

TOO_SMALL = 1  # exit code: no trial of a bearable length shows it

trial = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Try a change on rock. How many runs would show it, sheets to do it blind, what came of it.",
)
app.add_typer(trial, name="trial")
KeyFile = Annotated[Path, typer.Argument(metavar="KEY", help="Sealed key, key.toml, that plan has written.")]


@trial.callback()
def _commands() -> None:
    """Try a change on rock. How many runs would show it, sheets to do it blind, what came of it."""


@trial.command()
def plan(
    scenario: Annotated[Path, typer.Argument(help="Scenario file (TOML) with the change as a variant.")],
    measure: Annotated[
        str,
        typer.Option(
            metavar="NAME=UNIT",
            help='What is measured of a run: "steepest slope=deg", "marks passed=count", "climbed=yes/no".',
        ),
    ],
    effect: Annotated[
        str,
        typer.Option(
            metavar="VALUE",
            help='Expected change, with its sign: "1.7 deg", "1.7 +- 0.2 deg" (+-: what 19 of 20 keep '
            'within); of yes or no "20 %" more.',
        ),
    ],
    scatter: Annotated[
        str | None,
        typer.Option(
            metavar="VALUE",
            help='How far runs with one set-up lie apart (standard deviation), as "1.5 deg". Ten runs tell.',
        ),
    ] = None,
    usual: Annotated[
        float | None,
        typer.Option(
            metavar="PERCENT", help="Of yes or no: how many of 100 runs say yes without the change."
        ),
    ] = None,
    drawn: Annotated[
        Path | None,
        typer.Option(
            "--from",
            metavar="DIR",
            help="Saved spread of the scenario, of the same --set. --effect then names a metric, as done_s.",
        ),
    ] = None,
    variant: Annotated[
        str | None, typer.Option(help="The change; needed where the file has several.")
    ] = None,
    settings: Settings = None,
    drivers: Annotated[
        int,
        typer.Option(min=1, max=2, help="2 is better: what holds for one hand is no property of the rig."),
    ] = 1,
    power: Annotated[
        float, typer.Option(help="Share of such trials that shall show the effect, 0.5 to 0.99.")
    ] = 0.8,
    pairs: Annotated[
        int | None, typer.Option(min=1, max=500, help="Pairs of runs; as many as it takes if left out.")
    ] = None,
    most: Annotated[int, typer.Option(min=12, max=1000, help="Runs that you would do at most.")] = 200,
    seed: Annotated[
        int | None,
        typer.Option(min=0, help="Draw the order from this number; from the system's if left out."),
    ] = None,
    out: Out = None,
    quiet: Quiet = False,
) -> None:
    """Plan a blind trial of a change. Says how many runs it takes; writes sheets, results file, key."""
    with refusing():
        from simcore.outdoors.key import Key
        from simcore.outdoors.measure import amount, measure_of, prediction_of
        from simcore.outdoors.plan import at_least, check_free, expected_of, planned, set_ups
        from simcore.outdoors.told import lost_words

        asked = scenario_in(scenario, settings)
        what = measure_of(measure)
        base, changed = set_ups(asked, variant)
        predicted = (
            prediction_of(effect, what)
            if drawn is None
            else _predicted(drawn, effect, what, asked, (base, changed), settings or [])
        )
        spread = None if scatter is None else amount(scatter, what.effect_unit, "--scatter")
        expected = expected_of(what, predicted, spread, usual)
        warn_of_rig(asked)
        number = list(asked.cases()).index(changed)  # not its name: browsers print where a sheet comes from
        folder = folder_for(out, scenario, "trial", "", [str(number)] if number > 1 else [], settings)
        check_free(folder)
        found = planned(asked, expected, variant, drivers, power, pairs, most, seed)
        if not isinstance(found, Key):
            typer.echo(found.words, err=True)
            for words in lost_words(expected):
                typer.echo(words, err=True)
            typer.echo(
                "--pairs N plans a trial of that length all the same, and says what it can show.", err=True
            )
            raise typer.Exit(TOO_SMALL)
        files = _write(found, folder)
        if quiet:
            raise typer.Exit(DONE)
        from simcore.views.console import say_files

        _say(_told(found, at_least(found.plan.size)))
        say_files(files)


@trial.command("open")
def open_key(key: KeyFile) -> None:
    """Say which code word is which set-up. For who marks the parts, and for nobody who drives."""
    with refusing():
        from simcore.outdoors.key import read_key

        plan = read_key(key).plan
        for word, name in sorted(zip(plan.words, (plan.base, plan.changed), strict=True)):
            typer.echo(f"{word}: {name}")


@trial.command()
def score(
    results: Annotated[Path, typer.Argument(metavar="RESULTS", help="Results as typed, results.csv.")],
    key: KeyFile,
    out: Annotated[
        Path | None,
        typer.Option(metavar="DIR", parser=place, help="Folder for the files. Left out: that of RESULTS."),
    ] = None,
    formats: Formats = "png",
    look: Look = "screen",
    no_pictures: NoPictures = False,
    everything: Everything = False,
    quiet: Quiet = False,
) -> None:
    """Score a trial by its plan. Says whether the change did it, how much, and what could have spoilt it."""
    with refusing():
        from simcore.outdoors.field_trial import FieldTrial
        from simcore.outdoors.field_trial import score as study

        found = study(results, key)
        folder = results.parent if out is None else out
        how = pictures_as(formats, look, no_pictures)
        result, files = carry_out(found.scenario, FieldTrial, lambda: found, folder, how)
    tell(result, files, quiet, everything)


def _predicted(
    drawn: Path,
    metric: str,
    what: "Measure",
    asked: "Scenario",
    names: tuple[str, str],
    settings: Iterable[str],
) -> "Prediction":
    """What a saved spread predicts of a metric; raises InputError when it tells nothing of it."""
    from simcore.files.words import nearest
    from simcore.outdoors.measure import prediction_from
    from simcore.results.catalogue import NUMBERS, metric_named
    from simcore.results.formatting import said_factor, said_unit
    from simcore.results.scatter import FEWEST
    from simcore.units import Q, show

    base, changed = names
    result = _spread_of(drawn, asked, names, settings)
    given, metric = metric, metric_named(metric)
    known = [name for name in NUMBERS if name in result.table]
    if metric not in known:
        must_be = "with --from the name of a metric, as done_s (plots/README.md lists them)"
        raise InputError([InputIssue("--effect", "", show(given), must_be, nearest(given, known))])
    unit = said_unit(metric)
    try:
        factor = said_factor(metric) * Q(what.effect_unit).bench(f"1 {unit}")
    except RejectedValue:
        must_be = f"a metric in {what.effect_unit}, the unit of --measure"
        raise InputError([InputIssue("--effect", "", f"{metric}, which is in {unit}", must_be)]) from None
    found = prediction_from(factor * result.values(metric, changed, base))
    if found is None:
        got = f"{metric}, known of too few draws in which both did the job"
        raise InputError([InputIssue("--effect", "", got, f"one that {FEWEST} draws or more tell of")])
    if found.effect == 0.0:
        got = f"{metric}, which is the same with the change in half of the draws or more"
        raise InputError([InputIssue("--effect", "", got, "one that the change moves")])
    return found


def _spread_of(folder: Path, asked: "Scenario", names: Iterable[str], settings: Iterable[str]) -> "Spread":
    """The saved spread of these cases as they would run now; raises InputError when it is of others."""
    from simcore.results.store import run_key
    from simcore.studies.load import load
    from simcore.studies.scattered import Spread
    from simcore.units import show

    result = load(folder)
    both = " and ".join(f'"{name}"' for name in names)
    if not isinstance(result, Spread) or not set(names) <= set(result.cases):
        raise InputError([InputIssue("--from", "", str(folder), f"a saved spread of {both}")])
    saved, now = result.scenario.cases(), asked.cases()
    others = [name for name in names if run_key(saved[name]) != run_key(now[name])]
    if others:
        got = f"a spread in which {' and '.join(map(show, others))} had other values than in {asked.path}"
        typed = shlex.join(["simcore", "spread", str(asked.path), *(f"--set={text}" for text in settings)])
        must_be = f"one of {both} as they are now: {typed}; or give the --set of that spread here, too"
        raise InputError([InputIssue("--from", str(folder), got, must_be)])
    return result


def _write(key: "Key", folder: Path) -> list[Path]:
    """Write sheets, results file and key, all or none."""
    from simcore.outdoors.plan import DRIVER, FILES, KEY, MECHANIC, RESULTS
    from simcore.outdoors.results_file import blank_results
    from simcore.results.atomic_write import write_all
    from simcore.views.page.sheets import driver_sheet, mechanic_sheet

    texts = {
        MECHANIC: mechanic_sheet(key),
        DRIVER: driver_sheet(key),
        RESULTS: blank_results(key),
        KEY: key.text(KEY),
    }
    writers = {name: _writer(texts[name]) for name in FILES}
    return write_all(folder, writers)


def _writer(text: str) -> "Writer":
    return lambda path: path.write_text(text, encoding="utf-8")


def _told(key: "Key", small: "Chance | None") -> Iterator[str]:
    """What the plan says, to whoever may know."""
    from simcore.outdoors.told import lost_words, range_words

    plan = key.plan
    yield f'Trial {key.trial}: "{plan.changed}" against "{plan.base}", {plan.measure.asked}.'
    yield plan.size.words
    if plan.size.chance is not None and plan.size.chance.shown < plan.size.power:
        wanted = f"{100.0 * plan.size.power:.0f} of 100"
        yield f"That is less than the {wanted} asked for: not shown would mean little."
    yield from lost_words(plan.expected)
    if small is not None:
        low = range_words(plan.measure, *plan.expected.predicted.ends)
        yield (
            f"The prediction may be off ({low}): were the effect as small as that, "
            f"{100.0 * small.shown:.0f} of 100 would show it."
        )
    if len(plan.drivers) == 1:
        yield "One driver: --drivers 2 says whether it holds for another hand; one alone may be a habit."
    yield "Order drawn, as many pairs one way round as the other. The key is no secret: leave it closed."


def _say(lines: Iterable[str]) -> None:
    from simcore.views.console import screen_width
    from simcore.views.console.layout import wrapped

    for words in lines:
        typer.echo("\n".join(wrapped(words, screen_width())))
