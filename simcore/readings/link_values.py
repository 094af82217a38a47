"""Values of the housing, the links and the drive shaft of one axle."""

from simcore.readings.box import by_box, by_gyration
from simcore.readings.side import Side
from simcore.readings.uncertain import Number
from simcore.readings.workings import way


def put_housing(side: Side) -> None:
    """Note mass and inertia of the housing."""
    mass = side.read_or_guess("housing.mass", "g")
    way_to = by_box(side.workings, f"{side.name}.housing.size", mass)
    if way_to is None:
        way_to = by_gyration(mass, side.guess("housing.gyration"))
    side.put("housing.pitch_inertia", "kg*mm^2", way_to.formula, way_to.number)


def put_links(side: Side, hub: Number) -> None:
    """Note pins and masses of links or arm.

    Parameters
    ----------
    side : the axle
    hub : height of its centre over the table, m
    """
    links = ("lower_link", "upper_link") if side.lines.arm is None else ("arm",)
    for link in links:
        like = "lower_link" if link == "arm" else link
        share, height = side.guess(f"{like}.inboard_share"), side.guess(f"{like}.chassis_height")
        side.place(f"{link}.chassis", (side.inboard(share * side.wheelbase), height))
        if link != "arm":
            off = side.guess(
                "upper_link.axle_above_hub" if link == "upper_link" else "lower_link.axle_below_hub"
            )
            z = hub + off if link == "upper_link" else hub - off
            side.place(f"{link}.axle", (side.inboard(side.guess(f"{link}.axle_inboard")), z))
        side.read_or_guess(f"{link}.mass", "g")


def put_shaft(side: Side) -> None:
    """Note the drive shaft, if its joints were read."""
    if any(side.workings.place(f"{side.name}.shaft.{end}") is None for end in ("chassis", "axle")):
        return
    for end in ("chassis", "axle"):
        side.place(f"shaft.{end}", (0.0, 0.0))
    side.read_or_guess("shaft.ratio", "1")
    side.put_best("shaft.friction", "1", [way("read", side.read("shaft.friction"))])
