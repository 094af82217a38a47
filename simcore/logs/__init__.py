"""Logs of a real rig: which quantities a log may hold, and reading them from CSV files of any make."""

from simcore.logs.channels import CHANNELS, TIME, Channel, channel_named
from simcore.logs.reading import Log, read_log

__all__ = ["CHANNELS", "TIME", "Channel", "Log", "channel_named", "read_log"]
