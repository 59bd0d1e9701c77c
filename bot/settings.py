"""Environment in, frozen ``Settings`` out. Nothing is read at import, and no secret is ever part of an error.

Every setting is an environment variable: the prefix ``PLATEWRIGHT_`` and the field's name in capitals.
``deploy/env.example`` lists them all. This file must never know what the values are used for.
"""

import os
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, SecretStr, ValidationError
from pydantic_settings import BaseSettings, SettingsConfigDict

from core.errors import Fault, UnusableInput

PREFIX = "PLATEWRIGHT_"
LogLevel = Literal["DEBUG", "INFO", "WARNING", "ERROR"]


def default_database() -> Path:
    """Return ``platewright/cases.db`` in the user's data directory (XDG Base Directory Specification 0.8)."""
    given = os.environ.get("XDG_DATA_HOME", "")
    # The specification has relative paths ignored.
    data_home = Path(given) if Path(given).is_absolute() else Path("~/.local/share").expanduser()
    return data_home / "platewright" / "cases.db"


def _in_capitals(value: object) -> object:
    return value.strip().upper() if isinstance(value, str) else value


def _below_home(value: object) -> object:
    return Path(value).expanduser() if isinstance(value, str) else value


PathSetting = Annotated[Path, BeforeValidator(_below_home)]


class Settings(BaseSettings):
    """All settings of the program."""

    model_config = SettingsConfigDict(env_prefix=PREFIX, env_ignore_empty=True, extra="ignore", frozen=True)

    token: SecretStr | None = Field(default=None, description="The bot's token. Only `serve` needs it.")
    token_file: PathSetting | None = Field(
        default=None, description="A file that holds the bot's token, instead of PLATEWRIGHT_TOKEN."
    )
    database: PathSetting = Field(
        default_factory=default_database,
        description="Where cases are stored. Default: platewright/cases.db in the user's data directory.",
    )
    secret_file: PathSetting | None = Field(
        default=None,
        description="The key of the pseudonyms; made on first run. Default: secret.key beside the database.",
    )
    language: str | None = Field(
        default=None,
        description="Language of the command line, and of a chat whose client does not say its own: en or de. "
        "Default: that of the locale at the command line, otherwise en.",
    )
    log_level: Annotated[LogLevel, BeforeValidator(_in_capitals)] = Field(
        default="INFO", description="How much is logged: DEBUG, INFO, WARNING or ERROR."
    )

    @property
    def secret_path(self) -> Path:
        """Where the key of the pseudonyms is."""
        return self.secret_file or self.database.with_name("secret.key")


def read_settings() -> Settings:
    """Read the environment.

    Raises:
        UnusableInput: One fault for each setting that cannot be used.
    """
    try:
        return Settings()
    except ValidationError as error:
        faults = tuple(
            Fault(
                f"{PREFIX}{'_'.join(str(part) for part in problem['loc']).upper()}",
                # Whatever has to do with the token is not quoted.
                str(problem["input"]) if "token" not in str(problem["loc"]) else "",
                "setting_unusable",
                {"why": problem["msg"]},
            )
            for problem in error.errors(include_url=False)
        )
        raise UnusableInput(faults) from None


def read_token(settings: Settings) -> SecretStr:
    """Return the bot's token from the setting or from the file it names.

    Raises:
        UnusableInput: There is none, there are two, or the file cannot be read.
    """
    name, file_name = f"{PREFIX}TOKEN", f"{PREFIX}TOKEN_FILE"
    if settings.token is not None and settings.token_file is not None:
        raise UnusableInput((Fault(file_name, str(settings.token_file), "token_twice"),))
    if settings.token_file is not None:
        try:
            token = settings.token_file.read_text(encoding="utf-8").strip()
        except (OSError, UnicodeDecodeError) as error:
            given = str(settings.token_file)
            if isinstance(error, OSError):
                raise UnusableInput(
                    (Fault(file_name, given, "token_file", {"why": error.strerror or str(error)}),)
                ) from None
            raise UnusableInput((Fault(file_name, given, "token_no_text"),)) from None
    else:
        token = settings.token.get_secret_value().strip() if settings.token else ""
    if not token:
        raise UnusableInput((Fault(file_name if settings.token_file else name, "", "token_missing"),))
    return SecretStr(token)
