"""The program as an operator starts it: unmodified, ``platewright serve`` in a process of its own, at the stand-in."""

import asyncio
import os
import signal
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path

from stand_in.chat_platform import TOKEN, Platform

LAUNCH = Path(__file__).with_name("launch.py")
READY_S, STOP_S = 40.0, 15.0


@dataclass(eq=False, repr=False, slots=True)
class Program:
    """A running program.

    Attributes:
        log: Everything it has written since it was started, once it has ended.
    """

    process: asyncio.subprocess.Process
    log: str = field(default="", init=False)

    async def until_ready(self, platform: Platform) -> None:
        """Wait until it hears interactions, or fail with what it wrote."""
        connected = asyncio.create_task(platform.gateway.until_ready(READY_S))
        ended = asyncio.create_task(self.process.wait())
        await asyncio.wait({connected, ended}, return_when=asyncio.FIRST_COMPLETED)
        ended.cancel()
        if not connected.done():
            connected.cancel()
            raise AssertionError((await self.process.communicate())[1].decode())
        await connected

    async def stop(self) -> int | None:
        """Ask it to stop, and return its status."""
        self.process.send_signal(signal.SIGTERM)
        async with asyncio.timeout(STOP_S):
            _, err = await self.process.communicate()
        self.log = err.decode()
        return self.process.returncode


def environment(folder: Path, token: str | None = TOKEN) -> dict[str, str]:
    """Return an environment without any setting of the machine's own."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("PLATEWRIGHT_")}
    given = {} if token is None else {"PLATEWRIGHT_TOKEN": token}
    return kept | given | {"PLATEWRIGHT_DATABASE": str(folder / "cases.db"), "MPLCONFIGDIR": str(folder)}


@asynccontextmanager
async def serving(platform: Platform, folder: Path) -> AsyncIterator[Program]:
    """Start it and wait until it is ready; kill it at the end if it was not stopped."""
    process = await asyncio.create_subprocess_exec(
        sys.executable,
        str(LAUNCH),
        platform.rest_url,
        platform.gateway_url,
        "serve",
        env=environment(folder),
        cwd=folder,
        stdout=asyncio.subprocess.DEVNULL,
        stderr=asyncio.subprocess.PIPE,
    )
    program = Program(process)
    try:
        await program.until_ready(platform)
        yield program
    finally:
        if process.returncode is None:
            process.kill()
            await process.wait()
