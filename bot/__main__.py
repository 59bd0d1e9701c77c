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
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import NoReturn

from bot.compose import compose, suggest
from bot.coupon_file import write_coupons
from bot.language import choose_language
from bot.logs import configure_logs
from bot.reading import run_read
from bot.settings import Settings, read_settings
from bot.sources import read_source
from bot.statistics import ask_figures, write_report
from bot.terminal_app.chat import converse, given_lines, prompt_lines
from bot.terminal_app.demo import demo_lines
from bot.terminal_app.people import People
from bot.terminal_app.render import WIDEST
from bot.triage import run_triage
from core.cases.store import Store
from core.commands import COMMANDS
from core.errors import ServiceFailure, StoreUnusable, UnusableInput, UnusableKnowledge
from core.intake.hearing import sentence_languages
from core.service.pace import unhurried
from core.words import Words, languages, load_words

LOG = logging.getLogger("bot")
ANSWERED, FAILED, UNUSABLE, INTERRUPTED = 0, 1, 2, 130
VIEWS = tuple(one.name.removeprefix("stats ") for one in COMMANDS if one.name.startswith("stats "))


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; return the exit status."""
    configure_logs("WARNING")
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal that cannot show µ shows a question mark; that is no reason to fail.
            stream.reconfigure(errors="replace")
    try:
        status = _run(arguments)
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


def _run(arguments: Sequence[str] | None) -> int:
    words = load_words()
    try:
        words = load_words(choose_language(os.environ, languages()))
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

    def command(name: str, run: object, about: str = "") -> argparse.ArgumentParser:
        about = words.say(f"command_line.{about or name}")
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
    read.add_argument(
        "--language", choices=sentence_languages(), default=words.language, help=words.say("command_line.read_language")
    )
    coupons = command("coupons", _coupons)
    coupons.add_argument("--plate", metavar="WIDTHxDEPTH", required=True, help=words.say("command_line.plate"))
    coupons.add_argument("--nominal", metavar="MM", default="", help=words.say("command_line.nominal"))
    coupons.add_argument("-o", "--out", metavar="FILE", type=Path, required=True, help=words.say("command_line.out"))
    stats = command("stats", _stats)
    stats.add_argument("view", choices=VIEWS, help=words.say("command_line.view"))
    stats.add_argument("--community", metavar="ID", required=True, help=words.say("command_line.community"))
    for option in ("by", "step", "other"):
        stats.add_argument(f"--{option}", default="", help=words.say(f"command_line.stats_{option}"))
    stats.add_argument("-o", "--out", metavar="FOLDER", type=Path, help=words.say("command_line.stats_out"))
    report = command("report", _report, "report_page")
    report.add_argument("--community", metavar="ID", required=True, help=words.say("command_line.community"))
    report.add_argument("--month", metavar="YYYY-MM", default="", help=words.say("command_line.month"))
    report.add_argument("-o", "--out", metavar="FILE", type=Path, required=True, help=words.say("command_line.page"))
    invent = command("simulate", _simulate)
    invent.add_argument("--cases", type=int, default=3000, help=words.say("command_line.cases"))
    invent.add_argument("--months", type=int, default=24, help=words.say("command_line.months"))
    invent.add_argument("--seed", type=int, default=1, help=words.say("command_line.seed"))
    invent.add_argument("--club", default="club", help=words.say("command_line.club"))
    command("recount", _recount)
    command("serve", _serve)
    return parser


def _triage(given: argparse.Namespace, words: Words) -> int:
    print(run_triage(given.file, words, as_json=given.json, picture=given.picture, width=_columns()))
    return ANSWERED


def _coupons(given: argparse.Namespace, words: Words) -> int:
    print(write_coupons(given.plate, given.nominal, given.out, words))
    return ANSWERED


def _read(given: argparse.Namespace, words: Words) -> int:
    print(run_read(" ".join(given.text), words, as_json=given.json, language=given.language))
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
    async with compose(settings, unhurried()) as house:
        pictures = given.pictures or Path.cwd()
        if given.demo:
            print(words.say("terminal.demo"))
            return await converse(
                house.service, words, given_lines(demo_lines(words.language)), pictures=pictures, echo=True
            )
        if given.script:
            lines = read_source(given.script).decode(errors="replace").split("\n")
            return await converse(house.service, words, given_lines(lines), pictures=pictures, echo=True)
        if sys.stdin is None or not sys.stdin.isatty():
            # A thread that waits for a pipe cannot be called back: an interrupt ends the process, as for any filter.
            signal.signal(signal.SIGINT, signal.SIG_DFL)
            return await converse(house.service, words, given_lines(_piped()), pictures=pictures)
        print(words.say("terminal.welcome"))
        history, people = settings.database.with_name("history"), People()
        return await converse(
            house.service,
            words,
            prompt_lines(history, people),
            pictures=given.pictures or settings.database.parent,
            people=people,
        )


def _stats(given: argparse.Namespace, words: Words) -> int:
    settings = read_settings()
    options = {name: getattr(given, name) for name in ("by", "step", "other") if getattr(given, name)}

    async def ask() -> str:
        async with compose(settings) as house:
            if given.view == "quality":
                await house.service.learn()
            return await ask_figures(
                house,
                words,
                view=given.view,
                options=options,
                community=given.community,
                out=given.out,
                width=_columns(),
            )

    print(asyncio.run(ask()))
    return ANSWERED


def _report(given: argparse.Namespace, words: Words) -> int:
    settings = read_settings()

    async def write() -> str:
        async with compose(settings, unhurried()) as house:
            await house.service.learn()
            return await write_report(house, words, community=given.community, month=given.month, out=given.out)

    print(asyncio.run(write()))
    return ANSWERED


def _simulate(given: argparse.Namespace, words: Words) -> int:
    # Only this command draws cases, which loads far more than an answer needs.
    from bot.simulation import Wish, check_wish, simulate  # noqa: PLC0415

    settings = read_settings()
    wish = Wish(given.cases, given.months, given.seed, given.club, datetime.now(UTC))
    check_wish(wish)

    async def invent() -> int:
        store = await Store.open(settings.database)
        try:
            return await simulate(wish, store)
        finally:
            await store.close()

    print(words.say("command_line.simulated", count=asyncio.run(invent()), community=wish.community))
    return ANSWERED


def _recount(_given: argparse.Namespace, words: Words) -> int:
    settings = read_settings()

    async def recount() -> bool:
        store = await Store.open(settings.database)
        try:
            return await store.recount()
        finally:
            await store.close()

    equal = asyncio.run(recount())
    print(words.say(f"command_line.counts_{'equal' if equal else 'mended'}"))
    return ANSWERED if equal else FAILED


def _piped() -> Iterator[str]:
    for line in sys.stdin.buffer if sys.stdin else ():
        yield line.decode(errors="replace")


def _serve(_given: argparse.Namespace, _words: Words) -> int:
    settings = read_settings()
    configure_logs(settings.log_level)
    return asyncio.run(_serve_chat(settings))


async def _serve_chat(settings: Settings) -> int:
    # Only this command needs the chat library, which takes most of a second to load.
    from bot.discord_app.run import serve  # noqa: PLC0415

    async with compose(settings) as house:
        await serve(settings, house.service, house.words, house.languages, partial(suggest, house), house.store)
    return ANSWERED


def _columns() -> int:
    return shutil.get_terminal_size((WIDEST, 24)).columns


if __name__ == "__main__":
    sys.exit(main())
