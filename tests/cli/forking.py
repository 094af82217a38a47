"""Runs commands in processes of their own without loading the libraries for each: a server forks itself.

Reads one JSON object a line, `{"words": [...], "cwd": ..., "out": ..., "err": ..., "environment": {...}}`,
runs the command in a child whose output goes to the two files (or pipes, or a terminal), and answers with its
exit code.
"""

import importlib
import io
import json
import os
import pkgutil
import signal
import subprocess
import sys
import tempfile
import traceback
from collections.abc import Sequence
from pathlib import Path

LOADED = (
    "simcore.outdoors",
    "simcore.studies",
    "simcore.studies.live",
    "simcore.views",
    "simcore.views.live",
    "simcore.views.page",
    "simcore.views.pictures",
    "simcore.views.console",
    "simcore.cli",
)


def load() -> None:
    """Everything that a command may import, so that no child has to."""
    for name in LOADED:
        package = importlib.import_module(name)
        for module in pkgutil.iter_modules(package.__path__):
            importlib.import_module(f"{name}.{module.name}")


def warm() -> None:
    """One command of each sort: compiled code, units and fonts are then loaded, so that no child has to."""
    from simcore.studies.load_files import load_scenario
    from simcore.studies.simulate import simulate
    from simcore.views.export import export

    path = Path(__file__).parents[2] / "scenarios" / "slow_creep.toml"
    run = simulate(load_scenario(path).changed({"end.duration": 0.05, "ground.slope": "20 deg"}))
    with tempfile.TemporaryDirectory() as folder:
        export(run, folder)


def run(order: dict) -> int:
    """The command in this process; as at the end of any program its output is written, then it is gone."""
    os.chdir(order["cwd"])
    os.environ.update(order["environment"])
    os.sched_getaffinity = lambda _: {0}  # other processes, which load everything, only where asked for
    signal.signal(signal.SIGINT, signal.default_int_handler)
    for number, name in ((1, "out"), (2, "err")):
        file = os.open(order[name], os.O_WRONLY | os.O_CREAT | os.O_TRUNC | os.O_NOCTTY)
        os.dup2(file, number)
    sys.stdin = io.StringIO()
    sys.stdout, sys.stderr = (io.TextIOWrapper(io.FileIO(n, "w", closefd=False), "utf-8") for n in (1, 2))
    sys.argv = ["simcore", *order["words"]]
    sys.path.insert(0, "")  # as for any program that is started in this folder
    from simcore.__main__ import main

    try:
        main()
    except SystemExit as end:
        if isinstance(end.code, str):
            sys.stderr.write(end.code + "\n")
            return 1
        return end.code or 0
    except BaseException:
        traceback.print_exc()
        return 1
    return 0


def serve() -> None:
    load()
    warm()
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            code = run(json.loads(line))
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(code)
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        os.write(1, f"{code}\n".encode())


def ordered(
    server: subprocess.Popen[str], words: Sequence[str], cwd: Path, out: Path, err: Path, **environment: str
) -> int:
    """Have the server run a command whose output goes to two files, pipes or terminals; its exit code."""
    order = {"words": words, "cwd": str(cwd), "out": str(out), "err": str(err), "environment": environment}
    server.stdin.write(json.dumps(order) + "\n")
    return int(server.stdout.readline())


if __name__ == "__main__":
    serve()
