"""How far numbers of a rig are usually off where its file does not say: a careful hobby bench.

Ruler and calipers over a dirty rig, kitchen scales, a spring pressed on scales, a board that is tilted until
the rig slides. All are common practice, no source. A file's own [spread] goes before them.
"""

from dataclasses import dataclass

from simcore.files.path_patterns import row_of

PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Usual:
    """The usual error of some numbers.

    Attributes
    ----------
    path : pattern of the dotted paths of these numbers
    off : as it would stand in [spread]
    together : what is found in one go, so that one error is behind all; "" where each has its own. What the
        pattern keeps in brackets is part of the name.
    """

    path: str
    off: str
    together: str = ""


USUAL = (
    Usual(r"wheelbase", "1 mm"),
    Usual(r"chassis\.mass", "5 g"),
    Usual(r"chassis\.cg\.[01]", "5 mm"),
    Usual(r"chassis\.pitch_inertia", "15 %"),
    Usual(r"(rear|front)\.housing\.mass", "5 g"),
    Usual(r"(rear|front)\.housing\.pitch_inertia", "20 %"),
    Usual(r"(rear|front)\.housing\.cg\.[01]", "3 mm"),
    Usual(r"(rear|front)\.(lower_link|upper_link|arm)\.(chassis|axle)\.[01]", "1 mm"),
    Usual(r"(rear|front)\.(lower_link|upper_link|arm|shock)\.mass", "1 g"),
    Usual(r"(rear|front)\.shock\.(chassis|axle)\.[01]", "1 mm"),
    Usual(r"(rear|front)\.shock\.springs\.\d+\.rate", "8 %"),
    Usual(r"(rear|front)\.shock\.damper\.(?:compression|rebound)", "20 %", "damping"),
    Usual(r"(rear|front)\.shock\.friction\.(?:breakaway|sliding)", "25 %", "shock friction"),
    Usual(r"(rear|front)\.tyre\.radius", "1 mm"),
    Usual(r"(rear|front)\.tyre\.stiffness", "15 %"),
    Usual(r"(rear|front)\.tyre\.damping", "40 %"),
    Usual(r"(rear|front)\.tyre\.wheel_mass", "2 g"),
    Usual(r"(rear|front)\.tyre\.spin_inertia", "15 %"),
    Usual(r"(?:rear|front)\.tyre\.(?:peak_grip|sliding_grip)", "0.06", "grip"),
    Usual(r"(rear|front)\.tyre\.slip_stiffness", "25 %"),
    Usual(r"(rear|front)\.tyre\.rolling_resistance", "0.8 %"),
    Usual(r"driveline\.efficiency", "6 %"),
    Usual(r"driveline\.(rear|front)_stiffness", "20 %"),
    Usual(r"motor\.kv", "4 %"),
    Usual(r"motor\.voltage", "3 %"),
    Usual(r"motor\.resistance", "15 %"),
    Usual(r"motor\.no_load_current", "10 %"),
    Usual(r"motor\.rotor_inertia", "20 %"),
    Usual(r"parts\.\d+\.mass", "1 g"),
    Usual(r"parts\.\d+\.at\.[01]", "2 mm"),
    Usual(r"ground\.slope", "0.5 deg"),
    Usual(r"driver\.torque\.\d+\.1", "5 %", "throttle"),
)
"""What has no row here is counted (teeth), set (a stroke, a stop), or of a law that no bench shows."""


def usual(path: str) -> tuple[str, str] | None:
    """Usual error of the number at a path as [spread] would have it, and the name of what is found with it.

    Returns
    -------
    None where there is no usual error; the name is the path itself where nothing else is found with it.
    """
    found = row_of(USUAL, path)
    return None if found is None else (found[0].off, found[1] or path)
