"""The stand-in refuses what the platform refuses: a check that cannot fail would make the others here worthless."""

import pytest
from stand_in import limits, schema
from stand_in.limits import COMPONENTS_V2


def v2(*components, **more):
    return {"flags": COMPONENTS_V2, "components": list(components), **more}


def words(content):
    return {"type": 10, "content": content}


def gallery(count, name="a.png"):
    return {"type": 12, "items": [{"media": {"url": f"attachment://{name}"}}] * count}


def file(name="a.png"):
    return {"type": 13, "file": {"url": name if "://" in name else f"attachment://{name}"}}


def attached(*names):
    return [{"id": place, "filename": name} for place, name in enumerate(names)]


def button(**changes):
    return {"type": 2, "style": 2, "label": "Why?", "custom_id": "a", **changes}


def choice(**changes):
    return {"label": "x", "value": "1", **changes}


def menu(**changes):
    return {"type": 3, "custom_id": "m", "options": [choice()], **changes}


def row(*buttons):
    return {"type": 1, "components": list(buttons)}


@pytest.mark.parametrize(
    ("body", "complaint"),
    [
        ({"content": "x" * 2001}, "content over 2000"),
        ({"content": ""}, "an empty message"),
        ({"content": "x", "components": [words("x")]}, "without its flag"),
        (v2(words("x" * 2001), words("x" * 2000)), "4001 characters"),
        (v2(words("🧪" * 2001)), "4002 characters"),
        (v2({"type": 17, "components": [words("x")] * 40}), "41 components"),
        (v2(words("x"), content="x"), "exclude content"),
        (v2(words(" ")), "empty text display"),
        (v2(row()), "1 to 5 buttons"),
        (v2(row(*(button(custom_id=str(n)) for n in range(6)))), "1 to 5 buttons"),
        (v2(row(button(), button())), "two components of one custom_id"),
        (v2(row(button(custom_id="x" * 101))), "custom_id takes"),
        (v2(row(button(label="x" * 81))), "label of a button"),
        (v2(row(button(label=" "))), "label of a button"),
        (v2(gallery(1)), "is not attached"),
        (v2(gallery(11), attachments=[{"id": 0, "filename": "a.png"}]), "1 to 10 pictures"),
        (v2(words("x"), attachments=[{"id": 0, "filename": "b.png"}]), "no such file"),
        (v2(words("x"), attachments=[{"id": 0, "filename": "a.png", "description": "x" * 1025}]), "alt text"),
        (v2(file()), "is not attached"),
        (v2(file("https://example.org/a.png")), "shows attachments only"),
        (v2(words("x"), attachments=attached("a.png")), "nowhere shown"),
        (v2(words("x"), file(), attachments=attached("a.png", "b.stl")), "b.stl: attached and nowhere shown"),
        (v2(file("../a.png"), attachments=attached("../a.png")), "can be referred to"),
        (v2(file("ü.png"), attachments=attached("ü.png")), "can be referred to"),
        (v2(file(), file(), attachments=attached("a.png", "a.png")), "two attachments of one name"),
        (v2(*map(file, "abcdefghijk"), attachments=attached(*"abcdefghijk")), "11 attachments"),
        (v2(file("huge.stl"), attachments=attached("huge.stl")), "over 10 MiB"),
        ({"content": "x", "components": [file()]}, "without its flag"),
        (v2(), "an empty message"),
        (v2(button()), "type 2 at the top"),
        (v2({"type": 17, "components": [{"type": 17, "components": [words("x")]}]}), "type 17 in a container"),
        (v2({"type": 9, "components": [words("x")] * 4, "accessory": button()}), "1 to 3 texts"),
        (v2({"type": 9, "components": [words("x")], "accessory": words("x")}), "beside it"),
        (v2({"type": 18, "label": "x", "component": menu()}), "type 18 at the top"),
        (v2(row(button(), menu())), "one menu"),
        (v2(row(menu(), menu(custom_id="b"))), "one menu"),
        (v2(row(menu(options=[choice(value=str(n)) for n in range(26)]))), "1 to 25 options"),
        (v2(row(menu(options=[]))), "1 to 25 options"),
        (v2(row(menu(options=[choice(), choice()]))), "two options of one value"),
        (v2(row(menu(options=[choice(label="x" * 101)]))), "option take 1 to 100"),
        (v2(row(menu(options=[choice(description="x" * 101)]))), "description of an option"),
        (v2(row(menu(placeholder="x" * 151))), "placeholder of a menu"),
        (v2(row(menu(min_values=2))), "0 to 25 values"),
        (v2(row(menu(options=[choice(default=True), choice(value="2", default=True)]))), "preselected"),
        (v2(row(button(style=9))), "a button of style 9"),
        (v2(row(button(style=5))), "a link has an address"),
        (v2(row(button(url="https://example.org"))), "no address"),
        (v2(words("x"), colour=3), "message: unknown key colour"),
        (v2({**words("x"), "colour": 3}), "component 10: unknown key colour"),
        (v2(row(menu(options=[choice(colour=3)]))), "option: unknown key colour"),
        (v2(words("x"), attachments=[{"id": 0, "filename": "a.png", "colour": 3}]), "attachment: unknown key colour"),
        (v2(words("x"), flags=COMPONENTS_V2 | 1 << 4), "flags"),
        ({"content": "x", "components": [row(button(custom_id=str(n))) for n in range(6)]}, "at most 5 rows"),
        ({"embeds": [{"title": "x" * 257}]}, "title of an embed takes 256"),
        ({"embeds": [{"description": "x" * 3001}] * 2}, "6002 characters in embeds"),
        ({"embeds": [{"fields": [{"name": "x", "value": "x"}] * 26}]}, "at most 25 fields"),
    ],
)
def test_a_message_over_a_limit_is_refused(body, complaint):
    assert any(
        complaint in fault
        for fault in limits.faults_of_message(body, {"a.png": b"", "huge.stl": bytes(10 * 1024 * 1024 + 1)})
    )


def test_a_message_at_every_limit_is_taken():
    files = [f"{number}.stl" for number in range(9)]
    shown = [gallery(10), *map(file, files)]
    full = v2({"type": 17, "components": [words("x" * 137)] * 29 + [words("x" * 27), *shown[:9]]})
    full["attachments"] = attached("a.png", *files[:8])
    full["attachments"][0]["description"] = "x" * 1024
    sent = {"a.png": bytes(10 * 1024 * 1024)} | dict.fromkeys(files, b"")
    assert limits.faults_of_message(full, sent) == []
    ten = v2(*shown, attachments=attached("a.png", *files))
    assert limits.faults_of_message(ten, sent) == []


def test_mentions_are_switched_off_whatever_is_said():
    assert limits.faults_of_mentions({"allowed_mentions": {"parse": []}}) == []
    for allowed in ({}, {"parse": ["everyone"]}, {"parse": [], "roles": ["1"]}, {"parse": [], "replied_user": True}):
        assert limits.faults_of_mentions({"allowed_mentions": allowed})
    assert limits.faults_of_mentions({})


def field(**changes):
    return {"type": 4, "custom_id": "a", "style": 1, **changes}


def label(**changes):
    return {"type": 18, "label": "x", "component": field(), **changes}


def five():
    return [label(component=field(custom_id=str(number))) for number in range(5)]


def radios(count, **changes):
    return {"type": 21, "custom_id": "a", "options": [choice(value=str(n)) for n in range(count)], **changes}


@pytest.mark.parametrize(
    ("changes", "complaint"),
    [
        ({"title": "x" * 46}, "title"),
        ({"custom_id": "x" * 101}, "custom_id"),
        ({"components": []}, "1 to 5 parts"),
        ({"components": [*five(), words("x")]}, "1 to 5 parts"),
        ({"components": [label(), label()]}, "two fields of one custom_id"),
        ({"components": [label(label="x" * 46)]}, "label takes"),
        ({"components": [label(description="x" * 101)]}, "description takes"),
        ({"components": [label(component=field(placeholder="x" * 101))]}, "placeholder"),
        ({"components": [label(component=field(custom_id="x" * 101))]}, "custom_id of a field"),
        ({"components": [label(component=field(max_length=4001))]}, "up to 4000"),
        ({"components": [label(component=field(min_length=9, max_length=5))]}, "up to 4000"),
        ({"components": [label(component=field(value="x" * 9, max_length=5))]}, "begins with takes 5"),
        ({"components": [label(component=field(style=3))]}, "one line or several"),
        ({"components": [label(component=field(label="x"))]}, "no label of its own"),
        ({"components": [label(component=field(colour=3))]}, "unknown key colour"),
        ({"components": [label(colour=3)]}, "unknown key colour"),
        ({"components": [label(component=button())]}, "type 2 under a label"),
        ({"components": [row(field())]}, "type 1 at the top of a form"),
        ({"components": [label(component=menu(min_values=0))]}, "cannot take 0"),
        ({"components": [label(component=menu(options=[choice()] * 26))]}, "1 to 25 options"),
        ({"components": [label(component=radios(1))]}, "2 to 10 options"),
        ({"components": [label(component=radios(11, type=22))]}, "1 to 10 options"),
        ({"components": [words(" ")]}, "a text takes"),
        ({"colour": 3}, "form: unknown key colour"),
    ],
)
def test_a_form_over_a_limit_is_refused(changes, complaint):
    form = {"title": "x" * 45, "custom_id": "x", "components": five()}
    assert limits.faults_of_modal(form) == []
    assert any(complaint in fault for fault in limits.faults_of_modal(form | changes))


def test_every_kind_of_field_is_taken_under_a_label():
    kinds = [
        field(style=2, value="x", required=False),
        menu(required=False, min_values=0),
        radios(2),
        radios(10, type=22, min_values=0, max_values=10),
        {"type": 23, "custom_id": "a", "default": True},
    ]
    parts = [label(component={**kind, "custom_id": str(place)}) for place, kind in enumerate(kinds)]
    assert limits.faults_of_modal({"title": "x", "custom_id": "x", "components": parts}) == []


def option(**changes):
    return {"name": "a", "type": 3, "description": "x", **changes}


def long_choices(locale=""):
    """Return choices of 2,275 characters, in every language or in one."""
    names = {f"{n:02}" + "x" * 88: n for n in range(25)}
    if locale:
        return [{"name": str(n), "name_localizations": {locale: name}, "value": "x"} for name, n in names.items()]
    return [{"name": name, "value": "x"} for name in names]


def group(*inner, **changes):
    return option(name="group", type=2, options=list(inner), **changes)


@pytest.mark.parametrize(
    "changes",
    [
        {"name": "Readings"},
        {"name": "x" * 33},
        {"name": "two words"},
        {"description": "x" * 101},
        {"description": ""},
        {"description_localizations": {"de": "x" * 101}},
        {"description_localizations": {"deutsch": "x"}},
        {"name_localizations": {"de": "Messwerte"}},
        {"options": [option(name=f"o{n}") for n in range(26)]},
        {"options": [option(), option()]},
        {"options": [option(), option(name="b", required=True)]},
        {"options": [option(), option(name="b", type=1)]},
        {"options": [group(group(option(type=1)))]},
        {"options": [option(type=12)]},
        {"options": [option(colour=3)]},
        {"options": [option(choices=[{"name": str(n), "value": "x"} for n in range(26)])]},
        {"options": [option(choices=[{"name": "x" * 101, "value": "x"}])]},
        {"options": [option(choices=[{"name": "x", "value": "x"}], autocomplete=True)]},
        {"options": [option(choices=[{"name": "x", "value": "x"}, {"name": "x", "value": "y"}])]},
        {"options": [option(type=8, autocomplete=True)]},
        {"options": [option(name=f"o{n}", choices=long_choices()) for n in range(4)]},
        {"options": [option(name=f"o{n}", choices=long_choices("de")) for n in range(4)]},
        {"contexts": [3]},
        {"integration_types": []},
        {"default_member_permissions": "everything"},
        {"type": 3, "description": "x"},
        {"type": 3, "description": "", "name": "x" * 33},
        {"colour": 3},
    ],
)
def test_a_registration_over_a_limit_is_refused(changes):
    command = {"name": "readings", "type": 1, "description": "x", "options": []}
    assert limits.faults_of_commands([command]) == []
    assert limits.faults_of_commands([command | changes])


def test_registered_names_are_unique_among_commands_of_one_kind_in_each_language():
    typed, chosen = {"name": "case", "type": 1, "description": "x"}, {"name": "case", "type": 3}
    assert limits.faults_of_commands([typed, chosen]) == []
    assert limits.faults_of_commands([typed, typed])
    other = {**typed, "name": "other", "name_localizations": {"de": "fall"}}
    assert limits.faults_of_commands([{**typed, "name_localizations": {"de": "fall"}}, other])
    assert limits.faults_of_commands([{**chosen, "name": str(number)} for number in range(16)])
    assert limits.faults_of_commands([{**typed, "name": str(number)} for number in range(101)])


def test_a_command_of_groups_and_commands_is_taken():
    typed = {"name": "case", "type": 1, "description": "x", "description_localizations": {"de": "ü" * 100}}
    options = [group(option(type=1, options=[option(required=True), option(name="b")])), option(name="c", type=1)]
    assert limits.faults_of_commands([{**typed, "options": options}]) == []


@pytest.mark.parametrize(
    ("body", "complaint"),
    [
        ({"name": ""}, "1 to 100"),
        ({"name": "x" * 101}, "1 to 100"),
        ({"name": "x", "auto_archive_duration": 90}, "rests after"),
        ({"name": "x", "type": 11}, "unknown key type"),
        ({"name": "x", "rate_limit_per_user": 21601}, "slow mode"),
    ],
)
def test_a_thread_over_a_limit_is_refused(body, complaint):
    assert limits.faults_of_thread({"name": "x" * 100, "auto_archive_duration": 1440}, at_message=True) == []
    assert any(complaint in fault for fault in limits.faults_of_thread(body, at_message=True))


def test_suggestions_over_a_limit_are_refused():
    good = {"name": "x", "value": "x"}
    assert limits.faults_of_suggestions({"choices": [good] * 25}) == []
    assert limits.faults_of_suggestions({"choices": [good] * 26})
    assert limits.faults_of_suggestions({"choices": [good | {"value": "x" * 101}]})


@pytest.mark.skipif(not schema.DESCRIPTION.is_file(), reason="the published description is not beside the checkout")
def test_the_published_description_is_followed_along_the_branch_that_was_meant():
    body = v2({"type": 17, "components": [words("x"), {"type": 12, "items": []}]})
    (fault,) = schema.faults_by_description(schema.FOLLOW_UP, body)
    assert "components/0/components/1/items" in fault
