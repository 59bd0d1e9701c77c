"""A command's form: up to five text fields, one for each option that has ``form`` set.

A form carries its command in its identifier and is not remembered here: any number may be open at once, one
that is dismissed costs nothing, and one that is sent after a restart is still understood.
"""

from typing import Any

import discord
from discord import ui

from core.commands import Command
from core.words import Words

_PREFIX = "form:"
LONGEST_FIELD = 200


def build_form(command: Command, words: Words) -> ui.Modal:
    """Return the form of ``command``, with words from ``commands.<name>.form``."""
    key = f"commands.{command.name.replace(' ', '.')}.form"
    form = ui.Modal(title=words.say(f"{key}.title"), custom_id=f"{_PREFIX}{command.name}", timeout=60)
    for option in command.options:
        if option.form:
            field = ui.TextInput[ui.Modal](
                custom_id=option.name,
                placeholder=words.say(f"{key}.{option.name}.example"),
                required=False,
                max_length=LONGEST_FIELD,
            )
            form.add_item(
                ui.Label[ui.Modal](
                    text=words.say(f"{key}.{option.name}.label"),
                    description=words.say(f"{key}.{option.name}.hint"),
                    component=field,
                )
            )
    # The library keeps forms by identifier, and all of one command share theirs; a finished one is not kept.
    form.stop()
    return form


def command_of(interaction: discord.Interaction[Any]) -> str | None:
    """Return the name of the command whose form was submitted, if this is one of our forms."""
    if interaction.type is not discord.InteractionType.modal_submit or interaction.data is None:
        return None
    custom_id = str(interaction.data.get("custom_id", ""))
    return custom_id.removeprefix(_PREFIX) if custom_id.startswith(_PREFIX) else None
