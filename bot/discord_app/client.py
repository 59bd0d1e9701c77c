"""The connection: hears interactions, registers commands when they changed, and hands all to the desk."""

import hashlib
import json
import logging
import sys
from collections.abc import Mapping
from typing import Any, cast

import discord
from discord import app_commands

from bot.discord_app.contracts import Memory, Suggest
from bot.discord_app.desk import Desk
from bot.discord_app.forms import read_form
from bot.discord_app.inbound import read_fields
from bot.discord_app.slash import SlashBuilder
from bot.discord_app.translation import WordsTranslator
from core.words import Words

LOG = logging.getLogger(__name__)

REGISTERED = "discord.commands"
"""Where the digest of the registered commands is kept."""


class Tree(app_commands.CommandTree["PlatewrightClient"]):
    """The slash commands; what a command leaves unanswered goes to the desk."""

    async def on_error(
        self, interaction: discord.Interaction["PlatewrightClient"], error: app_commands.AppCommandError, /
    ) -> None:
        """Say sorry."""
        await self.client.desk.apologise(interaction, error)


class PlatewrightClient(discord.Client):
    """One connection to the platform. Hears commands, forms and buttons, reads no messages, and never pings anyone."""

    def __init__(
        self,
        *,
        desk: Desk,
        words: Words,
        languages: Mapping[str, Words],
        suggest: Suggest,
        memory: Memory,
    ) -> None:
        """Take what answers, and the texts commands are registered with: of one language, and of all there are."""
        # Otherwise the library warns that it cannot speak.
        discord.VoiceClient.warn_nacl = discord.VoiceClient.warn_dave = False
        super().__init__(
            intents=discord.Intents(guilds=True),
            allowed_mentions=discord.AllowedMentions.none(),
            member_cache_flags=discord.MemberCacheFlags.none(),
            max_messages=None,
        )
        self.desk = desk
        self._memory = memory
        self._translator = WordsTranslator(languages)
        self.tree = Tree(
            self,
            allowed_contexts=app_commands.AppCommandContext(guild=True, dm_channel=True, private_channel=False),
            allowed_installs=app_commands.AppInstallationType(guild=True, user=False),
        )
        for command in SlashBuilder(desk, words, suggest).build(desk.table):
            self.tree.add_command(command)

    async def setup_hook(self) -> None:
        """Register the commands if they are not what was registered last."""
        await self.tree.set_translator(self._translator)
        digest = await self._digest()
        if await self._memory.recall(REGISTERED) == digest:
            LOG.info("commands unchanged")
            return
        registered = await self.tree.sync()
        await self._memory.remember(REGISTERED, digest)
        LOG.info("commands registered", extra={"count": len(registered)})

    async def on_ready(self) -> None:
        """Note that interactions are heard from now on."""
        LOG.info("ready", extra={"communities": len(self.guilds)})

    async def on_interaction(self, interaction: discord.Interaction[Any]) -> None:
        """Answer submitted forms and pressed buttons; slash commands come through the tree."""
        data = cast("Mapping[str, Any]", interaction.data or {})
        if interaction.type is discord.InteractionType.component:
            await self.desk.press(interaction, str(data.get("custom_id", "")))
        elif interaction.type is discord.InteractionType.modal_submit:
            form = read_form(interaction, self.desk.table)
            await self.desk.submit(interaction, form, read_fields(data.get("components", ())))

    async def on_guild_remove(self, guild: discord.Guild) -> None:
        """Delete what is kept of a community that sent us away; one that is merely out of reach is not told of here."""
        await self.desk.forget(str(guild.id))

    async def on_error(self, event_method: str, /, *_args: object, **_kwargs: object) -> None:
        """Log what an event handler raised."""
        LOG.error("event failed", extra={"handler": event_method}, exc_info=sys.exc_info())

    async def _digest(self) -> str:
        payload = [
            await command.get_translated_payload(self.tree, self._translator) for command in self.tree.get_commands()
        ]
        text = json.dumps([self.application_id, payload], sort_keys=True, default=str)
        return hashlib.sha256(text.encode()).hexdigest()
