"""Connects, serves until told to stop, then lets running answers finish. The only file that knows signals."""

import asyncio
import logging
import signal
from collections.abc import Iterator, Mapping
from contextlib import contextmanager

import aiohttp
import discord

from bot.discord_app.client import PlatewrightClient
from bot.discord_app.contracts import Answerer, Memory, Suggest
from bot.discord_app.desk import Desk
from bot.discord_app.housekeeping import EVERY_S, keep_house
from bot.settings import PREFIX, Settings, read_token
from core.errors import Fault, ServiceFailure, UnusableInput
from core.words import Words

LOG = logging.getLogger(__name__)

DRAIN_S = 10.0
"""How long running answers may take after the signal to stop."""

_TOKEN_REFUSED = 4004
_STOP_SIGNALS = (signal.SIGTERM, signal.SIGINT)


async def serve(
    settings: Settings,
    answerer: Answerer,
    words: Words,
    languages: Mapping[str, Words],
    suggest: Suggest,
    memory: Memory,
    *,
    tidy_every_s: float = EVERY_S,
) -> None:
    """Serve until SIGTERM or SIGINT.

    Args:
        settings: For the token.
        answerer: The service.
        words: Texts for people whose own language there is none of.
        languages: Texts by language, all there are.
        suggest: What may be meant by what is typed so far.
        memory: Where it is kept what was registered.
        tidy_every_s: How often old cases are let go and silent ones asked about.

    Raises:
        UnusableInput: There is no token, or the platform refuses it.
        ServiceFailure: The platform cannot be reached, refuses to start, or closed the connection for good.
    """
    token = read_token(settings).get_secret_value()
    desk = Desk(answerer, suggest)
    client = PlatewrightClient(desk=desk, words=words, languages=languages, suggest=suggest, memory=memory)
    with _stop_signal() as stop:
        connection = asyncio.create_task(client.start(token))
        house = asyncio.create_task(keep_house(client, answerer, every_s=tidy_every_s))
        stopping = asyncio.create_task(stop.wait())
        try:
            await asyncio.wait({connection, stopping}, return_when=asyncio.FIRST_COMPLETED)
            if connection.done():
                await _end(connection, settings)
            else:
                LOG.info("stopping")
                unfinished = await desk.drain(DRAIN_S)
                LOG.info("stopped", extra={"unfinished": unfinished})
        finally:
            stopping.cancel()
            house.cancel()
            await client.close()
            await _abandon(connection)


@contextmanager
def _stop_signal() -> Iterator[asyncio.Event]:
    """Yield an event that is set by the signals to stop."""
    loop, stop = asyncio.get_running_loop(), asyncio.Event()
    for number in _STOP_SIGNALS:
        loop.add_signal_handler(number, stop.set)
    try:
        yield stop
    finally:
        for number in _STOP_SIGNALS:
            loop.remove_signal_handler(number)


async def _abandon(connection: asyncio.Task[None]) -> None:
    """Let go of a connection that was closed on purpose: how exactly it ends does not matter any more."""
    connection.cancel()
    await asyncio.wait({connection})
    if not connection.cancelled() and connection.exception() is not None:
        LOG.debug("connection ended", exc_info=connection.exception())


async def _end(connection: asyncio.Task[None], settings: Settings) -> None:
    """Collect how the connection ended by itself, in our own terms."""
    try:
        await connection
    except discord.LoginFailure:
        raise _token_refused(settings) from None
    except discord.ConnectionClosed as error:
        if error.code == _TOKEN_REFUSED:
            raise _token_refused(settings) from None
        raise ServiceFailure("chat_closed", close_code=error.code) from error
    except discord.HTTPException as error:
        raise ServiceFailure("chat_refused", status=error.status) from error
    except (aiohttp.ClientConnectionError, OSError) as error:
        raise ServiceFailure("chat_unreachable") from error


def _token_refused(settings: Settings) -> UnusableInput:
    name = "TOKEN_FILE" if settings.token_file is not None else "TOKEN"
    return UnusableInput((Fault(f"{PREFIX}{name}", "", "token_refused"),))
