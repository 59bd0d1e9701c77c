"""The command line: ``platewright`` and ``python -m bot``.

Exit status 0 on an answer, 2 on input that cannot be used (one line per fault on standard error), 1 on our own failure.
"""

import argparse
import asyncio
import contextlib
import shutil
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from bot.compose import compose, suggest
from bot.logs import configure_logs
from bot.reading import run_read
from bot.settings import Settings, read_settings
from bot.sources import read_source
from bot.terminal_app.chat import converse, given_lines, prompt_lines
from bot.terminal_app.demo import demo_lines
from bot.terminal_app.render import WIDEST
from bot.triage import run_triage
from core.errors import ServiceFailure, UnusableInput, UnusableKnowledge
from core.words import Words, load_words

ANSWERED, FAILED, UNUSABLE = 0, 1, 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; return the exit status."""
    words = load_words("en")
    given = _parser(words).parse_args(arguments)
    try:
        status: int = given.run(given, words)
    except (UnusableInput, UnusableKnowledge) as error:
        for fault in error.faults:
            print(words.fault(fault), file=sys.stderr)
        return UNUSABLE if isinstance(error, UnusableInput) else FAILED
    except ServiceFailure as failure:
        print(words.say(f"failures.{failure.code}", **failure.values), file=sys.stderr)
        return FAILED
    except BrokenPipeError:
        # The reader went away, such as `| head`; there is nobody left to tell.
        sys.stderr.close()
        return ANSWERED
    return status


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        self.exit(UNUSABLE, f"{self.prog}: {message}. See {self.prog} --help.\n")


def _parser(words: Words) -> argparse.ArgumentParser:
    parser = _Parser(prog="platewright", description=words.say("command_line.about"))
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND", parser_class=_Parser)

    def command(name: str, run: object) -> argparse.ArgumentParser:
        about = words.say(f"command_line.{name}")
        added = commands.add_parser(name, help=about, description=about)
        added.set_defaults(run=run)
        return added

    chat = command("chat", _chat)
    chat.add_argument("--script", metavar="FILE", help=words.say("command_line.script"))
    chat.add_argument("--demo", action="store_true", help=words.say("command_line.demo"))
    chat.add_argument("--pictures", metavar="FOLDER", type=Path, help=words.say("command_line.pictures"))
    triage = command("triage", _triage)
    triage.add_argument("file", metavar="FILE|-", help=words.say("command_line.report"))
    triage.add_argument("--json", action="store_true", help=words.say("command_line.json"))
    triage.add_argument("--picture", metavar="OUT.png", type=Path, help=words.say("command_line.picture"))
    read = command("read", _read)
    read.add_argument("text", metavar="TEXT|-", nargs="+", help=words.say("command_line.text"))
    read.add_argument("--json", action="store_true", help=words.say("command_line.read_json"))
    command("serve", _serve)
    return parser


def _triage(given: argparse.Namespace, words: Words) -> int:
    print(run_triage(given.file, words, as_json=given.json, picture=given.picture, width=_columns()))
    return ANSWERED


def _read(given: argparse.Namespace, words: Words) -> int:
    print(run_read(" ".join(given.text), words, as_json=given.json))
    return ANSWERED


def _chat(given: argparse.Namespace, words: Words) -> int:
    settings = read_settings()
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
            return await converse(
                house.service, words, given_lines(demo_lines()), pictures=pictures, echo=True
            )
        if given.script:
            lines = read_source(given.script).decode(errors="replace").splitlines()
            return await converse(house.service, words, given_lines(lines), pictures=pictures, echo=True)
        if not sys.stdin.isatty():
            return await converse(house.service, words, given_lines(sys.stdin), pictures=pictures)
        print(words.say("terminal.welcome"))
        history = settings.database.with_name("history")
        return await converse(
            house.service, words, prompt_lines(history), pictures=given.pictures or settings.database.parent
        )


def _serve(_given: argparse.Namespace, words: Words) -> int:
    settings = read_settings()
    configure_logs(settings.log_level)
    return asyncio.run(_serve_chat(settings, words))


async def _serve_chat(settings: Settings, words: Words) -> int:
    # Only this command needs the chat library, which takes most of a second to load.
    from bot.discord_app.run import serve  # noqa: PLC0415

    async with compose(settings) as house:
        await serve(
            settings, house.service, words, lambda option, typed: suggest(house, option, typed), house.store
        )
    return ANSWERED


def _columns() -> int:
    return shutil.get_terminal_size((WIDEST, 24)).columns


if __name__ == "__main__":
    with contextlib.suppress(KeyboardInterrupt):
        sys.exit(main())
