"""OpenCV, which is an extra: loaded when it is first needed, or asked for in one message."""

import importlib
import os
from types import ModuleType

from simcore.errors import InputError, InputIssue

INSTALL = "installed: pip install 'simcore[video]'"


def opencv() -> ModuleType:
    """OpenCV's module, with its own messages switched off.

    Raises
    ------
    InputError
        When it is not installed; says how to install it.
    """
    os.environ.setdefault("OPENCV_FFMPEG_LOGLEVEL", "-8")
    try:
        cv2 = importlib.import_module("cv2")
    except ImportError:
        raise InputError([InputIssue("track", "", "no OpenCV, which reads videos", INSTALL)]) from None
    cv2.utils.logging.setLogLevel(cv2.utils.logging.LOG_LEVEL_SILENT)
    return cv2
