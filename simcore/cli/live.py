"""The command that turns knobs: live."""

from contextlib import ExitStack
from functools import partial
from typing import TYPE_CHECKING, Annotated

import typer

from simcore.cli.options import Quiet, ScenarioFile, Settings
from simcore.cli.shared import app, scenario_in, warn_of_rig, working
from simcore.errors import STOPPED

if TYPE_CHECKING:
    from simcore.views.live.address import Address


@app.command()
def live(
    scenario: ScenarioFile,
    settings: Settings = None,
    port: Annotated[
        int | None,
        typer.Option(
            metavar="N", min=1024, max=65535, help="Port of the page. Left out: 8177, or a free one."
        ),
    ] = None,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Only say where the page is.")] = False,
    quiet: Quiet = False,
) -> None:
    """Turn the knobs of a scenario on a page. Each change is run at once; Ctrl-C ends it."""
    with working("starting", quiet):
        from simcore.views.live.address import key_for
        from simcore.views.live.bench import RealBench
        from simcore.views.live.server import listening, serve

        warn_of_rig(scenario_in(scenario, settings))
        open_bench = partial(RealBench, scenario, settings or [])
        open_bench().hello("")  # refused now, and not on the page
        with ExitStack() as over:
            tell = partial(_tell, over=None if no_browser else over)
            serve(listening(port), key_for(scenario), open_bench, tell)
    raise typer.Exit(STOPPED)


def _tell(address: "Address", over: ExitStack | None) -> None:
    """Say where the page is, and open it until all is over; None: it is not opened."""
    typer.echo(f"the page is {address.page}")
    typer.echo("Ctrl-C ends it", err=True)
    if over is not None:
        from simcore.views.live.leading import opened

        over.enter_context(opened(address))
