"""How far a run gets over time."""

from matplotlib.figure import Figure

from simcore.results.conditions import Conditions
from simcore.results.run import Run
from simcore.views.catalogue import picture
from simcore.views.pictures.style import COLOURS, name_ends, panels, styled


@picture(
    Run,
    "distance",
    "The line is the way along the ground, mean of both axles. Where it is flat the rig stands.",
)
@styled
def of_run(run: Run) -> Figure:
    """Way along the ground over time."""
    way, time = run.series["distance_mm"], run.series["time_s"]
    answer = f"Covers {way.iloc[-1]:.0f} mm in {time.iloc[-1]:.3g} s"
    figure, (axis,) = panels((3.0,), answer, Conditions.of(run.scenario).text)
    axis.plot(time, way, color=COLOURS[0])
    axis.set_ylabel("distance, mm")
    name_ends(axis, [(float(time.iloc[-1]), float(way.iloc[-1]), "rig", COLOURS[0])])
    return figure
