"""A whole evening of an invented club against the real process: told, helped, ended, erased, restarted, dropped.

The evening is held once; each test looks at one side of what it left behind. What is expected stands in
``tests/cases/evening.toml``.
"""

import json
import re
import sqlite3
from collections import Counter

import pytest
from club_evening import CASE, ERASED, GUESTS, PRIVATE, TOLD, TROLL, Evening, hold_evening
from club_troll import NO_SUCH_CASE, Mischief
from stand_in.limits import MENTIONS
from stand_in.payloads import CLUB
from stand_in.record import MODAL

from core.cases.packed import unpack
from core.cases.privacy import DIRECT, load_secret, pseudonym

PLACES = range(len(TOLD["story"]))
NAMES = [f"{place + 1}-{story['who']}" for place, story in enumerate(TOLD["story"])]
FOR_ONE_ALONE = ("setup", "my-data", "help", "case show", "case note", "case confirm", "case queue")
HIDDEN_CHARACTERS = re.compile("[\u202a-\u202e\u2066-\u2069\x00-\x08\x0b-\x1f]")


@pytest.fixture(scope="module")
def evening(tmp_path_factory) -> Evening:
    return hold_evening(tmp_path_factory.mktemp("evening"))


@pytest.fixture(scope="module")
def kept(evening):
    """Return a function that reads the database as it was left, by SQL."""
    db = sqlite3.connect(f"file:{evening.database}?mode=ro", uri=True)
    db.row_factory = sqlite3.Row

    def ask(sql, *values):
        return [dict(row) for row in db.execute(sql, values)]

    yield ask
    db.close()


@pytest.fixture(scope="module")
def named(evening):
    """Return a function that tells somebody's pseudonym in a community."""
    secret = load_secret(evening.folder / "secret.key")
    return lambda name, community=CLUB: pseudonym(secret, community, evening.people[name].id)


@pytest.fixture(scope="module")
def mischief(evening) -> Mischief:
    return evening.mischief


def community_of(story):
    return DIRECT if story.data.get("place") == PRIVATE else CLUB


def unpacked(judgement):
    """Return a judgement with its texts as they were before they were packed."""
    return {name: unpack(value) if isinstance(value, bytes) else value for name, value in judgement.items()}


def mark(note):
    """Return the one word that stands in no other text."""
    return note.partition(":")[0]


def slowed(said):
    """Say whether somebody was told to wait instead of being answered."""
    return re.search(r"try again in \d+ s", said.text) is not None


def agreed(confirmed):
    """Return the cause that most confirm, if there is one."""
    first, *others = Counter(confirmed.values()).most_common(2) or [(None, 0)]
    return None if others and others[0][1] == first[1] else first[0]


# ---- the cases ------------------------------------------------------------------------------------


def test_there_is_a_case_for_every_story_and_no_other(evening, kept):
    stories = sorted((community_of(story), story.number) for story in evening.stories)
    assert len(set(stories)) == 40
    assert sorted((row["community"], row["number"]) for row in kept("SELECT * FROM cases")) == stories


@pytest.mark.parametrize("place", PLACES, ids=NAMES)
def test_a_case_stands_as_its_story_ended(evening, kept, named, place):
    story = evening.stories[place]
    told, community, ended = story.data, community_of(story), story.data.get("ended", {})
    (row,) = kept("SELECT * FROM cases WHERE community = ? AND number = ?", community, story.number)
    erased = told["who"] == ERASED
    result = ended.get("result")
    author = named(told["who"], community)
    expected = {
        "author": "" if erased else author,
        "channel": author if community == DIRECT else story.person.channel.id,
        "state": "open" if result in {None, "not_yet"} else "closed",
        "outcome": None if result in {None, "not_yet", "closed"} else result,
        "step": ended.get("step"),
        "tries": 1 if result == "not_yet" else None,
        "claimed_by": None if erased or "released" in told or "claimed" not in told else named(told["claimed"]),
        "cause": agreed(told.get("confirmed", {})),
        "thread": None if story.thread is None else story.thread.id,
    }
    assert {key: row[key] for key in expected} == expected
    assert (row["follows"] is not None) == told.get("follows", False)


@pytest.mark.parametrize("place", PLACES, ids=NAMES)
def test_the_first_suspect_is_the_one_a_good_helper_would_name(evening, kept, place):
    story = evening.stories[place]
    verdicts = kept(
        "SELECT verdict FROM judgements JOIN cases ON id = case_id WHERE community = ? AND number = ? ORDER BY attempt",
        community_of(story),
        story.number,
    )
    assert len(verdicts) == len(story.data["tells"]) + len(story.data.get("in_thread", ()))
    verdict = json.loads(unpack(verdicts[-1]["verdict"]))
    if story.data["first"] == "none":
        assert verdict["status"] == "no_fault"
    else:
        assert verdict["status"] in {"diagnosed", "undecided"}
        assert verdict["causes"][0]["id"] == story.data["first"]


def test_opinions_and_confirmations_are_the_helpers_own_and_were_given_independently(evening, kept, named):
    for table, key in (("opinions", "opinions"), ("confirmations", "confirmed")):
        rows = kept(f"SELECT number, helper, {table}.cause, blind FROM {table} JOIN cases ON id = case_id")  # noqa: S608 - ours
        expected = {
            (story.number, named(name), cause)
            for story in evening.stories
            for name, cause in story.data.get(key, {}).items()
        }
        assert {(row["number"], row["helper"], row["cause"]) for row in rows} == expected
        assert table == "confirmations" or all(row["blind"] for row in rows)


def test_a_helper_sees_no_other_opinion_before_giving_one(evening):
    words = evening.words
    for story, peek in evening.peeks:
        reader = next(person for person in evening.people.values() if person.id == peek.conversation.person["id"])
        before = list(story.data["opinions"]).index(reader.handle)
        text = words[reader.locale.partition("-")[0]]
        assert (text.say("case.hidden") in peek.everything) == (before > 0)
    assert len(evening.peeks) == 5


def test_one_verdict_of_each_case_stands(evening):
    standing = Counter()
    for message in evening.platform.messages.values():
        found = CASE.search(message.text)
        adds = {evening.words[language].say("actions.settings") for language in evening.words}
        if found and not message.private and not message.deleted and adds & message.buttons.keys():
            standing[message.channel.community, found[1]] += 1
    assert set(standing.values()) == {1}
    assert len(standing) == len(evening.stories) + len(GUESTS)


def test_in_a_thread_the_case_goes_on(evening):
    threads = [story for story in evening.stories if story.thread is not None]
    assert len(threads) == 3
    for story in threads:
        assert story.verdict.channel is story.thread
        assert story.thread.parent is story.person.channel


# ---- what the statistics say -------------------------------------------------------------------------


def ended_in_the_club(evening):
    """Return the stories that count: those of the club that came to an end."""
    open_still = {None, "not_yet"}
    return [
        story
        for story in evening.stories
        if community_of(story) == CLUB and story.data.get("ended", {}).get("result") not in open_still
    ]


def test_every_case_that_ended_is_counted_with_its_confirmed_cause(evening, kept):
    told = Counter(agreed(story.data.get("confirmed", {})) or "-" for story in ended_in_the_club(evening))
    rows = kept(
        "SELECT row, sum(count) AS n FROM tallies WHERE community = ? AND kind = 'cause_size' GROUP BY row", CLUB
    )
    assert {row["row"]: row["n"] for row in rows} == dict(told)
    assert sum(told.values()) == 25


def test_a_moderator_is_told_how_many_ended_and_that_they_are_too_few_to_show(evening):
    assert evening.figures.private
    assert f" {len(ended_in_the_club(evening))} " in evening.figures.text
    assert "%" not in evening.figures.text


# ---- every answer, once ------------------------------------------------------------------------------


def test_everybody_was_answered_exactly_once(evening):
    for conversation in evening.platform.conversations.values():
        assert conversation.answers >= 1, conversation.payload["data"]
        texts = [one.text for one in conversation.messages if not one.deleted]
        assert len(set(texts)) == len(texts)
        assert not any(one.waiting for one in conversation.messages)
        assert [call.kind for call in conversation.calls].count("callback") == 1


def test_what_was_said_while_the_gateway_was_lost_is_heard_when_it_is_back(evening):
    assert evening.platform.gateway.resumed == 1
    missed = [one for one in evening.platform.conversations.values() if one.missed]
    assert len(missed) >= 3
    assert all((one.answers == 1 and len(one.messages) == 1) or one.calls[0].type == MODAL for one in missed)


def test_a_limit_and_a_cut_connection_lose_nothing_and_double_nothing(evening):
    assert evening.platform.troubles.met == [("callback", kind) for kind in ("limited", "cut_after", "limited")]


def test_the_commands_were_registered_once_for_both_runs_and_both_ended_well(evening):
    assert len(evening.platform.registrations) == 1
    assert len(evening.platform.gateway.identified) == 2
    assert evening.statuses == [0, 0]


def test_the_platform_had_nothing_to_refuse(evening):
    assert evening.faults == ()


def test_people_are_answered_in_the_language_of_their_client(evening):
    titles = {
        language: {words.say(f"card.titles.{name}") for name in ("undecided", "no_fault", "insufficient")}
        | {
            words.say(f"causes.{story['first']}.short").capitalize()
            for story in TOLD["story"]
            if story["first"] != "none"
        }
        for language, words in evening.words.items()
    }
    for story in evening.stories:
        language = story.person.locale.partition("-")[0]
        title = story.verdict.versions[-1].splitlines()[0].removeprefix("## ").capitalize()
        expected = {one.capitalize() for one in titles.get(language, titles["en"])}
        assert title in expected, (story.data["who"], title)


# ---- who sees what -----------------------------------------------------------------------------------


def test_nobody_was_pinged(evening):
    assert evening.platform.pings == []
    for message in evening.platform.messages.values():
        if message.author.get("bot"):
            assert not [one for one in MENTIONS.findall(message.text) if not one.startswith("<@&")]
            assert not HIDDEN_CHARACTERS.search(message.text.replace("\n", " "))


def test_what_is_for_one_person_alone_is_seen_by_nobody_else(evening):
    alone = [one for one in evening.platform.conversations.values() if one.command.startswith(FOR_ONE_ALONE)]
    assert len(alone) > 50
    for conversation in alone:
        for message in conversation.messages:
            assert message.deleted or message.reader == conversation.person["id"]


def test_a_note_is_read_by_helpers_and_by_nobody_else_and_as_plain_text(evening):
    marks = {mark(text) for story in TOLD["story"] for text in story.get("notes", {}).values()}
    readers = {evening.people[name].id for name, told in TOLD["people"].items() if told.get("role")}
    for message in evening.platform.messages.values():
        if any(one in message.text for one in marks):
            assert message.reader in readers
            assert "**erst**" not in message.text
    for story, moderators, authors in evening.views:
        (note,) = story.data["notes"].values()
        assert (mark(note) in moderators.everything) == (story.data["who"] != ERASED)
        assert mark(note) not in authors.everything
    assert len(evening.views) == 3


def test_nobody_helps_before_the_administrator_has_said_who(evening):
    assert evening.refused_before_setup.private
    assert evening.refused_before_setup.text.startswith("## Not here")


# ---- what is kept of people --------------------------------------------------------------------------


def test_no_identifier_and_no_handle_of_anybody_is_kept_or_logged(evening, kept):
    judged = (row["report"] + row["verdict"] for row in map(unpacked, kept("SELECT * FROM judgements")))
    held, log = evening.bytes_kept() + "".join(judged).encode(), evening.log
    assert len(held) > 10_000
    assert len(log) > 10_000
    for person in evening.people.values():
        for trace in (person.id, f"{int(person.id):x}", person.handle, person.privately.channel.id):
            assert trace.encode() not in held
            assert trace not in log


def test_nothing_that_anybody_wrote_and_no_token_is_logged(evening):
    assert "Traceback" not in evening.log
    assert all(line.startswith("time=") for line in evening.log.splitlines())
    written = [text for story in TOLD["story"] for text in story.get("notes", {}).values()]
    written += [
        tell[key]
        for story in TOLD["story"]
        for tell in story["tells"]
        for key in ("sentence", "message")
        if key in tell
    ]
    tokens = [conversation.token for conversation in evening.platform.conversations.values()]
    assert not [one for one in (*written, *tokens, evening.platform.token) if one in evening.log]


def test_what_was_erased_left_no_trace_then_or_later(evening, kept, named):
    (note,) = evening.of(ERASED)[0].data["notes"].values()
    shown = evening.shown_before_erasing
    assert note in shown.message.files["my-data.json"].decode()
    for held in (evening.after_erasing, evening.bytes_kept()):
        assert len(held) > 10_000
        for community in (CLUB, DIRECT):
            assert named(ERASED, community).encode() not in held
        assert note.encode() not in held
    (row,) = kept("SELECT * FROM cases WHERE number = ? AND community = ?", evening.of(ERASED)[0].number, CLUB)
    assert (row["author"], row["place"], row["outcome"]) == ("", None, "fixed_by_step")


def test_everybody_else_is_still_known_by_a_pseudonym(evening, kept, named):
    authors = {row["author"] for row in kept("SELECT author FROM cases")}
    assert authors == {
        named(story.data["who"], community_of(story)) for story in evening.stories if story.data["who"] != ERASED
    } | {""}


def test_a_community_that_let_the_service_go_is_forgotten_and_one_that_was_dark_is_not(evening, kept, named):
    *told, looked = evening.elsewhere
    assert [CASE.search(said.text)[1] for said in told] == ["1", "2"]
    assert CASE.search(looked.text)[1] == "1"
    other = told[0].message.channel.community
    assert kept("SELECT * FROM cases WHERE community = ?", other.id) == []
    assert kept("SELECT * FROM communities WHERE id = ?", other.id) == []
    for name in GUESTS:
        assert named(name, other.id) != named(name)
        assert named(name, other.id).encode() in evening.kept_elsewhere
        assert named(name, other.id).encode() not in evening.bytes_kept()


# ---- one who tries everything ------------------------------------------------------------------------


def test_somebody_elses_case_looks_like_one_that_does_not_exist(evening, mischief):
    number = str(evening.stories[0].number)
    for theirs, nobodys in mischief.strangers_case:
        assert theirs.text.replace(number, NO_SUCH_CASE) == nobodys.text
        assert theirs.private
        assert not slowed(theirs)
    assert len(mischief.strangers_case) == 6


def test_a_wrong_role_is_refused_by_every_command_that_needs_one(mischief):
    for command, said in mischief.wrong_role.items():
        assert said.private, command
        assert not slowed(said), command
        assert said.text.startswith("## Not here"), command
    assert mischief.wrong_role.keys() >= {"/setup", "/case queue", "/case claim", "/case confirm"}


def test_pressing_somebody_elses_buttons_and_forging_them_does_nothing(mischief):
    for said in (*mischief.pressed, *mischief.forged):
        assert said.asks or said.private
        assert said.asks or not slowed(said)
    assert not any(said.asks for said in mischief.pressed)
    assert len(mischief.pressed) >= 8
    assert len(mischief.forged) >= 15


def test_hostile_text_is_answered_kindly_and_privately(mischief):
    for said in mischief.hostile:
        assert said.private
        assert len(said.everything) < 4000
        assert "wrong here" not in said.text
        assert not slowed(said)


def test_a_flood_is_slowed_down_with_the_time_to_come_back(mischief):
    assert 1 <= sum(map(slowed, mischief.flood)) < len(mischief.flood)
    assert all(said.private for said in mischief.flood)


def test_an_interaction_that_arrives_twice_is_answered_once(mischief):
    ((said, before),) = mischief.replayed
    assert len(said.conversation.messages) == before == 1


def test_the_troll_left_no_case_and_changed_none(evening, kept, named):
    troll = named(TROLL)
    assert kept("SELECT * FROM cases WHERE author = ? OR claimed_by = ?", troll, troll) == []
    for table in ("notes", "opinions", "confirmations"):
        assert kept(f"SELECT * FROM {table} WHERE helper = ?", troll) == []  # noqa: S608 - our own tables
    assert "9.99" not in "".join(unpacked(row)["report"] for row in kept("SELECT report FROM judgements"))
