"""What is said of a tracked video on the terminal."""

from typing import TYPE_CHECKING

from simcore.results.formatting import three_digits
from simcore.views.console.layout import Grid, wrapped

if TYPE_CHECKING:
    from simcore.video.tracked import Track


def track_lines(track: "Track", width: int | None) -> list[str]:
    """Headline, what pitch counts from, columns of the log with their noise, remarks.

    Parameters
    ----------
    width : columns of the screen; None: any number, as through a pipe
    """
    table = track.tables["channels"]
    cells = [[three_digits(value) for value in row] for row in table.itertuples(index=False)]
    heads = [("least",), ("most",), ("noise",), ("known, %",)]
    seen = f"Nose to the {track.view.drives}; scale from {track.view.scale_from}."
    lines = [line for text in (track.headline, track.pitch_is, seen) for line in wrapped(text, width)]
    grid = Grid(("",), [(str(name),) for name in table.index], heads, cells)
    lines += ["", *(line.text for line in grid.lines(width))]
    return lines + [line for text in track.remarks for line in wrapped(f"Note: {text}.", width)]
