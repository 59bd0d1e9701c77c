"""People become pseudonyms: whoever has the files has no people."""

import hashlib
import hmac
import stat
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime

import pytest

from bot.compose import compose
from bot.settings import Settings
from core.cases.privacy import DIRECT, load_secret, pseudonym
from core.commands import Asker, Inquiry
from core.errors import StoreUnusable

SECRET = bytes(range(32))
MOSS = "184467440737095516"


def test_a_pseudonym_is_a_keyed_hash_and_holds_nothing_of_the_person():
    """RFC 2104 over FIPS 180-4, through the reference implementation of the standard library."""
    mac = hmac.new(SECRET, f"4:club:{MOSS}".encode(), hashlib.sha256).hexdigest()
    assert pseudonym(SECRET, "club", MOSS) == mac[:32]
    assert MOSS not in mac


@pytest.mark.parametrize(
    "other",
    [
        pytest.param((SECRET, "other club", MOSS), id="another community"),
        pytest.param((SECRET, "club", MOSS[:-1]), id="another person"),
        pytest.param((SECRET[::-1], "club", MOSS), id="another secret"),
        # Were the parts only strung together, these two would be one person.
        pytest.param((SECRET, f"club:{MOSS[:3]}", MOSS[3:]), id="the parts cut elsewhere"),
    ],
)
def test_another_person_community_or_secret_gives_another_pseudonym(other):
    assert pseudonym(*other) != pseudonym(SECRET, "club", MOSS)


def test_the_secret_is_made_once_and_for_its_owner_only(tmp_path):
    path = tmp_path / "keys" / "secret.key"
    made = load_secret(path)
    assert len(made) == 32
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert load_secret(path) == made
    assert [file.name for file in path.parent.iterdir()] == ["secret.key"]
    assert load_secret(tmp_path / "other.key") != made


def test_all_who_start_together_get_the_same_secret(tmp_path):
    with ThreadPoolExecutor(8) as starting:
        made = set(starting.map(load_secret, [tmp_path / "secret.key"] * 8))
    assert len(made) == 1


@pytest.mark.parametrize(
    "content",
    [b"", b"00" * 31, b"00" * 33, b"not hexadecimal", b"\xff\xfe\x00"],
    ids=["empty", "short", "long", "text", "bytes"],
)
def test_a_damaged_secret_is_refused_and_kept(content, tmp_path):
    """A new one in its place would make a stranger of everybody."""
    path = tmp_path / "secret.key"
    path.write_bytes(content)
    with pytest.raises(StoreUnusable) as refusal:
        load_secret(path)
    assert refusal.value.code == "secret_damaged"
    assert refusal.value.values["path"] == str(path)
    assert path.read_bytes() == content


def test_a_secret_that_cannot_be_read_or_made_is_refused(tmp_path):
    (tmp_path / "file").write_text("")
    for path in (tmp_path, tmp_path / "file" / "secret.key"):
        with pytest.raises(StoreUnusable) as refusal:
            load_secret(path)
        assert refusal.value.values["path"] == str(path)


async def test_a_database_with_the_secret_of_another_is_refused(tmp_path):
    """Else everybody would be a stranger to their own cases, and nobody would notice."""
    settings = Settings(database=tmp_path / "cases.db", secret_file=tmp_path / "secret.key")
    for _ in range(2):
        async with compose(settings):
            pass
    settings.secret_path.unlink()
    with pytest.raises(StoreUnusable) as refusal:
        async with compose(settings):
            pass
    assert refusal.value.code == "secret_foreign"


@pytest.mark.parametrize("community", ["club-7", DIRECT])
async def test_after_a_conversation_no_file_holds_the_raw_person(community, tmp_path):
    """Of a private conversation the channel is as telling as the person."""
    channel = "955165161737184467"
    asker = Asker(community, channel, MOSS)
    lines = (
        {"command": "readings", "text": "0.76 1.22 0.80 1.20 0.99"},
        {"command": "symptoms", "text": "the rafts on the left are shiny, no supports on them"},
        {"command": "symptoms", "text": "yes"},
        {"command": "readings", "text": "five of them"},
        {"command": "why"},
    )
    async with compose(Settings(database=tmp_path / "cases.db", secret_file=tmp_path / "secret.key")) as house:
        for number, line in enumerate(lines):
            at = datetime(2026, 3, 14, 9, number, tzinfo=UTC)
            await house.service.handle(Inquiry(**line, asker=asker, at=at, reference="abc123"))
        files = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    assert {"cases.db", "cases.db-wal"} <= files.keys()
    held = b"".join(files.values())
    assert pseudonym(load_secret(tmp_path / "secret.key"), community, MOSS).encode() in held
    assert MOSS.encode() not in held
    assert (channel.encode() in held) == (community != DIRECT)
