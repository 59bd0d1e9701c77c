"""The command line: ``platewright`` and ``python -m bot``.

Exit status 0 on an answer, 2 on input that cannot be used (one line per fault on standard error), 1 on our own failure.
"""

import argparse
import asyncio
import io
import logging
import os
import secrets
import shutil
import signal
import sys
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import NoReturn

from bot.compose import compose, suggest
from bot.coupon_file import write_coupons
from bot.logs import configure_logs
from bot.reading import run_read
from bot.settings import Settings, read_settings
from bot.sources import read_source
from bot.terminal_app.chat import converse, given_lines, prompt_lines
from bot.terminal_app.demo import demo_lines
from bot.terminal_app.render import WIDEST
from bot.triage import run_triage
from core.errors import ServiceFailure, StoreUnusable, UnusableInput, UnusableKnowledge
from core.words import Words, load_words

LOG = logging.getLogger("bot")
ANSWERED, FAILED, UNUSABLE, INTERRUPTED = 0, 1, 2, 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; return the exit status."""
    configure_logs("WARNING")
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal that cannot show µ shows a question mark; that is no reason to fail.
            stream.reconfigure(errors="replace")
    try:
        status = _run(arguments, load_words("en"))
        sys.stdout.flush()
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        # The reader went away, such as `| head`: nobody is left to tell, nor to flush to at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ANSWERED
    except UnusableKnowledge as error:
        # Only words say faults well, and the words may be what is wrong.
        _tell([str(error)])
        return FAILED
    return status


def _run(arguments: Sequence[str] | None, words: Words) -> int:
    try:
        given = _parser(words).parse_args(arguments)
        status: int = given.run(given, words)
    except SystemExit as left:  # help was asked for, or the arguments are wrong
        return int(left.code or ANSWERED)
    except UnusableInput as error:
        _tell(words.fault(fault) for fault in error.faults)
        return UNUSABLE
    except UnusableKnowledge as error:
        _tell(words.fault(fault) for fault in error.faults)
        return FAILED
    except ServiceFailure as failure:
        _tell([words.say(f"failures.{failure.code}", **failure.values)])
        # Where the database is, is a setting; what becomes of it later is ours.
        return UNUSABLE if isinstance(failure, StoreUnusable) else FAILED
    except BrokenPipeError:
        raise
    except Exception:
        reference = secrets.token_hex(3)
        LOG.exception("unexpected failure", extra={"reference": reference})
        _tell([words.say("terminal.unexpected", sorry=words.say("failures.unexpected"), reference=reference)])
        return FAILED
    return status


def _tell(lines: Iterable[str]) -> None:
    for line in lines:
        print(line, file=sys.stderr)


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        self.exit(UNUSABLE, f"{self.prog}: {message}. See {self.prog} --help.\n")


def _parser(words: Words) -> argparse.ArgumentParser:
    parser = _Parser(prog="platewright", description=words.say("command_line.about"), allow_abbrev=False)
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND", parser_class=_Parser)

    def command(name: str, run: object) -> argparse.ArgumentParser:
        about = words.say(f"command_line.{name}")
        added = commands.add_parser(name, help=about, description=about, allow_abbrev=False)
        added.set_defaults(run=run)
        return added

    chat = command("chat", _chat)
    source = chat.add_mutually_exclusive_group()
    source.add_argument("--script", metavar="FILE", help=words.say("command_line.script"))
    source.add_argument("--demo", action="store_true", help=words.say("command_line.demo"))
    chat.add_argument("--pictures", metavar="FOLDER", type=Path, help=words.say("command_line.pictures"))
    triage = command("triage", _triage)
    triage.add_argument("file", metavar="FILE|-", help=words.say("command_line.report"))
    triage.add_argument("--json", action="store_true", help=words.say("command_line.json"))
    triage.add_argument("--picture", metavar="OUT.png", type=Path, help=words.say("command_line.picture"))
    read = command("read", _read)
    read.add_argument("text", metavar="TEXT|-", nargs="+", help=words.say("command_line.text"))
    read.add_argument("--json", action="store_true", help=words.say("command_line.read_json"))
    coupons = command("coupons", _coupons)
    coupons.add_argument("--plate", metavar="WIDTHxDEPTH", required=True, help=words.say("command_line.plate"))
    coupons.add_argument("--nominal", metavar="MM", default="", help=words.say("command_line.nominal"))
    coupons.add_argument("-o", "--out", metavar="FILE", type=Path, required=True, help=words.say("command_line.out"))
    command("serve", _serve)
    return parser


def _triage(given: argparse.Namespace, words: Words) -> int:
    print(run_triage(given.file, words, as_json=given.json, picture=given.picture, width=_columns()))
    return ANSWERED


def _coupons(given: argparse.Namespace, words: Words) -> int:
    print(write_coupons(given.plate, given.nominal, given.out, words))
    return ANSWERED


def _read(given: argparse.Namespace, words: Words) -> int:
    print(run_read(" ".join(given.text), words, as_json=given.json))
    return ANSWERED


def _chat(given: argparse.Namespace, words: Words) -> int:
    settings = read_settings()
    configure_logs(settings.log_level)
    if not given.demo:
        return asyncio.run(_converse(given, settings, words))
    with tempfile.TemporaryDirectory() as folder:
        # The demo leaves nothing behind but its picture, and always runs the same.
        demo = settings.model_copy(update={"database": Path(folder) / "demo.db", "secret_file": None})
        return asyncio.run(_converse(given, demo, words))


async def _converse(given: argparse.Namespace, settings: Settings, words: Words) -> int:
    async with compose(settings) as house:
        pictures = given.pictures or Path.cwd()
        if given.demo:
            print(words.say("terminal.demo"))
            return await converse(house.service, words, given_lines(demo_lines()), pictures=pictures, echo=True)
        if given.script:
            lines = read_source(given.script).decode(errors="replace").split("\n")
            return await converse(house.service, words, given_lines(lines), pictures=pictures, echo=True)
        if sys.stdin is None or not sys.stdin.isatty():
            # A thread that waits for a pipe cannot be called back: an interrupt ends the process, as for any filter.
            signal.signal(signal.SIGINT, signal.SIG_DFL)
            return await converse(house.service, words, given_lines(_piped()), pictures=pictures)
        print(words.say("terminal.welcome"))
        history = settings.database.with_name("history")
        return await converse(
            house.service, words, prompt_lines(history), pictures=given.pictures or settings.database.parent
        )


def _piped() -> Iterator[str]:
    for line in sys.stdin.buffer if sys.stdin else ():
        yield line.decode(errors="replace")


def _serve(_given: argparse.Namespace, words: Words) -> int:
    settings = read_settings()
    configure_logs(settings.log_level)
    return asyncio.run(_serve_chat(settings, words))


async def _serve_chat(settings: Settings, words: Words) -> int:
    # Only this command needs the chat library, which takes most of a second to load.
    from bot.discord_app.run import serve  # noqa: PLC0415

    async with compose(settings) as house:
        await serve(settings, house.service, words, lambda option, typed: suggest(house, option, typed), house.store)
    return ANSWERED


def _columns() -> int:
    return shutil.get_terminal_size((WIDEST, 24)).columns


if __name__ == "__main__":
    sys.exit(main())
