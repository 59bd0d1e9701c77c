"""Run the unmodified program against the stand-in: ``launch.py REST_URL GATEWAY_URL ARGUMENT…``.

An unsharded client never asks for the gateway's address, so the library's own two constants are what has to change.
"""

import sys
from pathlib import Path

if __name__ == "__main__":
    # In place of this folder, whose files must not stand in for modules of the same name.
    sys.path[0] = str(Path(__file__).parents[2])

import yarl
from discord.gateway import DiscordWebSocket
from discord.http import Route


def redirect(rest_url: str, gateway_url: str) -> None:
    """Point the chat library at the stand-in, for this process."""
    Route.BASE = rest_url
    DiscordWebSocket.DEFAULT_GATEWAY = yarl.URL(gateway_url)


if __name__ == "__main__":
    redirect(sys.argv[1], sys.argv[2])
    from bot.__main__ import main

    sys.exit(main(sys.argv[3:]))
