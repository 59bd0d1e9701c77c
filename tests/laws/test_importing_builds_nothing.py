"""Importing a module builds nothing: no data file is read, no thread started, no socket opened."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]

PROGRAM = """
import pkgutil, sys, threading, importlib
touched = []
def watch(event, arguments):
    if event == "open" and str(arguments[0]).endswith((".toml", ".json", ".txt", ".db")):
        touched.append(str(arguments[0]))
    if event in ("socket.connect", "sqlite3.connect", "_thread.start_new_thread"):
        touched.append(event)
for library in ("discord", "matplotlib.figure", "matplotlib.backends.backend_agg", "prompt_toolkit", "sqlite_utils"):
    importlib.import_module(library)
for library in ("scipy.stats", "pydantic_settings", "rapidfuzz"):
    importlib.import_module(library)
sys.addaudithook(watch)
import bot, core
names = [m.name for p in (core, bot) for m in pkgutil.walk_packages(p.__path__, p.__name__ + ".")]
for name in names:
    importlib.import_module(name)
print(len(names))
print(touched)
"""


def test_importing_every_module_reads_no_data_and_starts_nothing():
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-P", "-c", PROGRAM],
        cwd=ROOT,
        env={"PYTHONPATH": str(ROOT), "PATH": "", "HOME": "/nonexistent"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    count, touched = done.stdout.splitlines()[-2:]
    assert int(count) > 50
    assert touched == "[]"
