"""Records in, one ``key=value`` line each on standard error. Called only where the program is put together.

Personal data never reaches a line: a record's own words are written by us, values come by name in
``extra``, and of an exception only its type and the places in the code are kept, since its message may
quote what a person wrote.
"""

import json
import logging
import re
import sys
import traceback
from datetime import UTC, datetime
from itertools import chain
from types import TracebackType
from typing import TextIO

OURS = ("bot", "core")
_STANDARD = frozenset((*vars(logging.makeLogRecord({})), "message", "asctime", "color_message"))
_PLAIN = re.compile(r"[\w.:/+-]+", re.ASCII)
_ExcInfo = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


class KeyValueFormatter(logging.Formatter):
    """Writes ``time=… level=… logger=… event=… key=value …`` on one line."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line of one record."""
        at = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
        own = {"time": at, "level": record.levelname, "logger": record.name, "event": record.getMessage()}
        extra = {key: value for key, value in vars(record).items() if key not in _STANDARD}
        fields = {**own, **extra, **(_describe(record.exc_info) if record.exc_info else {})}
        return " ".join(f"{key}={_quote(value)}" for key, value in fields.items())


def configure_logs(level: str, stream: TextIO | None = None) -> None:
    """Send our records from ``level`` up, and warnings of every library, to ``stream`` (standard error)."""
    handler = logging.StreamHandler(stream if stream is not None else sys.stderr)
    handler.setFormatter(KeyValueFormatter())
    root = logging.getLogger()
    for old in tuple(root.handlers):
        root.removeHandler(old)
    root.addHandler(handler)
    root.setLevel(logging.WARNING)
    for name in OURS:
        logging.getLogger(name).setLevel(level)


def _describe(exc_info: _ExcInfo) -> dict[str, str]:
    error = exc_info[1]
    if error is None:
        return {}
    chained = [error]
    while (cause := chained[-1].__cause__ or chained[-1].__context__) is not None and cause not in chained:
        chained.append(cause)
    frames = chain.from_iterable(traceback.extract_tb(link.__traceback__) for link in reversed(chained))
    places = [f"{frame.filename.rpartition('/')[2]}:{frame.lineno}:{frame.name}" for frame in frames]
    return {"error": "<".join(type(link).__name__ for link in chained), "trace": ">".join(places)}


def _quote(value: object) -> str:
    text = str(value)
    return text if _PLAIN.fullmatch(text) else json.dumps(text, ensure_ascii=True)
